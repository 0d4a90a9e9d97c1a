//! Tables as spreadsheets leave them, turned into the very text that `intake` reads.
//!
//! Nothing is recorded here, and nothing gets a meaning: delimiters, decimal commas, capitals
//! and the order of day and month are put straight, all else stays as it was written.

mod day;
mod dialect;
mod straight;

pub use day::Order;
pub use straight::{Straight, straighten};
