//! A limit between two figures of a record: a row of `data/limits.toml`.

use std::collections::BTreeMap;

use knockon_engine::requirement::Outcome;
use serde::Deserialize;

use super::{Figure, Fitting, Judged};
use crate::tables;
use crate::units::Dimension;
use crate::verdict::Verdict;
use crate::words::{lower_first, plain};

/// One limit; what the fields mean stands at the head of the table.
#[derive(Debug, Deserialize)]
#[serde(from = "Row")]
pub struct Limit {
    /// Snake-case name.
    pub id: String,
    /// Name in a table.
    pub label: String,
    /// Keys of the record: the value, and what it is judged against where that is of the record too.
    pub keys: Vec<String>,
    /// What it takes when the value is beyond the limit and that mends it.
    pub needs: Option<String>,
    /// The part that keeps the limit instead.
    pub buy: Option<String>,
    /// Source.
    pub source: String,
    /// Key of the value.
    pub(super) value: String,
    against: Against,
    room: f64,
    factor: f64,
    only: BTreeMap<String, String>,
    words: [String; 3],
    asks: bool,
    ask_maker: bool,
    touched_only: bool,
}

/// What the value is judged against: a figure of the record, or the row's own where the key is `None`.
#[derive(Debug)]
enum Against {
    Most(Option<String>),
    Least(Option<String>),
    Same(Option<String>),
}

impl Against {
    fn key(&self) -> Option<&str> {
        match self {
            Against::Most(key) | Against::Least(key) | Against::Same(key) => key.as_deref(),
        }
    }
}

/// The row as it is written.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    id: String,
    label: String,
    value: String,
    most: Option<String>,
    least: Option<String>,
    same: Option<String>,
    #[serde(default)]
    figure: f64,
    factor: Option<f64>,
    #[serde(default)]
    only: BTreeMap<String, String>,
    what: String,
    bound: String,
    too: String,
    needs: Option<String>,
    buy: Option<String>,
    #[serde(default)]
    asks: bool,
    #[serde(default)]
    ask_maker: bool,
    #[serde(default)]
    touched_only: bool,
    source: String,
}

impl From<Row> for Limit {
    fn from(row: Row) -> Limit {
        let against = match (row.most, row.least, row.same) {
            (_, Some(least), _) => Against::Least(Some(least)),
            (_, _, Some(same)) => Against::Same(Some(same)),
            (most, _, _) => Against::Most(most),
        };
        let bare = |key: &str| key.split(':').next().unwrap_or(key).to_owned();
        let keys = [Some(row.value.as_str()), against.key()].into_iter().flatten().map(bare);
        Limit {
            keys: keys.chain(row.only.keys().cloned()).collect(),
            id: row.id,
            label: row.label,
            needs: row.needs,
            buy: row.buy,
            source: row.source,
            value: row.value,
            against,
            room: row.figure,
            factor: row.factor.unwrap_or(1.0),
            only: row.only,
            words: [row.what, row.bound, row.too],
            asks: row.asks,
            ask_maker: row.ask_maker,
            touched_only: row.touched_only,
        }
    }
}

impl Limit {
    /// Unit of both figures.
    fn dimension(&self) -> Dimension {
        let key = self.value.split(':').next().unwrap_or(&self.value);
        match tables::property(key) {
            Some(property) => property.dimension,
            None if tables::detail(key).is_some_and(|row| row.series.is_some()) => Dimension::Teeth,
            None => Dimension::Length,
        }
    }

    /// The limit itself, its factor applied.
    fn bound(&self, fitting: &Fitting<'_>) -> Option<Figure> {
        match self.against.key() {
            Some(key) => fitting.figure(key).map(|figure| Figure {
                value: figure.value * self.factor,
                uncertainty: figure.uncertainty * self.factor,
            }),
            None => Some(Figure { value: self.room * self.dimension().edge_factor(), uncertainty: 0.0 }),
        }
    }

