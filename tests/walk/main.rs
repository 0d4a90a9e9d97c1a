//! A walk of several parties: against published values, other programs and brute force.

#![allow(clippy::unwrap_used, reason = "a failed unwrap fails the test")]

mod boxes;
mod law;
mod patches;
mod plans;
mod shares;
mod solved;
mod ways;
