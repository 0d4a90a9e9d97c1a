//! The season of a full crop, in words and for machines.

use super::column::Measured;
use crate::assess::Assessment;
use crate::json::{InUnit, object};
use crate::regrowth::State;
use crate::units::{counted, month_name, percent};

/// How deep it is, and what says so.
pub(super) fn full_season(patch: &Assessment, state: &State) -> Option<String> {
    let (most, least) = patch.terms.season?.extremes();
    let depth = match state.last_survey.count {
        1 => "as deep as its crop's, till a second survey tells".to_owned(),
        n => format!(
            "{:.1} times as deep as its crop's by {}",
            state.season_depth(),
            counted(n, "survey")
        ),
    };
    let late = patch.crop.full_late_days.as_ref().map(|late| late.value);
    let late = match late.unwrap_or(0) {
        0 => "",
        1.. => ", later here than elsewhere",
        _ => ", earlier here than elsewhere",
    };
    Some(format!(
        "a full stand comes to {} of its peak by now; most stands in {}, {} then, and least in \
         {}{late}; {depth}",
        percent(state.season_part()),
        month_name(most),
        patch.crop.show(at_peak(state)),
        month_name(least)
    ))
}

fn at_peak(state: &State) -> f64 {
    state.full / state.season_part()
}

object! {
    /// How a full crop swings through the year.
    pub(super) struct FullSeasonData {
        /// What a full stand comes to on the day.
        part_of_peak: f64,
        depth: f64,
        peak_month: i8,
        least_month: i8,
        full_at_peak: InUnit<f64>,
    }
}

impl FullSeasonData {
    /// `None` for a crop without a season.
    pub(super) fn of(patch: &Assessment, state: &State) -> Option<Self> {
        let (peak_month, least_month) = patch.terms.season?.extremes();
        Some(Self {
            part_of_peak: state.season_part(),
            depth: state.season_depth(),
            peak_month,
            least_month,
            full_at_peak: InUnit(patch.measure(), at_peak(state)),
        })
    }
}
