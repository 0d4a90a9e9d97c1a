//! Logistic regrowth towards the full crop.

use crate::records::Recovery;

/// A crop counts as recovered at this part of full.
const RECOVERED: f64 = 0.95;

/// The intrinsic rate `r`, per day, of a crop that is back to 95 % of full after
/// `days` when `take_fraction` was cut from a full stand.
///
/// From `b(t) = b·e^(rt) / (1 − b + b·e^(rt))` with b = 1 − f and b(R) = 0.95.
pub fn growth_rate(recovery: Recovery) -> f64 {
    let left = 1.0 - recovery.take_fraction;
    (odds(RECOVERED) / odds(left)).ln() / recovery.days
}

fn odds(part: f64) -> f64 {
    part / (1.0 - part)
}

/// The crop after growth `r·∫g dt` towards `full`; same measure as `standing` and `full`.
pub fn regrow(standing: f64, full: f64, growth: f64) -> f64 {
    if standing <= 0.0 || full <= 0.0 {
        return 0.0;
    }
    // Divided through by e^growth, so that long spans do not overflow.
    full * standing / ((full - standing) * (-growth).exp() + standing)
}
