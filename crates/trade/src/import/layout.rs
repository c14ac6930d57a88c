//! Which side of a table holds the measures, and which line the sizes.
//!
//! A text is tried with each separator and both ways round; the reading that
//! knows most headings wins, and among equals the one with most figures. So
//! a decimal comma or a comma inside a heading needs no rule of its own.

use super::cell::{self, Content};
use super::headers::{HEADERS, Meaning, Word};
use super::heading;
use super::separate::{self, Cell, Separator};
use super::{Line, Remark};

/// One measure: its heading and a cell for each column of the heading line.
#[derive(Debug)]
pub(super) struct Strip {
    pub label: Cell,
    pub cells: Vec<Cell>,
}

/// The line of sizes, its own heading first.
#[derive(Debug)]
pub(super) struct Sizes {
    pub label: Cell,
    pub cells: Vec<Cell>,
}

/// A table turned so that each strip is one measure.
#[derive(Debug, Default)]
pub(super) struct Table {
    pub title: Option<Cell>,
    pub sizes: Option<Sizes>,
    pub strips: Vec<Strip>,
    pub not_understood: Vec<Line>,
    pub remarks: Vec<Remark>,
}

/// More cells than this is no geometry table; turning it round could fill the memory.
const MOST_CELLS: usize = 100_000;
/// Headings are looked for in so many lines or columns from the edge.
const EDGE: usize = 16;

/// One way to read the text.
struct Reading {
    rows: Vec<Vec<Cell>>,
    separator: Separator,
    /// The measures stand side by side in one line, not below each other.
    turned: bool,
    /// The column, or when turned the line, with the headings.
    edge: usize,
    /// Known headings, then figures beside them.
    score: (usize, usize),
}

/// Finds the table in a clean text. `None` if no heading in it is known.
pub(super) fn find(text: &str) -> Option<Table> {
    let mut best: Option<Reading> = None;
    for separator in Separator::ALL {
        let rows = separate::rows(text, separator);
        let width = rows.iter().map(Vec::len).max().unwrap_or(0);
        if rows.len() * width > MOST_CELLS {
            continue;
        }
        let columns = turn(&rows);
        for turned in [false, true] {
            let strips = if turned { &columns } else { &rows };
            let Some((score, edge)) = score(strips) else {
                continue;
            };
            // A heading alone in its line has no sizes or measures beside it.
            if turned && rows[edge].iter().filter(|cell| !cell.is_empty()).count() < 2 {
                continue;
            }
            if best.as_ref().is_none_or(|b| score > b.score) {
                best = Some(Reading { rows: rows.clone(), separator, turned, edge, score });
            }
        }
    }
    best.map(|reading| if reading.turned { across(reading) } else { down(reading) })
}

/// The best column of headings: how many it knows, how many figures follow.
fn score(rows: &[Vec<Cell>]) -> Option<((usize, usize), usize)> {
    let width = rows.iter().map(Vec::len).max().unwrap_or(0).min(EDGE);
    let scored = (0..width).map(|column| {
        let known: Vec<&Vec<Cell>> = rows.iter().filter(|row| is_measure(row.get(column))).collect();
        let figures = known.iter().flat_map(|row| &row[column + 1..]).filter(|c| is_figure(c)).count();
        ((known.len(), figures), column)
    });
    scored.filter(|((known, _), _)| *known > 0).max_by(|a, b| a.0.cmp(&b.0).then(b.1.cmp(&a.1)))
}

/// Measures below each other, sizes side by side.
fn down(reading: Reading) -> Table {
    let Reading { mut rows, separator, edge, .. } = reading;
    let mut table = Table::default();
    let first = rows.iter().position(|row| is_measure(row.get(edge))).unwrap_or(0);
    let sizes = sizes_line(&rows, edge, first);
    let start = sizes.map_or(first, |line| line.min(first));
    let sizes = sizes.map(|line| line - start);
    let above: Vec<_> = rows.drain(..start).collect();
    table.read_above(above, false);
    if let Some(line) = sizes {
        make_room_for_corner(&mut rows, line, edge, separator);
    }
    let header = sizes.unwrap_or(0);
    let rows = table.checked(rows, header, separator);
    // The check keeps the header line, and every line above it, in place or drops it.
    let sizes = sizes.and_then(|_| rows.iter().position(|(is_header, _)| *is_header));
    let rows: Vec<_> = rows.into_iter().map(|(_, row)| row).collect();
    table.take(rows, edge, sizes);
    table.title_from_corner();
    table
}

