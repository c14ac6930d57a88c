//! The local web app that a technician works in.
//!
//! What lives here, in reading order:
//!
//! - `router.rs`: every page and every layer around them; [`app`]: what a handler can reach;
//! - [`security`]: one layer a file, each with its reason; [`visitor`]: who is asking and what they may do;
//! - [`errors`]: the one kind of fault, as a page or as problem details;
//! - [`api`]: the same functions as JSON; [`pages`]: the HTML pages; [`assets`]: style, script and type as they are sent;
//! - [`serve`](mod@serve): listening, limits on connections, stopping.
//!
//! What may not: SQL (that is in `desk`), formulas and wording of answers (those are in `engine`, `trade` and `sheet`).

pub mod api;
pub mod app;
pub mod assets;
pub mod errors;
pub mod pages;
pub mod router;
pub mod security;
pub mod serve;
pub mod visitor;

pub use router::router;
pub use serve::{Limits, Options, runtime, serve};
