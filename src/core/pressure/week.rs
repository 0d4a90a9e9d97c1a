//! A season's series by the week.

use super::{PressureDay, PressureSeries};
use crate::units::Week;

/// The days of one week that a series holds: fewer than seven where the season or the series
/// begins or ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PressureWeek<'a> {
    /// Which week.
    pub week: Week,
    /// One at least.
    pub days: &'a [PressureDay],
}

impl PressureSeries {
    /// Its weeks, in order; none before its first day and none after its last.
    pub fn weeks(&self) -> impl Iterator<Item = PressureWeek<'_>> {
        let weeks = self.days.chunk_by(|a, b| Week::containing(a.day) == Week::containing(b.day));
        weeks.filter_map(|days| {
            Some(PressureWeek { week: Week::containing(days.first()?.day), days })
        })
    }
}

impl PressureWeek<'_> {
    /// How the week ended.
    pub fn end(&self) -> Option<&PressureDay> {
        self.days.last()
    }

    /// Its days with a cut.
    pub fn cuts(&self) -> impl Iterator<Item = &PressureDay> {
        self.days.iter().filter(|day| day.cut > 0.0)
    }
}
