//! Stintbook: which wild patches may be cut this week, how much, and why.
//!
//! The folders, in the order in which they may use each other (DEVELOPERS.md draws it).

pub mod book;
pub mod estimate;
pub mod intake;
pub mod records;
pub mod units;

pub mod estimate;
pub mod ground;
pub mod records;

pub mod catalogue;
pub mod crop;
pub mod regrowth;
pub mod rules;
