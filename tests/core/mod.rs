//! The core against published values, other programs, brute force and its own laws.

#![allow(clippy::unwrap_used, reason = "a failed unwrap fails the test")]

mod assess;
mod bands;
mod crops;
mod estimate;
mod feet;
mod ground;
mod measured;
mod model;
mod recovery;
mod regrowth;
mod rehearsal_site;
mod rules;
mod rulings;
mod season_curve;
mod walk;

#[path = "../holding/mod.rs"]
mod holding;
