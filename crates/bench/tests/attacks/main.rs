//! Attacks on a bench that really listens, each tried as an attacker would send it: bytes over a socket.
//!
//! [`bench`] starts one, with and without accounts; [`client`] speaks just enough HTTP, and wrongly where asked to. Each
//! other file is one kind of attack.

mod accounts;
mod bench;
mod bodies;
mod client;
mod forged;
mod guessing;
mod headers;
mod paths;
mod photos;
mod planted;
mod pressure;
mod rebinding;
mod redirects;
mod statements;
