//! A rough judgement by eye.

use super::PatchName;
use crate::units::Amount;

/// "About 3 kg stand there", said by someone who looked.
#[derive(Clone, Debug, PartialEq)]
pub struct Glance {
    pub patch: PatchName,
    /// More than 0.
    pub standing: Amount,
}
