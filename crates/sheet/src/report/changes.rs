//! The change language, from the table that its parser reads.

use knockon_trade::tables;

use super::{table, with_unit};
use crate::text::Style;
use crate::text::lines::{Ink, Lines};

/// Every part and property that a change can name, with unit, usual range and an example.
pub fn changes(width: usize, style: Style) -> String {
    let mut page = Lines::new(width, style);
    page.paragraph(Ink::Strong, "", "What a change can say");
    page.paragraph(
        Ink::Plain,
        "",
        "PART PROPERTY VALUE, with `to` or `->` before the value if you like. `by` makes it a step: `stem length by -10`. A unit \
         may follow (mm, cm, in, °); `± 1` says how well the value is known. Capitals and hyphens do not matter.",
    );
    page.gap();
    let mut rows: Vec<Vec<String>> = tables::properties()
        .iter()
        .filter(|property| !property.say.is_empty())
        .map(|property| {
            let unit = property.dimension.edge_unit();
            let [least, most] = property.usual;
            vec![
                property.say[0].clone(),
                with_unit(&format!("{least} to {most}").replace('-', "−"), unit),
                format!("{} {}", property.say[0], property.example),
            ]
        })
        .collect();
    for wheel in ["front", "rear"] {
        rows.push(vec![format!("{wheel} tyre"), "ISO 5775 size".to_owned(), format!("{wheel} tyre 64-622")]);
    }
    for end in tables::details().iter().filter(|detail| !detail.say.is_empty()) {
        let example = format!("{} {}", end.say[0], end.example);
        rows.push(vec![
            end.say[0].clone(),
            if end.series.is_some() { "numbers" } else { "a standard's name" }.to_owned(),
            example,
        ]);
    }
    let own = |what: &str, example: &str| {
        vec![what.to_owned(), "by the record's own names".to_owned(), example.to_owned()]
    };
    rows.push(own("chip", "chip low"));
    rows.push(own("point … forward, point … up", "point main pivot up by 5"));
    table(&mut page, &["part and property", "usual", "example"], &rows);
    page.gap();
    page.paragraph(Ink::Quiet, "", "Also understood:");
    for property in tables::properties().iter().filter(|property| property.say.len() > 1) {
        page.paragraph(
            Ink::Quiet,
            "  ",
            &format!("{} for {}", property.say[1..].join(", "), property.say[0]),
        );
    }
    page.finish()
}
