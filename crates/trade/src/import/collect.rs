//! From strips of cells to the figures of each size.

use std::collections::{BTreeMap, HashMap};

use super::headers::{HEADERS, Meaning, Measure, Word};
use super::heading::{self, Named};
use super::layout::{self, Strip, Table};
use super::place::{self, Placed, Value};
use super::record::PATHS;
use super::separate::Cell;
use super::{Line, Remark, cell};

/// What the cells of a table came to.
#[derive(Default)]
pub(super) struct Collected {
    pub sizes: Vec<Size>,
    pub not_understood: Vec<Line>,
    pub remarks: Vec<Remark>,
    /// Where each path was first met: its line and heading.
    met: HashMap<&'static str, (usize, String)>,
}

/// One size with its figures, keyed by the place of the path in [`PATHS`].
pub(super) struct Size {
    /// `None` when the table names no sizes and has one column only.
    pub name: Option<String>,
    column: usize,
    line: usize,
    slots: BTreeMap<usize, Slot>,
}

struct Slot {
    value: Value,
    /// The cell as it was pasted.
    text: String,
    heading: String,
    line: usize,
    /// Another line gives another figure, so neither is used.
    disputed: bool,
}

impl Size {
    /// The figures that nothing in the table contradicts.
    pub fn figures(&self) -> BTreeMap<usize, Value> {
        let sure = self.slots.iter().filter(|(_, slot)| !slot.disputed);
        sure.map(|(path, slot)| (*path, slot.value.clone())).collect()
    }

    /// The size as it is called in reports.
    pub fn called(&self) -> &str {
        self.name.as_deref().unwrap_or("not given")
    }
}

/// Reads all strips of a table.
pub(super) fn collect(table: &Table) -> Collected {
    let mut collected = Collected::default();
    let mut columns = Columns::find(table);
    collected.name_sizes(table, &columns);
    let mut second_table = false;
    for strip in &table.strips {
        let repeats =
            HEADERS.word(&strip.label.text) == Some(Word::Size) && strip.cells.iter().any(|c| !c.is_empty());
        if second_table {
            collected
                .refuse_strip(strip, "Below a second line of sizes. Import the second table on its own.");
        } else if repeats && same_sizes(table, strip) {
            collected.remark(strip.label.line, "The line of sizes is repeated.".to_owned());
        } else if repeats {
            second_table = true;
            collected.refuse_strip(
                strip,
                "A second, different line of sizes. Import the second table on its own.",
            );
        } else {
            collected.strip(strip, &mut columns);
        }
    }
    collected.drop_empty_sizes();
    collected
}

/// The columns beside the headings that hold figures, and those that do not.
struct Columns {
    values: Vec<usize>,
    /// A column of units.
    units: Option<usize>,
}

impl Columns {
    fn find(table: &Table) -> Self {
        let known: Vec<&Strip> =
            table.strips.iter().filter(|s| layout::meaning(&s.label).is_some()).collect();
        let width = table.strips.iter().map(|strip| strip.cells.len());
        let width = width.chain(table.sizes.iter().map(|sizes| sizes.cells.len())).max().unwrap_or(0);
        let mut columns = Self { values: Vec::new(), units: None };
        for column in 0..width {
            let header = table.sizes.as_ref().and_then(|sizes| sizes.cells.get(column));
            let header = header.map_or("", |cell| cell.text.as_str());
            let filled: Vec<&str> = (known.iter().filter_map(|strip| strip.cells.get(column)))
                .filter(|cell| !cell.is_empty())
                .map(|cell| cell.text.as_str())
                .collect();
            let may_be_notes = header.is_empty() || heading_of_notes(header);
            let all = |test: fn(&str) -> bool| !filled.is_empty() && filled.iter().all(|text| test(text));
            if may_be_notes && columns.units.is_none() && all(is_unit) {
                columns.units = Some(column);
            } else if may_be_notes && all(|text| text.len() == 1 && text.as_bytes()[0].is_ascii_alphabetic())
            {
                // Keys into the table's picture.
            } else if !(cell::is_absent(header) && filled.is_empty()) {
                columns.values.push(column);
            }
        }
        columns
    }
}

