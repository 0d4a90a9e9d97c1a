//! Whether a survey measured its patch in a way that the patch can be measured.

use super::places::Places;
use crate::crop::{Extent, standing_crop};
use crate::ground::footprint_area;
use crate::intake::{Place, Problem};
use crate::records::{Entry, Footprint, Record, Survey};

/// A survey whose sampling unit is none that its patch has.
pub(super) fn unfit(entry: &Entry, places: &Places) -> Option<Problem> {
    let Record::Survey(survey) = &entry.record else { return None };
    let patch = places.patch(&survey.patch)?;
    let expected = expected_unit(survey, &patch.footprint)?;
    Some(Problem {
        place: Place::WholeFile,
        field: Some("frame".to_owned()),
        found: format!("the survey of {} does not fit its patch", entry.key),
        expected: expected.to_owned(),
    })
}

/// `None` where the survey fits.
fn expected_unit(survey: &Survey, footprint: &Footprint) -> Option<&'static str> {
    let plants = match footprint {
        Footprint::Plants { count, .. } => Some(*count),
        _ => None,
    };
    let extent = Extent::of(footprint, footprint_area(footprint), plants);
    if standing_crop(&survey.summary()?, &extent).is_some() {
        return None;
    }
    Some(match footprint {
        Footprint::Plants { .. } => "one plant's amount each and no frame: its plants are counted",
        Footprint::Strip { .. } => {
            "the frame's area in square metres, or its length along the hedge in metres"
        }
        _ => "how much ground one quadrat is, in square metres, like `0.25`",
    })
}
