//! Ground: areas and lengths against PROJ, hand cases, brute force, and laws.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

mod drawing;
mod grid;
mod harvest;
mod measures;
mod near;
mod place;
mod plot;
