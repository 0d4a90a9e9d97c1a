//! Files as people bring them, read against a small book.

mod corrections;
mod places;
mod round_trip;
mod sheets;
mod world;