/// Sizes below each other, measures side by side.
fn across(reading: Reading) -> Table {
    let Reading { mut rows, separator, edge, .. } = reading;
    let mut table = Table::default();
    let above: Vec<_> = rows.drain(..edge).collect();
    table.read_above(above, true);
    make_room_for_corner(&mut rows, 0, 0, separator);
    let rows = table.checked(rows, 0, separator);
    let rows: Vec<_> = rows.into_iter().map(|(_, row)| row).collect();
    let columns = turn(&rows);
    let first = columns.iter().position(|column| is_measure(column.first())).unwrap_or(0);
    let sizes = sizes_line(&columns, 0, first);
    table.take(columns, 0, sizes);
    table
}

impl Table {
    /// Lines above the table: the first that is a lone text names the bike.
    /// Above headings that stand side by side there may be keys into a picture.
    fn read_above(&mut self, rows: Vec<Vec<Cell>>, keys: bool) {
        for row in rows {
            let filled: Vec<&Cell> = row.iter().filter(|cell| !cell.is_empty()).collect();
            let [only] = filled.as_slice() else {
                if !(keys && filled.iter().all(|cell| heading::is_key(&cell.text))) {
                    self.refuse(
                        &filled,
                        "Stands above the table and holds no known measure. If it names \
                        the sizes, write \"Size\" in front of it.",
                    );
                }
                continue;
            };
            let speaks_of_units = heading::read(&only.text).named != heading::Named::Nothing;
            if HEADERS.word(&only.text).is_some() || speaks_of_units || self.title.is_some() {
                self.refuse(
                    &filled,
                    "A line of text, not a row of the table. If it names a unit, \
                    write the unit in the headings.",
                );
            } else {
                self.title = Some((*only).clone());
            }
        }
    }

    /// Drops and reports rows that are wider than the heading line, and, where
    /// empty cells cannot be seen, rows that are narrower.
    fn checked(
        &mut self,
        rows: Vec<Vec<Cell>>,
        header: usize,
        separator: Separator,
    ) -> Vec<(bool, Vec<Cell>)> {
        let width = rows.get(header).map_or(0, |row| filled_width(row));
        let mut kept = Vec::new();
        for (index, row) in rows.into_iter().enumerate() {
            let own = filled_width(&row);
            let filled: Vec<&Cell> = row.iter().filter(|cell| !cell.is_empty()).collect();
            if own > width {
                self.refuse(
                    &filled,
                    "More cells than the heading line has columns, so it is not certain which \
                    figure belongs where. With a decimal comma, separate the cells by semicolons or tabs.",
                );
            } else if own < width && filled.len() > 1 && separator == Separator::Spaces {
                self.refuse(
                    &filled,
                    "Fewer cells than the heading line has columns, and between spaces an empty \
                    cell cannot be seen. Write - for each empty cell.",
                );
            } else {
                if own < width && filled.len() > 1 && row.len() < width {
                    self.remarks.push(Remark {
                        number: row.first().map(|cell| cell.line),
                        text: format!(
                            "Shorter than the heading line by {}; the missing cells count as empty.",
                            width - own
                        ),
                    });
                }
                kept.push((index == header, row));
            }
        }
        kept
    }

    /// Cuts the rows into heading and cells.
    fn take(&mut self, rows: Vec<Vec<Cell>>, edge: usize, sizes: Option<usize>) {
        for (index, mut row) in rows.into_iter().enumerate() {
            let line = row.first().map_or(0, |cell| cell.line);
            if row.len() <= edge {
                row.resize(edge + 1, Cell { line, text: String::new() });
            }
            let cells = row.split_off(edge + 1);
            let label = row.pop().unwrap_or(Cell { line, text: String::new() });
            let beside: Vec<&Cell> =
                row.iter().filter(|c| !c.is_empty() && !is_beside_the_point(&c.text)).collect();
            if !beside.is_empty() {
                self.refuse(&beside, "Stands in front of the heading and is not used.");
            }
            if sizes == Some(index) {
                self.sizes = Some(Sizes { label, cells });
            } else {
                self.strips.push(Strip { label, cells });
            }
        }
    }

