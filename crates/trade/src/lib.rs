//! What the trade knows: records, changes, limits, thresholds and cautions, and the one way from a question to its
//! findings.
//!
//! What lives here, in reading order:
//!
//! - [`tables`]: the data files, each row with its source; [`units`], [`fact`], [`tyre`]: numbers as people write them;
//! - [`record`]: the bike record; [`import`]: records from a pasted geometry table;
//! - [`change`]: the change language; [`problem`]: what is wrong with a text, where, and how to mend it;
//! - [`build`]: a record completed to numbers, its rear suspension by [`linkage`]; [`audit`]: what its chart disagrees about;
//! - [`interface`]: the standards that parts are made to, and which of them a few readings can be of; [`fit`]: where parts join, the
//!   limits between their figures, and what it takes; [`verdict`]: one of these, judged; [`shelf`]: a list of parts against a bike;
//! - [`inspection`]: protocols for damage, contamination and wear; [`care`]: what a cleaner or fluid does to a surface;
//! - [`backwards`]: from a wanted result to the parts that give it;
//! - [`body`]: where to begin on a bike, from measures of a rider;
//! - [`question`]: what was asked; [`urgent`]: its safety words; [`findings`]: the answer in numbers; [`demo`]: an invented
//!   workshop; [`words`]: words put together into sentences.
//!
//! What may not: formulas of bikes (those are in `engine`), wording of answers and drawings (those are in `sheet`), files,
//! clocks, networks.

pub mod audit;
pub mod backwards;
pub mod body;
pub mod build;
pub mod care;
pub mod change;
pub mod demo;
pub mod fact;
pub mod findings;
pub mod fit;
pub mod import;
pub mod inspection;
pub mod interface;
pub mod linkage;
pub mod problem;
pub mod question;
pub mod record;
pub mod series;
pub mod shelf;
pub mod tables;
pub mod tyre;
pub mod units;
pub mod urgent;
pub mod verdict;
pub mod words;
pub mod workings;