fn is_unit(text: &str) -> bool {
    text == "\"" || cell::is_absent(text) || heading::read(text).bare_unit().is_some()
}

fn heading_of_notes(header: &str) -> bool {
    matches!(HEADERS.word(header), Some(Word::Unit | Word::Corner)) || is_unit(header)
}

fn same_sizes(table: &Table, strip: &Strip) -> bool {
    let texts = |cells: &[Cell]| -> Vec<String> {
        let mut texts: Vec<String> = cells.iter().map(|cell| cell.text.clone()).collect();
        while texts.last().is_some_and(String::is_empty) {
            texts.pop();
        }
        texts
    };
    table.sizes.as_ref().is_some_and(|sizes| texts(&sizes.cells) == texts(&strip.cells))
}

impl Collected {
    fn name_sizes(&mut self, table: &Table, columns: &Columns) {
        let first_line = table.strips.first().map_or(1, |strip| strip.label.line);
        for (nth, &column) in columns.values.iter().enumerate() {
            let header = table.sizes.as_ref().and_then(|sizes| sizes.cells.get(column));
            let named = header.filter(|cell| !cell::is_absent(&cell.text));
            let line = header.map_or(first_line, |cell| cell.line);
            let name = match named {
                Some(cell) => Some(cell.text.clone()),
                None if columns.values.len() == 1 => None,
                None => Some(format!("column {}", nth + 1)),
            };
            if named.is_none() {
                let called = name.as_deref().unwrap_or("not given");
                self.remark(
                    line,
                    format!("The table does not name this size; it is called \"{called}\" here."),
                );
            } else if self.sizes.iter().any(|size| size.name == name) {
                let name = name.as_deref().unwrap_or_default();
                self.remark(
                    line,
                    format!("The size \"{name}\" stands more than once; each becomes its own record."),
                );
            }
            self.sizes.push(Size { name, column, line, slots: BTreeMap::new() });
        }
    }

    fn strip(&mut self, strip: &Strip, columns: &mut Columns) {
        let read = heading::read(&strip.label.text);
        match HEADERS.meaning(&read) {
            Some(Meaning::Measure(measure)) => self.measure(strip, measure, read.named, columns),
            Some(Meaning::Unclear(why)) => self.refuse_strip(strip, why),
            None if strip.label.is_empty() && strip.cells.iter().all(Cell::is_empty) => {}
            None if strip.label.is_empty() => self.refuse_strip(strip, "Cells without a heading."),
            None if strip.cells.iter().all(Cell::is_empty) => {
                self.refuse_strip(strip, "A line of text without figures.");
            }
            None => {
                let near = HEADERS.nearest(&read);
                let near =
                    near.map_or_else(String::new, |name| format!(" The nearest known one is \"{name}\"."));
                self.refuse_strip(strip, &format!("The heading is not known.{near}"));
            }
        }
    }

    fn measure(&mut self, strip: &Strip, measure: &'static Measure, named: Named, columns: &Columns) {
        let beside = columns.units.and_then(|column| strip.cells.get(column));
        let beside = beside.map_or(Named::Nothing, |cell| match cell.text.as_str() {
            "\"" => Named::One(heading::Unit::Inch),
            text => heading::read(text).named,
        });
        let named = named.and(beside);
        if place::wrong_unit(measure, named) {
            return self.refuse_strip(strip, "The unit in the heading is not one this measure can have.");
        }
        if strip.cells.iter().all(|cell| cell::is_absent(&cell.text)) {
            return self.refuse_strip(strip, "No figures for this measure.");
        }
        let paths = place::paths(&measure.key);
        if let Some((line, heading)) = paths.iter().find_map(|path| self.met.get(path)).cloned() {
            self.refuse_strip(strip, &format!(
                "The same measure already stands in line {line} under \"{heading}\". Equal figures count once, \
                 unequal ones are left out, and what was missing there is taken from here.",
            ));
        }
        for path in paths {
            let here = || (strip.label.line, strip.label.text.clone());
            self.met.entry(path).or_insert_with(here);
        }
        self.warn_of_merged_cells(strip);
        for nth in 0..self.sizes.len() {
            let Some(cell) = strip.cells.get(self.sizes[nth].column) else {
                continue;
            };
            match place::place(measure, named, &cell.text) {
                Ok(None) => {}
                Ok(Some(placed)) => self.put(nth, strip, cell, &placed),
                Err(why) => self.refuse_cell(nth, &strip.label.text, cell.line, &cell.text, why),
            }
        }
    }

