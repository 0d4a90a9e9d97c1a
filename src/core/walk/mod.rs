//! A walk of several parties: who may cut how much, where, and in which order.
//!
//! Plain amounts in, plain amounts out, all in whole grams, pieces or units of the caller's;
//! nothing here is ever over what it was given.

mod best;
mod boxes;
mod coarse;
mod curve;
mod effort;
mod errand;
mod exchange;
mod fill;
mod flow;
mod gather;
mod handfuls;
mod order;
mod packing;
mod plan;
mod pools;
mod programme;
mod search;
mod split;
mod stations;
mod substitutes;
mod takings;
mod task;
mod weight;
mod whole;

pub use best::Gap;
pub use boxes::{month_demand, wanted_next, weeks_of_month};
pub use errand::{Demand, Errand, Offer, PlanError, Start, Wanted};
pub use fill::{Filling, Fragment, fill};
pub use order::{Passed, Way, along, way};
pub use packing::{boxes_by, laid_out, level, subscriber_at};
pub use plan::{Plan, Take, plan};
pub use split::{Claim, Split, split};
pub use stations::{Crew, Stations, Visit, stations};
pub use substitutes::Substitute;
pub use weight::Weight;
pub use whole::RoundingUnit;
