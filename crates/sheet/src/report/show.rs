//! A record as it stands.

use knockon_trade::fact::Known;
use knockon_trade::findings::Findings;
use knockon_trade::tables;

use super::{fixed, table, with_unit};
use crate::text::Style;
use crate::text::lines::{Ink, Lines};

/// What the record says, what follows from it, and what is missing.
pub fn show(findings: &Findings, width: usize, style: Style) -> String {
    let mut page = Lines::new(width, style);
    let record = &findings.question.record;
    page.paragraph(Ink::Strong, "", &record.title());
    let kind = record.kind.map_or("kind not said", knockon_trade::record::Kind::word);
    page.paragraph(Ink::Quiet, "", kind);
    if let Some(note) = &record.note {
        page.paragraph(Ink::Plain, "", note);
    }
    page.heading("The record");
    table(&mut page, &["", "value", "±", "how known"], &facts(findings));
    page.heading("As it stands");
    let rows: Vec<Vec<String>> = findings
        .knock_ons
        .iter()
        .filter_map(|knock_on| {
            let decimals = usize::from(knock_on.unit == "°");
            let value = with_unit(&fixed(knock_on.before?, decimals), knock_on.unit);
            let pm = with_unit(&fixed(knock_on.before_pm?, decimals.max(1)), knock_on.unit);
            Some(vec![tables::quantity(knock_on.quantity).label.clone(), value, pm])
        })
        .collect();
    if rows.is_empty() {
        page.paragraph(Ink::Plain, "", "Too little is known to say how it stands.");
    } else {
        table(&mut page, &["", "value", "±"], &rows);
    }
    page.gap();
    page.paragraph(Ink::Plain, "", &crate::compose::chart_sentence(findings));
    if !findings.untold.is_empty() {
        page.heading("Not in the record");
        for key in &findings.untold {
            if let Some(property) = tables::property(key) {
                page.led(Ink::Quiet, "· ", Ink::Plain, &format!("{} {}", property.ask, property.how));
            }
        }
    }
    page.finish()
}

fn facts(findings: &Findings) -> Vec<Vec<String>> {
    let record = &findings.question.record;
    let mut rows = Vec::new();
    for property in tables::properties() {
        let Some(fact) = record.fact(&property.key) else { continue };
        let factor = property.dimension.edge_factor();
        let how = match &fact.with {
            Some(with) => format!("{}, {with}", fact.known.word()),
            None if fact.known == Known::Published => "published".to_owned(),
            None => fact.known.word().to_owned(),
        };
        let bare = fact.text.parse::<f64>().is_ok();
        let unit = if bare { property.dimension.edge_unit() } else { "" };
        rows.push(vec![
            property.label.clone(),
            with_unit(&fact.text.replace('-', "−"), unit),
            with_unit(&fixed(2.0 * fact.uncertainty / factor, 2), property.dimension.edge_unit()),
            how,
        ]);
    }
    for (label, tyre) in [("Front tyre", &record.front_tyre), ("Rear tyre", &record.rear_tyre)] {
        if let Some(tyre) = tyre {
            rows.push(vec![
                label.to_owned(),
                tyre.to_string(),
                with_unit(&fixed(2.0 * tyre.width_uncertainty(), 2), "mm"),
                "published".to_owned(),
            ]);
        }
    }
    if let Some([least, most]) = record.axle_to_crown_allowed {
        rows.push(vec![
            "Axle to crown allowed".to_owned(),
            format!("{least} to {most} mm"),
            String::new(),
            "frame's maker".to_owned(),
        ]);
    }
    rows
}
