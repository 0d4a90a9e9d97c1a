//! Cuts that took more than the day's limit.

use crate::pressure::{PressureDay, PressureSeries};
use crate::units::is_over;

/// The days on which more was cut than the limit of that morning.
pub(super) fn cuts_over_limit(series: &PressureSeries) -> impl Iterator<Item = &PressureDay> {
    series.cuts().filter(|day| is_over_limit(day))
}

/// `false` where no crop is known, and so no limit.
pub(super) fn is_over_limit(day: &PressureDay) -> bool {
    day.crop.is_some_and(|crop| is_over(day.cut, crop.limit))
}
