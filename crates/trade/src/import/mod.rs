//! A pasted geometry table becomes one bike record for each size.
//!
//! The text comes as people copy it from a spreadsheet or a page: cells told
//! apart by tabs, semicolons, commas or wide spaces, measures below or beside
//! each other, headings in English, German, French, Italian or Spanish.
//! Nothing is guessed and nothing is dropped: what did not end up in a record
//! is listed with its line and the reason.
//!
//! In reading order:
//! - `separate`: text to rows of cells;
//! - `layout`: which side holds the measures, which line the sizes;
//! - `headers` and `heading`: what a heading means (the names are a data file);
//! - `cell`: one cell to a figure with its unit;
//! - `place`: where a figure belongs, whether it is possible, how it is written;
//! - `collect`: all cells of a table to the figures of each size;
//! - `record`: the figures of a size to a record;
//! - `report`: the outcome in plain words.

use std::collections::HashMap;

mod cell;
mod collect;
mod headers;
mod heading;
mod layout;
mod place;
mod record;
mod report;
pub(crate) mod separate;

pub use report::report;

/// What the table itself may not say.
#[derive(Clone, Debug, Default)]
pub struct Options {
    /// Name of the bike; without it the table's title, or "Unnamed bike".
    pub name: Option<String>,
    /// Kind of bike, written into each record as it is.
    pub kind: Option<String>,
}

/// The outcome of an import.
#[derive(Clone, Debug, Default)]
pub struct Import {
    /// One record for each size with at least one figure, in the table's order.
    pub records: Vec<Imported>,
    /// Each line or cell that is in no record, by line number.
    pub not_understood: Vec<Line>,
    /// What was understood but is worth a second look, by line number.
    pub remarks: Vec<Remark>,
}

/// The record of one size.
#[derive(Clone, Debug)]
pub struct Imported {
    /// The size as the table calls it, or "not given".
    pub size: String,
    /// File name without ending, plain ASCII, unique in this import.
    pub file_stem: String,
    /// The record's text.
    pub toml: String,
    /// The figures in the record, for showing.
    pub figures: Vec<ImportedFigure>,
}

/// One figure of a record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ImportedFigure {
    /// Path in the record, such as `chart.reach`.
    pub path: String,
    /// The trade's word for the measure.
    pub name: String,
    /// The figure as it is written: mm or degrees without a unit, else with it.
    pub value: String,
}

/// A line or cell that was not understood.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// Line in the pasted text, from 1.
    pub number: usize,
    /// What stands there.
    pub text: String,
    /// Why it is in no record, and what to do.
    pub why: String,
}

/// Something that was understood but should be looked at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Remark {
    /// Line in the pasted text, from 1, if it is about one.
    pub number: Option<usize>,
    /// The remark.
    pub text: String,
}

/// Reads a pasted geometry table.
///
/// # Examples
///
/// ```
/// use knockon_trade::import::{Options, import};
///
/// let read = import("Invented bike;S;M\nLenkwinkel;64,5°;64,0°", &Options::default());
/// assert_eq!(
///     read.records[1].toml,
///     "name = \"Invented bike\"\nsize = \"M\"\n\n[chart]\nhead_angle = 64.0\n"
/// );
/// ```
pub fn import(text: &str, options: &Options) -> Import {
    let text = separate::clean(text);
    let Some(table) = layout::find(&text) else {
        return without_table(&text);
    };
    let collected = collect::collect(&table);
    let mut import = Import {
        not_understood: [table.not_understood, collected.not_understood].concat(),
        remarks: [table.remarks, collected.remarks].concat(),
        ..Import::default()
    };
    let title = table.title.as_ref().map(|cell| cell.text.clone());
    let given = filled(options.name.as_deref());
    if let (Some(name), Some(cell)) = (given, &table.title) {
        let text = format!("The table's title \"{}\" is not used, the bike is named \"{name}\".", cell.text);
        import.remarks.push(Remark { number: Some(cell.line), text });
    }
    let name = given.map(str::to_owned).or(title).unwrap_or_else(|| "Unnamed bike".to_owned());
    let kind = filled(options.kind.as_deref());
    let mut used = HashMap::new();
    for size in &collected.sizes {
        let figures = size.figures();
        let toml = record::write(&name, size.name.as_deref(), kind, &figures);
        import.remarks.extend(faults(size.called(), &toml));
        import.records.push(Imported {
            size: size.called().to_owned(),
            file_stem: record::file_stem(&name, size.name.as_deref().unwrap_or_default(), &mut used),
            toml,
            figures: figures.iter().map(|(path, value)| shown(record::PATHS[*path], value)).collect(),
        });
    }
    import.not_understood.sort_by_key(|line| line.number);
    import.remarks.sort_by_key(|remark| remark.number);
    import
}

fn filled(text: Option<&str>) -> Option<&str> {
    text.map(str::trim).filter(|text| !text.is_empty())
}

/// What reading the record back would complain about: figures that cannot stand together.
fn faults(size: &str, toml: &str) -> Vec<Remark> {
    let Err(problems) = crate::record::parse(size, toml) else {
        return Vec::new();
    };
    let remark = |problem: crate::problem::Problem| Remark {
        number: None,
        text: format!("The record of size {size} has to be mended by hand before use: {}.", problem.message),
    };
    problems.into_iter().map(remark).collect()
}

fn shown(path: &str, value: &place::Value) -> ImportedFigure {
    let name = headers::HEADERS.name(path).unwrap_or(path);
    ImportedFigure { path: path.to_owned(), name: name.to_owned(), value: value.plain().to_owned() }
}

/// No heading is known, or the text is far too large: every line is listed.
fn without_table(text: &str) -> Import {
    let why = "No geometry table was found here. The columns must be told apart by tabs, semicolons, commas or at \
        least two spaces, the headings must name measures such as \"reach\", and a very large text is not read.";
    let lines = text.lines().zip(1..).filter(|(line, _)| !line.trim().is_empty());
    Import {
        not_understood: lines
            .map(|(line, number)| Line { number, text: line.trim().to_owned(), why: why.to_owned() })
            .collect(),
        ..Import::default()
    }
}
