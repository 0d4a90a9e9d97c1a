//! Each kind of record as the table that bears its name: the columns of its fields, how they
//! are written and read back, and what other tables hold of it.

mod amounts;
mod columns;
mod footprint;
pub(super) mod measured;
pub(super) mod part;
mod quadrat;
mod reading;
mod survey;
mod writing;

pub(super) use columns::columns;
pub(super) use reading::read;
pub(super) use survey::{PartWriter, Seat, SummedParts, Summing, fill, parts};
pub(super) use writing::Writing;
