//! What was measured, and the table of it.

use std::time::Duration;

use hdrhistogram::Histogram;

/// Durations of one kind of request.
pub struct Times(Histogram<u64>);

impl Times {
    /// None yet.
    pub fn new() -> Times {
        // Up to a minute, in microseconds, to a thousandth.
        Times(Histogram::new_with_bounds(1, 60_000_000, 3).expect("the bounds are in order"))
    }

    /// One more.
    pub fn add(&mut self, took: Duration) {
        self.0.saturating_record(u64::try_from(took.as_micros()).unwrap_or(u64::MAX));
    }

    /// Those of somebody else too.
    pub fn merge(&mut self, other: &Times) {
        self.0.add(&other.0).expect("both have the same bounds");
    }

    fn quantile(&self, quantile: f64) -> f64 {
        self.0.value_at_quantile(quantile) as f64 / 1000.0
    }
}

/// The table, and whatever was wrong.
#[derive(Default)]
pub struct Figures {
    rows: Vec<[String; 6]>,
    faults: Vec<String>,
}

impl Figures {
    /// A row of durations. The aim is in words: nothing is asserted of time.
    pub fn times(&mut self, what: &str, times: &Times, aim: &str) {
        let cells = [0.5, 0.99, 1.0].map(|quantile| format!("{:.2}", times.quantile(quantile)));
        let [p50, p99, most] = cells;
        self.rows.push([what.to_owned(), times.0.len().to_string(), p50, p99, most, aim.to_owned()]);
    }

    /// A row with a single figure.
    pub fn single(&mut self, what: &str, figure: String, aim: &str) {
        self.rows.push([
            what.to_owned(),
            String::new(),
            figure,
            String::new(),
            String::new(),
            aim.to_owned(),
        ]);
    }

    /// Takes a note of a fault, unless all is right.
    pub fn check(&mut self, right: bool, fault: impl FnOnce() -> String) {
        if !right {
            self.faults.push(fault());
        }
    }

    /// Faults of somebody else too.
    pub fn blame(&mut self, faults: Vec<String>) {
        self.faults.extend(faults);
    }

    /// Prints everything; false when anything was wrong.
    pub fn print(&self) -> bool {
        let head = ["ms unless said", "count", "p50", "p99", "max", "aim"].map(str::to_owned);
        let rows: Vec<&[String; 6]> = std::iter::once(&head).chain(&self.rows).collect();
        let widths: [usize; 6] = std::array::from_fn(|column| {
            rows.iter().map(|row| row[column].chars().count()).max().unwrap_or_default()
        });
        for row in rows {
            let [what, count, p50, p99, most, aim] = row;
            let [a, b, c, d, e, _] = widths;
            println!("{what:a$}  {count:>b$}  {p50:>c$}  {p99:>d$}  {most:>e$}  {aim}");
        }
        for fault in self.faults.iter().take(20) {
            println!("WRONG: {fault}");
        }
        if self.faults.len() > 20 {
            println!("WRONG: and {} more", self.faults.len() - 20);
        }
        self.faults.is_empty()
    }
}
