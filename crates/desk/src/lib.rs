//! What a workshop keeps: bikes, questions, sheets, photos, settings, accounts, in one SQLite file.
//!
//! What lives here, in reading order:
//!
//! - `stamp`: who did something, and when; `error`: what can go wrong; `ids`: numbers of things;
//! - `store`: the file, its one writer and its readers; `migrations/`: the tables;
//! - `bike`: records and their history; `question`: what came in; `draft`: the changes that somebody tries, with undo and redo;
//! - `search`: lists and full-text search; `alike`: answered questions that resemble another;
//! - `answer`: from a stored question to findings and sheet; `publish`: sheets that never change again;
//! - `inspection`: what was found by a protocol; `photo`: pictures without metadata, and the marks on them; `settings`: the workshop's own; `account`: who may come in;
//! - `backup`: copies of the whole file; `folder`: the workshop as plain files; `demo`: an invented workshop to try.
//!
//! There is no SQL outside this crate, and none in it that is put together from what somebody typed. What may not be here:
//! formulas, limits, wording of answers (those are in `engine`, `trade` and `sheet`), networks, pages. Nothing asks for the
//! time of its own accord: whoever does something brings a [`Stamp`].

mod account;
mod alike;
mod answer;
mod backup;
mod bike;
mod demo;
mod draft;
mod error;
mod folder;
mod ids;
mod inspection;
mod photo;
mod publish;
mod question;
mod search;
mod settings;
mod stamp;
mod store;

pub use account::{Account, LONGEST_PASSWORD, Role, SHORTEST_PASSWORD};
pub use answer::Answered;
pub use bike::{BikeRow, BikeVersion, LONGEST as LONGEST_RECORD};
pub use draft::Draft;
pub use error::{DeskError, Result};
pub use ids::{AccountId, BikeId, InspectionId, PhotoId, QuestionId};
pub use inspection::{Inspection, InspectionAnswer, condition};
pub use photo::PhotoRow;
pub use publish::{Format, Publication, Way};
pub use question::{NewQuestion, Question, QuestionEdit, State};
pub use search::{Counts, Filter, QuestionPage, QuestionRow};
pub use settings::{Language, LengthUnit, Settings};
pub use stamp::Stamp;
pub use store::Desk;
