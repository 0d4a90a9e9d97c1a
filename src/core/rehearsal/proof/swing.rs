//! A full crop that swings through the year, and what the book has of it.

use std::f64::consts::TAU;

use crate::regrowth::SeasonCurve;

/// A winter green: most stands in April, least in October.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Swing {
    /// How many times less stands at the least than at the peak.
    pub deep: f64,
    /// What the book has of it.
    pub known: Known,
}

/// The curve that the book goes by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Known {
    /// None.
    Nothing,
    /// Of the right shape, depth and time.
    Right,
    /// Right in shape, four weeks late.
    Late,
    /// At its right time, with the square of the depth.
    TooDeep,
    /// A curve of that depth for a crop that stands at the same all year.
    Unfounded,
}

const PEAK_MONTH: f64 = 3.0;
const MONTH_LATE_DAYS: i32 = 28;

impl Swing {
    pub(super) fn curve(self) -> Option<SeasonCurve> {
        months(self.deep).filter(|_| self.known != Known::Unfounded)
    }

    pub(super) fn in_book(self) -> Option<SeasonCurve> {
        match self.known {
            Known::Nothing => None,
            Known::Right | Known::Unfounded => months(self.deep),
            Known::Late => months(self.deep).map(|curve| curve.later_by(MONTH_LATE_DAYS)),
            Known::TooDeep => months(self.deep * self.deep),
        }
    }
}

/// A cosine in the logarithm.
fn months(deep: f64) -> Option<SeasonCurve> {
    let value = |month: usize| {
        let down = (1.0 - ((month as f64 - PEAK_MONTH) / 12.0 * TAU).cos()) / 2.0;
        deep.powf(-down)
    };
    SeasonCurve::of_months(std::array::from_fn(value))
}
