//! One quantity explained.

use knockon_engine::quantity::Quantity;
use knockon_trade::findings::unit;
use knockon_trade::problem::nearest;
use knockon_trade::tables::{self, QuantityText};

use crate::text::Style;
use crate::text::lines::{Ink, Lines};

/// Every name that [`explain`] knows.
pub fn explainable() -> Vec<&'static str> {
    tables::quantities().iter().map(|text| text.id.as_str()).collect()
}

/// Definition, formula, convention, source and how to measure it. The name is the identifier or the label, in any case,
/// with spaces, hyphens or underscores.
///
/// # Errors
/// The nearest known name, if any, when the quantity is not known.
pub fn explain(name: &str, width: usize, style: Style) -> Result<String, Option<&'static str>> {
    let wanted = knockon_trade::change::normal(name);
    let matches = |text: &QuantityText| {
        [&text.id, &text.label].iter().any(|known| knockon_trade::change::normal(known) == wanted)
    };
    let Some(quantity) = Quantity::ALL.iter().find(|quantity| matches(tables::quantity(**quantity))) else {
        let key = knockon_trade::change::normal(name).replace(' ', "_");
        return Err(nearest(&key, tables::quantities().iter().map(|text| text.id.as_str())));
    };
    let text = tables::quantity(*quantity);
    let unit = match unit(quantity.dimension()) {
        "%" => "percentage points",
        unit => unit,
    };
    let mut page = Lines::new(width, style);
    page.paragraph(Ink::Strong, "", &format!("{} ({})", text.label, text.id));
    page.paragraph(Ink::Plain, "", &text.definition);
    for (lead, line) in [
        ("Formula     ", text.formula.clone()),
        ("Convention  ", text.convention.clone()),
        ("Measure     ", text.measure.clone()),
        ("Noticed     ", format!("from about {} {unit} ({})", text.notice, text.notice_source)),
        ("Source      ", text.source.clone()),
    ] {
        page.led(Ink::Quiet, lead, Ink::Plain, &line);
    }
    Ok(page.finish())
}
