//! Amounts in whole steps that a scale shows and a hand can cut.

use std::num::NonZeroU32;

use crate::units::Measure;

/// Common practice, no source: what a pocket scale shows reliably.
const GRAMS: u32 = 5;

/// What amounts are rounded down to, in grams or pieces.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RoundingUnit(NonZeroU32);

impl RoundingUnit {
    /// 0 counts as 1.
    pub fn new(grams_or_pieces: u32) -> Self {
        Self(NonZeroU32::new(grams_or_pieces).unwrap_or(NonZeroU32::MIN))
    }

    /// 5 g, or one piece.
    pub fn of(measure: Measure) -> Self {
        match measure {
            Measure::Mass => Self::new(GRAMS),
            Measure::Count => Self::new(1),
        }
    }

    /// In grams or pieces.
    pub fn size(self) -> u64 {
        u64::from(self.0.get())
    }

    /// How many whole units an amount holds.
    pub fn units_in(self, amount: f64) -> u64 {
        whole(amount) / self.size()
    }

    /// Grams or pieces of so many units; no more than fit into the number.
    pub fn amount(self, units: u64) -> u64 {
        units.saturating_mul(self.size())
    }
}

/// Beyond this a float skips whole numbers.
const MOST: u64 = 1 << f64::MANTISSA_DIGITS;

/// Whole grams or pieces in an amount; none in a negative one or in `NaN`.
pub(super) fn whole(amount: f64) -> u64 {
    (amount as u64).min(MOST) // the cast saturates at both ends, and `NaN` is 0
}
