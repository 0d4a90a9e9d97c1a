//! A walk of several parties: against published values, other programs and brute force.

mod boxes;
mod law;
mod patches;
mod plans;
mod shares;
mod solved;
mod ways;