    /// A cell merged over all sizes keeps its text in the first one only.
    fn warn_of_merged_cells(&mut self, strip: &Strip) {
        let mut cells = self.sizes.iter().map(|size| strip.cells.get(size.column));
        let filled = |cell: Option<&Cell>| cell.is_some_and(|cell| !cell.is_empty());
        if self.sizes.len() > 1 && filled(cells.next().flatten()) && !cells.any(filled) {
            self.remark(strip.label.line, format!(
                "\"{}\" has a figure for the first size only. If the cell was merged over all sizes, repeat the \
                 figure in each.",
                strip.label.text
            ));
        }
    }

    fn put(&mut self, nth: usize, strip: &Strip, cell: &Cell, placed: &Placed) {
        if let Some(text) = &placed.remark {
            let called = self.sizes[nth].called().to_owned();
            self.remark(cell.line, format!("Size {called}: {text}"));
        }
        for path in placed.paths {
            let Some(place) = PATHS.iter().position(|known| known == path) else {
                continue;
            };
            let slot = Slot {
                value: placed.value.clone(),
                text: cell.text.clone(),
                heading: strip.label.text.clone(),
                line: cell.line,
                disputed: false,
            };
            match self.sizes[nth].slots.get_mut(&place) {
                None => {
                    self.sizes[nth].slots.insert(place, slot);
                }
                Some(earlier) if earlier.value.agrees(&slot.value) => {}
                Some(earlier) => {
                    let why = "Two lines of the table disagree on this measure; neither figure is used.";
                    let known = (earlier.heading.clone(), earlier.line, earlier.text.clone());
                    let first_dispute = !earlier.disputed;
                    earlier.disputed = true;
                    if first_dispute {
                        self.refuse_cell(nth, &known.0, known.1, &known.2, why.to_owned());
                    }
                    self.refuse_cell(nth, &slot.heading, slot.line, &cell.text, why.to_owned());
                }
            }
        }
    }

    fn drop_empty_sizes(&mut self) {
        let (kept, empty): (Vec<_>, Vec<_>) = std::mem::take(&mut self.sizes)
            .into_iter()
            .partition(|size| size.slots.values().any(|s| !s.disputed));
        self.sizes = kept;
        for size in empty {
            self.not_understood.push(Line {
                number: size.line,
                text: size.called().to_owned(),
                why: "Not one figure was understood for this size, so there is no record of it.".to_owned(),
            });
        }
    }

    fn refuse_strip(&mut self, strip: &Strip, why: &str) {
        let cells: Vec<&str> =
            strip.cells.iter().map(|cell| cell.text.as_str()).filter(|text| !text.is_empty()).collect();
        let text = match (strip.label.text.as_str(), cells.join(" | ")) {
            (label, cells) if cells.is_empty() => label.to_owned(),
            ("", cells) => cells,
            (label, cells) => format!("{label}: {cells}"),
        };
        self.not_understood.push(Line { number: strip.label.line, text, why: why.to_owned() });
    }

    fn refuse_cell(&mut self, nth: usize, heading: &str, line: usize, text: &str, why: String) {
        let text = format!("{heading}, size {}: {text}", self.sizes[nth].called());
        self.not_understood.push(Line { number: line, text, why });
    }

    fn remark(&mut self, line: usize, text: String) {
        self.remarks.push(Remark { number: Some(line), text });
    }
}
