//! What the form of the page sends.

use std::collections::BTreeMap;

use knockon_desk::BikeId;
use knockon_engine::quantity::Quantity;
use knockon_trade::backwards::transfer::from_body;
use knockon_trade::backwards::wish::{self, Wish};
use knockon_trade::body::{StartingPoint, bar_of, read_measures, starting_points, with_record};
use knockon_trade::problem::Problem;
use knockon_trade::question::read_changes;
use knockon_trade::record::Record;
use knockon_trade::shelf::{Offers, offers};
use knockon_trade::tables;

use super::Fields;
use crate::pages::listing::address;

/// A quantity that has a rule on the page.
pub struct Ruled {
    pub quantity: Quantity,
    /// The rule reaches as far to both sides, in the unit of the edge.
    pub far: f64,
    /// Its step.
    pub step: f64,
}

/// The quantities with a rule; the first two stand open.
pub const RULED: [Ruled; 11] = [
    Ruled { quantity: Quantity::GripStack, far: 60.0, step: 1.0 },
    Ruled { quantity: Quantity::GripReach, far: 60.0, step: 1.0 },
    Ruled { quantity: Quantity::HeadAngle, far: 3.0, step: 0.1 },
    Ruled { quantity: Quantity::BottomBracketHeight, far: 20.0, step: 1.0 },
    Ruled { quantity: Quantity::Trail, far: 20.0, step: 1.0 },
    Ruled { quantity: Quantity::SaddleToPedal, far: 40.0, step: 1.0 },
    Ruled { quantity: Quantity::SaddleSetback, far: 30.0, step: 1.0 },
    Ruled { quantity: Quantity::GripWidth, far: 80.0, step: 5.0 },
    Ruled { quantity: Quantity::RearSag, far: 20.0, step: 0.5 },
    Ruled { quantity: Quantity::ForkSag, far: 20.0, step: 0.5 },
    Ruled { quantity: Quantity::LowestDevelopment, far: 0.5, step: 0.05 },
];

/// What was asked for, each as it was typed.
#[derive(Clone, Debug, Default)]
pub struct Asked {
    pub bike: Option<BikeId>,
    pub like: Option<BikeId>,
    /// Another size or another bike: which of the two comes nearer?
    pub or: Option<BikeId>,
    /// Changes whose result is wanted by other parts, one a line.
    pub as_with: String,
    /// What the rules say, by the quantity's id: a step.
    pub by: BTreeMap<&'static str, String>,
    /// Further wishes, one a line.
    pub wishes: String,
    /// Measures of the rider's body, one a line.
    pub body: String,
    /// A table of parts.
    pub stock: String,
    pub stock_only: bool,
    /// Options that are to stand side by side.
    pub compare: Vec<usize>,
}

/// So many options at most.
const MOST: usize = 6;

impl From<Fields> for Asked {
    fn from(fields: Fields) -> Self {
        let mut asked = Asked::default();
        for (name, value) in fields {
            match name.as_str() {
                "bike" => asked.bike = value.parse().ok(),
                "like" => asked.like = value.parse().ok(),
                "or" => asked.or = value.parse().ok(),
                "as_with" => asked.as_with = value,
                "wishes" => asked.wishes = value,
                "body" => asked.body = value,
                "stock" => asked.stock = value,
                "stock_only" => asked.stock_only = value == "yes",
                "compare" => asked.compare.extend(value.parse::<usize>().ok()),
                name => {
                    let ruled =
                        RULED.iter().find(|ruled| name.strip_prefix("by_") == Some(ruled.quantity.id()));
                    if let Some(ruled) = ruled {
                        asked.by.insert(ruled.quantity.id(), value);
                    }
                }
            }
        }
        asked
    }
}

impl Asked {
    /// The step that a rule says; 0 where nothing is wanted of it.
    pub fn step(&self, quantity: Quantity) -> f64 {
        let typed = self.by.get(quantity.id()).map(|text| text.trim().replace(',', ".").replace('−', "-"));
        typed.and_then(|text| text.parse().ok()).filter(|step: &f64| step.is_finite()).unwrap_or(0.0)
    }

    fn lines(&self) -> impl Iterator<Item = &str> {
        lines(&self.wishes)
    }