    /// How the limit comes out; `None` where it does not hold for this bike or nobody asked.
    pub(super) fn judge(&'static self, fitting: &Fitting<'_>) -> Option<Judged> {
        if self.only.iter().any(|(end, standard)| fitting.standard(end) != Some(standard.as_str())) {
            return None;
        }
        let touched = self.keys.iter().any(|key| fitting.touches(key));
        if self.touched_only && !touched {
            return None;
        }
        let mut verdict =
            Verdict { outcome: Outcome::CannotSay, ..Verdict::on(&self.id, &self.label, &self.keys) };
        match (fitting.figure(&self.value), self.bound(fitting)) {
            (Some(value), Some(bound)) => self.compare(value, bound, &mut verdict),
            (None, None) => return None,
            (value, bound) if self.asks && touched => self.ask(value, bound, &mut verdict),
            _ => return None,
        }
        Some(Judged { verdict, source: &self.source })
    }

    fn compare(&self, value: Figure, bound: Figure, verdict: &mut Verdict) {
        let dimension = self.dimension();
        let room = if self.against.key().is_some() { self.room * dimension.edge_factor() } else { 0.0 };
        let margin = match self.against {
            Against::Most(_) => bound.value - value.value + room,
            Against::Least(_) => value.value - bound.value + room,
            Against::Same(_) => room - (value.value - bound.value).abs(),
        };
        let pm = 2.0 * value.uncertainty.hypot(bound.uncertainty);
        let mut outcome = Outcome::judge(margin, pm);
        let (factor, unit) = (dimension.edge_factor(), dimension.edge_unit());
        let tenth = |value: f64| plain((value / factor * 10.0).round() / 10.0);
        let (told, limit) = (tenth(value.value), tenth(bound.value));
        let apart = tenth((value.value - bound.value).abs());
        let [what, of, too] = &self.words;
        let head = format!("{what} {told} {unit}; {of} {limit} {unit}");
        verdict.sentence = match outcome {
            Outcome::Fits if matches!(self.against, Against::Same(_)) => format!("{head}."),
            Outcome::Fits => format!("{head}: {apart} {unit} to spare."),
            Outcome::DoesNotFit if self.ask_maker => {
                outcome = Outcome::CannotSay;
                format!(
                    "{head}, and {apart} {unit} {too} is beyond what is usual: the makers' own word decides."
                )
            }
            Outcome::DoesNotFit => format!("{head}: {apart} {unit} {too}."),
            _ => {
                outcome = Outcome::MeasureFirst;
                format!("{head}: too close to call (±{} {unit}).", tenth(pm.max(0.1 * factor)))
            }
        };
        if outcome == Outcome::DoesNotFit
            && let Some(needs) = &self.needs
        {
            let needs = needs.replace("{value}", &told).replace("{limit}", &limit);
            verdict.sentence.push_str(&format!(" It takes {needs}."));
            verdict.needs = Some(needs);
        }
        verdict.outcome = outcome;
        if dimension == Dimension::Length && outcome != Outcome::CannotSay {
            (verdict.margin, verdict.margin_pm) = (Some(margin), Some(pm));
        }
    }

    /// One of the two is not known.
    fn ask(&self, value: Option<Figure>, bound: Option<Figure>, verdict: &mut Verdict) {
        let key = if value.is_none() { Some(self.value.as_str()) } else { self.against.key() };
        let property = key.and_then(tables::property);
        let label = property.map_or_else(String::new, |property| lower_first(&property.label));
        let told =
            |figure: Figure| plain((figure.value / self.dimension().edge_factor() * 10.0).round() / 10.0);
        let unit = self.dimension().edge_unit();
        let [what, of, _] = &self.words;
        verdict.sentence = match (value, bound) {
            (Some(value), _) => format!("{what} {} {unit}; the {label} is not known.", told(value)),
            (_, Some(bound)) => format!("The {label} is not known; {of} {} {unit}.", told(bound)),
            _ => format!("The {label} is not known."),
        };
        verdict.missing = property.map(|property| property.key.as_str()).into_iter().collect();
    }

    /// What keeps the limit instead of the part that breaks it, for a shopping list.
    pub(super) fn instead(&self, fitting: &Fitting<'_>) -> Option<String> {
        let bound = self.bound(fitting)?.value / self.dimension().edge_factor();
        Some(self.buy.as_ref()?.replace("{limit}", &plain((bound * 10.0).round() / 10.0)))
    }
}
