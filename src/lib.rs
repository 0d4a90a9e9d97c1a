//! Stintbook: which wild patches may be cut this week, how much, and why.
//!
//! The folders, in the order in which they may use each other (DEVELOPERS.md draws it).

// Words and numbers, and from facts to an answer: a crate of its own, in `core/`
pub use stintbook_core::{
    assess, catalogue, crop, estimate, ground, pressure, records, regrowth, rehearsal, rules,
    sampling, units, walk,
};

// In and out
pub mod book;
#[cfg(feature = "bring")]
pub mod bring;
pub mod cli;
#[cfg(feature = "desk")]
pub mod desk;
#[cfg(not(feature = "desk"))]
#[path = "desk/unbuilt.rs"]
pub mod desk;
pub mod gate;
pub mod intake;
pub mod json;
pub mod maps;
pub mod report;