    /// Whether anything but the bike was said.
    pub fn wants_something(&self) -> bool {
        self.like.is_some()
            || [&self.body, &self.as_with].iter().any(|text| lines(text).next().is_some())
            || self.lines().next().is_some()
            || RULED.iter().any(|ruled| self.step(ruled.quantity) != 0.0)
    }

    /// Where the body's measures say to begin on a bike; none where nobody told any.
    pub fn points(&self, bike: &Record) -> Result<Vec<StartingPoint>, Vec<Problem>> {
        let told: Vec<&str> = lines(&self.body).collect();
        if told.is_empty() {
            return Ok(Vec::new());
        }
        let measured = with_record(read_measures(&told)?, bike);
        Ok(starting_points(&measured, Some(bar_of(bike))))
    }

    /// The question, with what of the stock list could not be read; `None` where nothing is wanted.
    pub fn question(
        &self,
        like: Option<Record>,
        points: &[StartingPoint],
    ) -> Result<Option<(knockon_trade::backwards::Asked, Vec<Problem>)>, Vec<Problem>> {
        let mut wishes: Vec<Wish> = Vec::new();
        let mut problems = Vec::new();
        let ruled = RULED.iter().filter(|ruled| self.step(ruled.quantity) != 0.0).map(|ruled| {
            let label = tables::quantity(ruled.quantity).label.to_lowercase();
            format!("{label} by {}", self.step(ruled.quantity))
        });
        for line in ruled.chain(self.lines().map(str::to_owned)) {
            match wish::parse(&line) {
                Ok(wish) => wishes.push(wish),
                Err(problem) => problems.push(problem),
            }
        }
        let as_with: Vec<&str> = lines(&self.as_with).collect();
        let as_with = read_changes(&as_with).map_or_else(
            |more| {
                problems.extend(more);
                Vec::new()
            },
            |read| read.changes,
        );
        if !problems.is_empty() {
            return Err(problems);
        }
        let begin = from_body(points, &wishes);
        wishes.extend(begin);
        let wants = wishes.iter().any(Wish::wants);
        if !wants && like.is_none() && as_with.is_empty() {
            return Ok(None);
        }
        let Offers { offers: stock, problems: unread } = match self.stock.trim() {
            "" => Offers::default(),
            text => offers("list", text).map_err(|problem| vec![problem])?,
        };
        let stock_only = self.stock_only && !stock.is_empty();
        let asked = knockon_trade::backwards::Asked { wishes, like, as_with, stock, stock_only, most: MOST };
        Ok(Some((asked, unread)))
    }

    /// Options that are to stand side by side; the first ones where none was chosen.
    pub fn chosen(&self) -> Vec<usize> {
        if self.compare.is_empty() {
            (1..=knockon_sheet::backwards::MOST_COMPARED).collect()
        } else {
            self.compare.clone()
        }
    }

    /// An address that leads back to the same question; a stock list has no place in it.
    pub fn address(&self, path: &str) -> String {
        let fields = self.fields();
        let fields: Vec<(&str, &str)> =
            fields.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
        address(path, &fields)
    }

    /// What was said, but for the stock list, as fields of a form.
    pub fn fields(&self) -> Vec<(String, String)> {
        let number = |id: Option<BikeId>| id.map(|id| id.to_string()).unwrap_or_default();
        let mut fields: Vec<(String, String)> = vec![("bike".to_owned(), number(self.bike))];
        let bikes = [("like", self.like), ("or", self.or)].into_iter().filter(|(_, bike)| bike.is_some());
        fields.extend(bikes.map(|(name, bike)| (name.to_owned(), number(bike))));
        let by = self.by.iter().filter(|(_, step)| !step.is_empty() && *step != "0");
        fields.extend(by.map(|(id, step)| (format!("by_{id}"), step.clone())));
        for (name, text) in [("wishes", &self.wishes), ("as_with", &self.as_with), ("body", &self.body)] {
            if !text.is_empty() {
                fields.push((name.to_owned(), text.clone()));
            }
        }
        fields.extend(self.compare.iter().map(|number| ("compare".to_owned(), number.to_string())));
        fields
    }
}

/// The lines that say something.
fn lines(text: &str) -> impl Iterator<Item = &str> {
    text.split([';', '\n']).map(str::trim).filter(|line| !line.is_empty() && !line.starts_with('#'))
}
