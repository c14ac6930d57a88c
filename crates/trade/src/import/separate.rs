//! From pasted text to rows of cells, for each way cells may be told apart.

/// One cell and the line it stands in, counted from 1.
#[derive(Clone, Debug)]
pub(crate) struct Cell {
    pub line: usize,
    pub text: String,
}

impl Cell {
    pub fn is_empty(&self) -> bool {
        self.text.is_empty()
    }
}

/// What stands between two cells.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Separator {
    Tab,
    Semicolon,
    Comma,
    /// A tab, or two or more spaces.
    Spaces,
}

impl Separator {
    /// In the order of preference when two explain a text equally well.
    pub const ALL: [Self; 4] = [Self::Tab, Self::Semicolon, Self::Comma, Self::Spaces];
}

/// Text with plain line ends and plain spaces; the number of lines stays.
pub(crate) fn clean(text: &str) -> String {
    text.replace("\r\n", "\n")
        .chars()
        .filter_map(|c| match c {
            '\r' => Some('\n'),
            '\n' | '\t' => Some(c),
            // Byte order mark, soft hyphen, characters without width.
            '\u{feff}' | '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{2060}' => None,
            c if c.is_whitespace() || c.is_control() => Some(' '),
            c => Some(c),
        })
        .collect()
}

/// The rows that hold anything. `text` is already clean.
pub(crate) fn rows(text: &str, separator: Separator) -> Vec<Vec<Cell>> {
    let mut rows = match separator {
        Separator::Tab => delimited(text, b'\t'),
        Separator::Semicolon => delimited(text, b';'),
        Separator::Comma => delimited(text, b','),
        Separator::Spaces => text.lines().zip(1..).map(|(line, n)| spaced(line, n)).collect(),
    };
    rows.retain(|row| row.iter().any(|cell| !cell.is_empty()));
    let indent = rows.iter().filter_map(|row| row.iter().position(|c| !c.is_empty())).min();
    for row in &mut rows {
        row.drain(..indent.unwrap_or(0));
    }
    rows
}

/// Rows of a delimited text. Quoted cells are honoured unless the quotes are
/// evidently inch marks or strays that would swallow the lines below.
fn delimited(text: &str, delimiter: u8) -> Vec<Vec<Cell>> {
    let quoted = parse(text, delimiter, true);
    let swallowed = |cell: &Cell| cell.text.contains('\n') && cell.text.as_bytes().contains(&delimiter);
    let mut rows =
        if quoted.iter().flatten().any(swallowed) { parse(text, delimiter, false) } else { quoted };
    for cell in rows.iter_mut().flatten() {
        // A tab that does not separate must not join "455" and "mm" of two columns.
        let text = if delimiter == b'\t' { cell.text.clone() } else { cell.text.trim().replace('\t', " | ") };
        cell.text = tidy(&text);
    }
    rows
}

fn parse(text: &str, delimiter: u8, quoting: bool) -> Vec<Vec<Cell>> {
    let lines: Vec<&str> = text.lines().collect();
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .quoting(quoting)
        .has_headers(false)
        .flexible(true)
        .from_reader(text.as_bytes());
    let mut rows = Vec::new();
    let mut record = csv::ByteRecord::new();
    // Reading from memory cannot fail, and a flexible reader takes any width.
    while reader.read_byte_record(&mut record).unwrap_or(false) {
        let mut line = record.position().map_or(1, |p| p.line() as usize);
        // The reader's position comes before the empty lines that it skips.
        while lines.get(line - 1).is_some_and(|l| l.is_empty()) {
            line += 1;
        }
        let cell = |field: &[u8]| Cell { line, text: String::from_utf8_lossy(field).into_owned() };
        rows.push(record.iter().map(cell).collect());
    }
    rows
}

/// Cells of one line in columns told apart by a tab or at least two spaces.
fn spaced(line: &str, number: usize) -> Vec<Cell> {
    let tabbed = line.trim_end().replace('\t', "  ");
    let mut cells = Vec::new();
    let mut rest = tabbed.as_str();
    loop {
        let (text, after) = rest.split_once("  ").unwrap_or((rest, ""));
        cells.push(Cell { line: number, text: tidy(text) });
        rest = after.trim_start();
        if rest.is_empty() {
            return cells;
        }
    }
}

/// One line, single spaces, without the quotes around the whole.
fn tidy(text: &str) -> String {
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    match text.strip_prefix('"').and_then(|t| t.strip_suffix('"')) {
        Some(inside) if !inside.contains('"') => inside.trim().to_owned(),
        _ => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(text: &str, separator: Separator) -> Vec<(usize, Vec<String>)> {
        rows(&clean(text), separator)
            .into_iter()
            .map(|row| (row[0].line, row.into_iter().map(|c| c.text).collect()))
            .collect()
    }

    fn row(line: usize, cells: &[&str]) -> (usize, Vec<String>) {
        (line, cells.iter().map(ToString::to_string).collect())
    }

    #[test]
    fn line_numbers_survive_blank_lines_and_line_ends() {
        let text = "\u{feff}\r\nSize;S\r\n\r\n\r\nReach;455\r\n";
        assert_eq!(texts(text, Separator::Semicolon), [row(2, &["Size", "S"]), row(5, &["Reach", "455"])]);
    }

    #[test]
    fn a_quoted_cell_may_span_lines() {
        let text = "\"Reach\n(mm)\"\t455\nStack\t620";
        assert_eq!(texts(text, Separator::Tab), [row(1, &["Reach (mm)", "455"]), row(3, &["Stack", "620"])]);
    }

    #[test]
    fn a_stray_quote_does_not_swallow_the_lines_below() {
        let text = "\"Reach;455\nStack;620";
        assert_eq!(
            texts(text, Separator::Semicolon),
            [row(1, &["\"Reach", "455"]), row(2, &["Stack", "620"])]
        );
    }

    #[test]
    fn columns_by_spaces_keep_single_spaces_within_a_cell() {
        let text = "               S       M\nHead angle   64.5\u{a0}°   64\u{2009}°";
        assert_eq!(
            texts(text, Separator::Spaces),
            [row(1, &["", "S", "M"]), row(2, &["Head angle", "64.5 °", "64 °"])]
        );
    }
}
