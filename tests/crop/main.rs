//! From surveys to standing crops: every method against values from outside, and the laws
//! that hold for all of them.

#![allow(clippy::unwrap_used, reason = "a failed unwrap fails the test")]

mod keyboard;
mod laws;
mod methods;
mod placement;
mod readme;
mod survey;