    /// In a table of measures below each other, the cell above them may name the bike.
    fn title_from_corner(&mut self) {
        let Some(label) = self.sizes.as_ref().map(|sizes| sizes.label.clone()) else {
            return;
        };
        if label.is_empty() || is_beside_the_point(&label.text) {
            return;
        }
        if self.title.is_some() {
            self.refuse(&[&label], "A second text that could be the bike's name; the first is used.");
        } else {
            self.title = Some(label);
        }
    }

    fn refuse(&mut self, cells: &[&Cell], why: &str) {
        self.not_understood.push(Line {
            number: cells.first().map_or(0, |cell| cell.line),
            text: cells.iter().map(|cell| cell.text.as_str()).collect::<Vec<_>>().join(" | "),
            why: why.to_owned(),
        });
    }
}

/// The row that names the sizes: the first one headed by a word for size, else
/// the topmost above the first measure with a plain corner, else the topmost
/// that could not be a measure itself.
fn sizes_line(rows: &[Vec<Cell>], edge: usize, first: usize) -> Option<usize> {
    let beyond = |line: usize| rows[line].iter().skip(edge + 1).filter(|cell| !cell.is_empty());
    let corner = |line: usize| rows[line].get(edge).map_or("", |cell| cell.text.as_str());
    let filled = |line: &usize| beyond(*line).next().is_some();
    let headed = |line: &usize| HEADERS.word(corner(*line)) == Some(Word::Size);
    if let Some(line) = (0..rows.len()).filter(filled).find(headed) {
        return Some(line);
    }
    let possible: Vec<usize> =
        (0..first).filter(filled).filter(|line| !beyond(*line).any(|cell| is_measure(Some(cell)))).collect();
    let plain = |line: &&usize| is_beside_the_point(corner(**line));
    // "Weight: 12.1 kg, 12.3 kg" is no line of sizes; "My bike: 54, 56" looks the same.
    let worded =
        |line: &&usize| beyond(**line).any(|cell| !cell.text.starts_with(|c: char| c.is_ascii_digit()));
    possible.iter().find(plain).or_else(|| possible.iter().find(worded)).copied()
}

/// A heading line copied without its empty corner is one cell short; the rows
/// below show it. With commas the extra cells may be decimals, so not there.
fn make_room_for_corner(rows: &mut [Vec<Cell>], header: usize, edge: usize, separator: Separator) {
    let pasted_columns = matches!(separator, Separator::Tab | Separator::Spaces);
    let width = filled_width(&rows[header]);
    let corner = &rows[header][0];
    if !pasted_columns || edge != 0 || corner.is_empty() || HEADERS.word(&corner.text).is_some() {
        return;
    }
    let line = corner.line;
    let mut below = rows.iter().skip(header + 1).filter(|row| filled_width(row) > 1).peekable();
    // A column of notes or units at the end looks the same; it holds no figures.
    let shifted =
        |row: &Vec<Cell>| filled_width(row) == width + 1 && is_figure(&row[width]) && !is_figure(&row[0]);
    if below.peek().is_some() && below.all(shifted) {
        rows[header].insert(0, Cell { line, text: String::new() });
    }
}

fn filled_width(row: &[Cell]) -> usize {
    row.iter().rposition(|cell| !cell.is_empty()).map_or(0, |last| last + 1)
}

fn is_measure(cell: Option<&Cell>) -> bool {
    cell.is_some_and(|cell| meaning(cell).is_some())
}

pub(super) fn meaning(cell: &Cell) -> Option<Meaning> {
    HEADERS.meaning(&heading::read(&cell.text))
}

fn is_figure(cell: &Cell) -> bool {
    matches!(cell::read(&cell.text), Content::Figure(_)) || cell::read_tyre(&cell.text).is_some()
}

/// Corner words, unit words, bare units, dashes and keys into a picture.
pub(super) fn is_beside_the_point(text: &str) -> bool {
    let read = heading::read(text);
    heading::is_key(&read.words.concat())
        || cell::is_absent(text)
        || HEADERS.word(text).is_some()
        || read.bare_unit().is_some()
}

/// Columns as rows; cells that a row lacks are filled with empty ones.
fn turn(rows: &[Vec<Cell>]) -> Vec<Vec<Cell>> {
    let width = rows.iter().map(Vec::len).max().unwrap_or(0);
    let at = |row: &Vec<Cell>, column: usize| {
        let line = row.first().map_or(0, |cell| cell.line);
        row.get(column).cloned().unwrap_or(Cell { line, text: String::new() })
    };
    (0..width).map(|column| rows.iter().map(|row| at(row, column)).collect()).collect()
}
