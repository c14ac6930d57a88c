//! A stock list: parts that are in the drawer or can be ordered, with what they cost and how many there are.
//!
//! A table as [`crate::shelf`] reads it, with two columns more: `price`, in any one money, and `count`. A part without a count is
//! there; one with a count of 0 is not.

use crate::change::Change;
use crate::problem::Problem;
use crate::shelf::{Offer, Offers, offers};

/// A part of a stock list.
#[derive(Clone, Debug)]
pub struct Part {
    /// Its name.
    pub name: String,
    /// The line that it stands in, counted from 1.
    pub line: usize,
    /// What it is made to, as changes of a bike.
    pub changes: Vec<Change>,
    /// What it costs; `None` where the list does not say.
    pub price: Option<f64>,
    /// How many there are; `None` where the list does not say.
    pub count: Option<u32>,
}

/// Reads a stock list: the parts that could be read, and what could not. `name` is what the text is called in a problem.
///
/// ```
/// use knockon_trade::backwards::stock::read;
/// let (parts, problems) = read("stock.csv", "part,stem length,stem angle,price,count\nMy stem,45,6,30,2").unwrap();
/// assert!(problems.is_empty());
/// assert_eq!((parts[0].price, parts[0].count, parts[0].changes.len()), (Some(30.0), Some(2), 2));
/// ```
///
/// # Errors
/// As [`offers`].
pub fn read(name: &str, text: &str) -> Result<(Vec<Part>, Vec<Problem>), Problem> {
    let Offers { offers, problems } = offers(name, text)?;
    let part = |offer: Offer| Part {
        name: offer.name,
        line: offer.line,
        changes: offer.changes,
        price: offer.price,
        count: offer.count,
    };
    Ok((offers.into_iter().map(part).collect(), problems))
}
