//! The desk, as a browser meets it: over a socket, with the book of the demo.

#![allow(clippy::unwrap_used, reason = "a failed unwrap fails the test")]

mod access;
mod bring;
mod browser;
mod deeds;
mod door;
mod figures;
mod phone;
mod served;
