//! What stands between the network and the pages, one layer a file.
//!
//! In the order that a request meets them: [`headers`] (what browsers may do with a response), [`time`] (no request takes
//! for ever), [`host`] (against DNS rebinding), [`origin`] (against forged forms), [`size`] (against endless bodies),
//! [`gate`] (accounts and roles). Beside them: [`site`] (own addresses), [`session`] (the cookie), [`log_in_limit`]
//! (against guessing passwords), [`local_path`] (against redirects to elsewhere).

pub mod gate;
pub mod headers;
pub mod host;
pub mod local_path;
pub mod log_in_limit;
pub mod origin;
pub mod session;
pub mod site;
pub mod size;
pub mod time;
