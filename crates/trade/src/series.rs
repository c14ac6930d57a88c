//! Rows of numbers: the teeth of rings and cogs, the ratios of a hub gear, the readings of a spoke tension meter.

use std::fmt;

use serde::Deserialize;

/// What a row is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// Teeth: whole numbers.
    Teeth,
    /// Ratios: turns of the output for one of the input.
    Ratios,
    /// Readings of a meter in the order in which they were taken, alike ones among them.
    Readings,
    /// What a meter's readings mean: pairs of a reading and newtons.
    Table,
}

impl Kind {
    /// Beyond this a number is a slip of the pen. From memory, unverified.
    fn possible(self) -> [f64; 2] {
        match self {
            Kind::Teeth => [7.0, 80.0],
            Kind::Ratios => [0.1, 10.0],
            Kind::Readings | Kind::Table => [0.0, 5000.0],
        }
    }

    fn example(self) -> &'static str {
        match self {
            Kind::Teeth => "11-13-15-18-21-24-28-32",
            Kind::Ratios => "0.75, 1, 1.333",
            Kind::Readings => "22 23 21.5 22",
            Kind::Table => "20:800, 22:950, 24:1120",
        }
    }

    /// More than any bicycle has of one kind. From memory, unverified.
    fn most(self) -> usize {
        match self {
            Kind::Teeth | Kind::Ratios => 18,
            Kind::Readings => 48,
            Kind::Table => 80,
        }
    }

    /// Whether the numbers stand in an order of their own, smallest first and no two alike.
    fn is_sorted(self) -> bool {
        matches!(self, Kind::Teeth | Kind::Ratios)
    }
}

/// A row of numbers; teeth and ratios smallest first, no two alike.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// The numbers.
    pub values: Vec<f64>,
    kind: Kind,
}

/// Largest over smallest from which on two numbers are the ends of a row and not the whole of it: no two rings, and no two cogs that a
/// chain is shifted between, lie so far apart. From memory, unverified.
const ENDS: f64 = 1.7;

impl Series {
    /// Smallest.
    pub fn least(&self) -> f64 {
        self.values.first().copied().unwrap_or(f64::NAN)
    }

    /// Largest.
    pub fn most(&self) -> f64 {
        self.values.last().copied().unwrap_or(f64::NAN)
    }

    /// How many there are; `None` where only the ends were told.
    ///
    /// ```
    /// use knockon_trade::series::{Kind, Series};
    /// assert_eq!(Series::read("34-50", Kind::Teeth).unwrap().count(), Some(2));
    /// assert_eq!(Series::read("11-34", Kind::Teeth).unwrap().count(), None);
    /// ```
    pub fn count(&self) -> Option<usize> {
        let ends = self.kind == Kind::Teeth && self.values.len() == 2 && self.most() > ENDS * self.least();
        (!ends).then_some(self.values.len())
    }

    /// Reads numbers with hyphens, commas, slashes or blanks between them, in any order. The error says what is wrong and what would
    /// be right.
    ///
    /// ```
    /// use knockon_trade::series::{Kind, Series};
    /// assert_eq!(Series::read("50/34", Kind::Teeth).unwrap().to_string(), "34-50");
    /// assert_eq!(Series::read("1, 0.75 1.333", Kind::Ratios).unwrap().values, [0.75, 1.0, 1.333]);
    /// assert!(Series::read("34-5o", Kind::Teeth).unwrap_err().contains("`5o`"));
    /// ```
    pub fn read(text: &str, kind: Kind) -> Result<Series, String> {
        let inner = text.trim().trim_start_matches('[').trim_end_matches(']');
        let pairs = kind == Kind::Table;
        let apart = |c: char| {
            c.is_whitespace()
                || matches!(c, '-' | '–' | '−' | ',' | ';' | '/' | '×')
                || pairs && matches!(c, ':' | '=')
        };
        let mut values = Vec::new();
        for word in inner.split(apart).filter(|word| !word.is_empty()) {
            let word = word.trim_end_matches(['t', 'T']);
            let value: f64 = word
                .parse()
                .ok()
                .filter(|value: &f64| value.is_finite())
                .ok_or_else(|| format!("`{word}` is not a number; write them like {}", kind.example()))?;
            if kind == Kind::Teeth && value.fract() != 0.0 {
                return Err(format!("nothing has {word} teeth"));
            }
            let [least, most] = kind.possible();
            if !(least..=most).contains(&value) {
                let unit = if kind == Kind::Teeth { " teeth" } else { "" };
                return Err(format!("{word} is not possible: {least} to {most}{unit}"));
            }
            values.push(value);
        }
        if kind.is_sorted() {
            values.sort_by(f64::total_cmp);
        }
        if pairs && !is_table(&values) {
            return Err(format!("it is pairs with rising readings and newtons, such as {}", kind.example()));
        }
        if let Some([twice, _]) = values.windows(2).find(|pair| kind.is_sorted() && pair[0] == pair[1]) {
            return Err(format!("{twice} stands there twice"));
        }
        match values.len() {
            0 => Err(format!("no number; write them like {}", kind.example())),
            many if many <= kind.most() => Ok(Series { values, kind }),
            many => Err(format!("{many} numbers are more than any bicycle has")),
        }
    }
}

/// Whether these are pairs of which both halves rise.
fn is_table(values: &[f64]) -> bool {
    let rises = |at: usize| values.windows(4).step_by(2).all(|two| two[at + 2] > two[at]);
    values.len() >= 4 && values.len().is_multiple_of(2) && rises(0) && rises(1)
}

impl fmt::Display for Series {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let values: Vec<String> = match self.kind {
            Kind::Table => {
                self.values.chunks(2).map(|pair| format!("{}:{}", pair[0], pair[pair.len() - 1])).collect()
            }
            _ => self.values.iter().map(ToString::to_string).collect(),
        };
        f.write_str(&values.join(if self.kind == Kind::Teeth { "-" } else { ", " }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_printed_reads_back() {
        for (text, kind) in
            [("11-13-15-17", Kind::Teeth), ("32", Kind::Teeth), ("0.734, 1, 1.362", Kind::Ratios)]
        {
            let series = Series::read(text, kind).unwrap();
            assert_eq!(series.to_string(), text);
            assert_eq!(Series::read(&series.to_string(), kind).unwrap(), series);
        }
    }

    #[test]
    fn slips_are_named() {
        let wrong = |text| Series::read(text, Kind::Teeth).unwrap_err();
        assert!(wrong("").contains("no number"));
        assert!(wrong("34.5").contains("34.5 teeth"));
        assert!(wrong("34-34").contains("twice"));
        assert!(wrong("2-34").contains("not possible"));
        assert!(wrong("inf").contains("not a number"));
        assert!(Series::read("0", Kind::Ratios).is_err());
        assert!(Series::read("20:800 22", Kind::Table).unwrap_err().contains("pairs"));
        assert!(Series::read("20:800, 22:700", Kind::Table).is_err(), "it has to rise");
    }
}
