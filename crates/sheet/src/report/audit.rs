//! An audit of a chart.

use knockon_engine::chart::CRITICAL;
use knockon_trade::audit::Audit;
use knockon_trade::findings::Findings;

use super::{fixed, table, with_unit};
use crate::text::Style;
use crate::text::lines::{Ink, Lines};

/// Which rows of the chart agree, which do not, and which nothing checks.
pub fn audit(findings: &Findings, width: usize, style: Style) -> String {
    let audit = &findings.audit;
    let mut page = Lines::new(width, style);
    page.paragraph(Ink::Strong, "", &format!("{}: the chart", findings.question.record.title()));
    page.paragraph(Ink::Plain, "", &crate::compose::chart_sentence(findings));
    page.gap();
    table(&mut page, &["", "given", "solved", "off by", "check"], &rows(audit));
    if !audit.suspects.is_empty() {
        page.heading("Suspects");
    }
    for (index, suspect) in audit.suspects.iter().enumerate() {
        let mut text = format!(
            "{} is {}; the other rows say {} ±{} (normalised residual {}).",
            suspect.label,
            with_unit(&fixed(suspect.given, 1), suspect.unit),
            with_unit(&fixed(suspect.expected.0, 1), suspect.unit),
            with_unit(&fixed(suspect.expected.1, 1), suspect.unit),
            fixed(suspect.normalised, 1),
        );
        if !suspect.alike.is_empty() {
            text.push_str(&format!(
                " It cannot be told apart from {}: any one of them may be the wrong one.",
                suspect.alike.join(", ").to_lowercase()
            ));
        }
        page.led(Ink::Caution, &format!("{:<3}", index + 1), Ink::Plain, &text);
    }
    page.gap();
    page.paragraph(
        Ink::Quiet,
        "",
        &format!(
            "\"check\" is the residual over its own standard deviation; beyond ±{} a row is a suspect. \"hardly\" means that \
             only assumptions speak for or against it, \"unchecked\" that nothing does.",
            fixed(CRITICAL, 2)
        ),
    );
    if audit.widened > 1.0 {
        page.paragraph(
            Ink::Quiet,
            "",
            &format!(
                "Until the contradiction is cleared up, the chart's tolerance is taken {} times as wide.",
                fixed(audit.widened, 1)
            ),
        );
    }
    page.finish()
}

fn rows(audit: &Audit) -> Vec<Vec<String>> {
    audit
        .rows
        .iter()
        .map(|row| {
            let decimals = if row.unit.is_empty() { 3 } else { 2 };
            let name = if row.assumed { format!("{} (assumed)", row.label) } else { row.label.clone() };
            vec![
                name,
                with_unit(&fixed(row.given, decimals), row.unit),
                fixed(row.solved, decimals),
                fixed(row.residual, decimals),
                match row.normalised {
                    Some(w) if !row.hardly_checked || w.abs() > CRITICAL => fixed(w, 2),
                    Some(_) => "hardly".to_owned(),
                    None => "unchecked".to_owned(),
                },
            ]
        })
        .collect()
}
