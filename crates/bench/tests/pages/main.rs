//! Lists, forms and public pages, as a browser without a script gets them.

mod backwards;
mod bench;
mod bikes;
mod fits;
mod gauge;
mod import;
mod inspect;
mod pile;
mod questions;
mod sheets;
mod workings;
