//! The trend of a patch, and what a decline asks for: a lower share, proposed and never
//! silently taken.

use jiff::civil::Date;

use super::Prepared;
use crate::crop::{DatedTotal, Trend, YearlyChange};
use crate::estimate::Estimate;
use crate::records::CropField;
use crate::regrowth::Seen;

/// `kept_standing` is proposed to this part of the crop, rounded up.
const STEPS: f64 = 1000.0;

/// What is to be done about a declining patch.
#[derive(Clone, Debug, PartialEq)]
pub enum Response {
    /// Next season's largest share falls by what the patch loses in a year.
    Proposed {
        /// The part that always stays, as it is.
        kept_standing_now: f64,
        /// The part that should stay.
        kept_standing: f64,
        /// What the patch loses.
        lost: YearlyChange,
    },
    /// The patch was given a `kept_standing` of its own since the last of the surveys.
    Made {
        /// Since when it has it.
        on: Date,
        /// The part that always stays now.
        kept_standing: f64,
    },
}

/// Each survey is brought to the peak of the season, where the full crop has one.
pub(super) fn trend(patch: &Prepared, day: Date) -> Trend {
    let season = patch.terms.season;
    let depth = season.map_or(0.0, |_| patch.course().play_until(day).season_depth());
    let at_peak = |total: Estimate, day: Date| match season {
        None => total,
        Some(curve) => total.scaled((-depth * curve.log_on(day)).exp()),
    };
    let surveys = patch.history.until(day).iter().filter_map(|event| match event.seen {
        Seen::Survey(total) => {
            Some(DatedTotal { day: event.day, total: at_peak(total, event.day) })
        }
        _ => None,
    });
    Trend::of(&surveys.collect::<Vec<_>>())
}

/// `None` unless the patch declines.
pub(super) fn response(patch: &Prepared, trend: &Trend) -> Option<Response> {
    let Trend::Declining(change) = trend else { return None };
    let kept_standing_now = patch.crop().kept_standing.value;
    if let Some(on) = raised_since(patch, change.last) {
        return Some(Response::Made { on, kept_standing: kept_standing_now });
    }
    let kept_standing = kept_standing_after(kept_standing_now, change);
    (kept_standing > kept_standing_now).then_some(Response::Proposed {
        kept_standing_now,
        kept_standing,
        lost: *change,
    })
}

/// Rounded up, so that the share falls by no less than the crop does.
fn kept_standing_after(now: f64, change: &YearlyChange) -> f64 {
    let share = (1.0 - now) * (1.0 + change.best);
    ((1.0 - share) * STEPS).ceil().min(STEPS - 1.0) / STEPS
}

fn raised_since(patch: &Prepared, day: Date) -> Option<Date> {
    let name = &patch.facts.patch.record.name;
    let of_patch = patch.site.overrides.iter().filter(|fact| {
        let change = &fact.record;
        change.field == CropField::KeptStanding
            && change.crop == patch.crop().name
            && change.patch.as_deref() == Some(name.patch())
    });
    of_patch.map(|fact| fact.happened_on).filter(|made| *made >= day).max()
}
