//! The desk, as a browser meets it: over a socket, with the book of the demo.

#![allow(clippy::unwrap_used, reason = "a failed unwrap fails the test")]

mod access;
mod attacked;
mod bring;
mod browser;
mod deeds;
mod door;
mod figures;
mod forwarded;
mod kept;
mod phone;
#[cfg(feature = "tls")]
mod proxies;
#[allow(dead_code, reason = "not all of it is asked for here")]
#[path = "../schemas/mod.rs"]
mod schemas;
#[cfg(feature = "tls")]
mod secure;
mod served;
mod taken_home;
#[cfg(feature = "tls")]
mod trust;
mod ways_out;
