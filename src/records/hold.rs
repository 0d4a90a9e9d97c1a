//! Quota set aside for a planned walk, so that nobody promises it twice.

use jiff::civil::Date;

use super::{PatchName, Taken, WalkName};
use crate::units::Amount;

/// What one walk may take from one patch on its day. It lapses the day after.
#[derive(Clone, Debug, PartialEq)]
pub struct Hold {
    pub patch: PatchName,
    pub walk: WalkName,
    /// The day of the walk.
    pub day: Date,
    /// The most it may take.
    pub amount: Amount,
    /// What taking it will spend of the share.
    pub taken: Taken,
    /// How many people will cut there.
    pub people: Option<u32>,
}
