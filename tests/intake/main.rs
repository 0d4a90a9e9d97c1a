//! Files as people bring them, read against a small book.

#![allow(clippy::unwrap_used, reason = "a test may fall over where it stands")]

mod corrections;
mod identity;
mod places;
mod round_trip;
mod sheets;
mod ways;
mod world;
