//! An import in plain words, for the command line.

use std::fmt::Write as _;

use super::{Import, Line};

/// What was understood for each size, what was not, and why.
///
/// # Examples
///
/// ```
/// use knockon_trade::import::{Options, import, report};
///
/// let read = import("Size;S;M\nReach;455;470\nColour;red;blue", &Options::default());
/// let text = report(&read);
/// assert!(text.contains("Size M: 1 figure"));
/// assert!(text.contains("line 3, \"Colour: red | blue\""));
/// ```
pub fn report(import: &Import) -> String {
    let mut out = String::new();
    // Writing to a String cannot fail.
    let _ = write_all(&mut out, import);
    out
}

fn write_all(out: &mut String, import: &Import) -> std::fmt::Result {
    match import.records.as_slice() {
        [] => writeln!(out, "No size was understood; nothing is written.")?,
        [_] => writeln!(out, "One size was understood.")?,
        more => writeln!(out, "{} sizes were understood.", more.len())?,
    }
    for record in &import.records {
        let count = record.figures.len();
        let figures = if count == 1 { "figure" } else { "figures" };
        writeln!(out, "\nSize {}: {count} {figures}, for {}.toml", record.size, record.file_stem)?;
        let listed: Vec<String> = record.figures.iter().map(|f| format!("{} {}", f.name, f.value)).collect();
        writeln!(out, "  {}", listed.join(", "))?;
    }
    if !import.remarks.is_empty() {
        writeln!(out, "\nRemarks")?;
    }
    for remark in &import.remarks {
        match remark.number {
            Some(number) => writeln!(out, "  line {number}: {}", remark.text)?,
            None => writeln!(out, "  {}", remark.text)?,
        }
    }
    if import.not_understood.is_empty() {
        return writeln!(out, "\nEvery line and cell was understood.");
    }
    writeln!(out, "\nNot understood, and not in any record")?;
    let together = |a: &Line, b: &Line| a.number == b.number && a.why == b.why;
    for group in import.not_understood.chunk_by(together) {
        for line in group {
            writeln!(out, "  line {}, \"{}\"", line.number, line.text)?;
        }
        writeln!(out, "    {}", group[0].why)?;
    }
    Ok(())
}
