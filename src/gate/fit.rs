//! Whether what is said of a patch can be said of it: a survey in units that the patch has, and
//! what is ripe of a crop that ripens.

use super::places::Places;
use crate::catalogue::Catalogue;
use crate::crop::{Extent, standing_crop};
use crate::ground::footprint_area;
use crate::intake::{Place, Problem};
use crate::records::{Entry, Footprint, Habit, PatchName, Record, Survey};

/// What cannot be true of its patch, whoever says it.
pub(super) fn unfit(entry: &Entry, places: &Places, catalogue: &Catalogue) -> Option<Problem> {
    never_ripe(entry, places, catalogue).or_else(|| measured_otherwise(entry, places))
}

/// How much is ripe of a leaf, a root or a mushroom, which do not ripen.
fn never_ripe(entry: &Entry, places: &Places, catalogue: &Catalogue) -> Option<Problem> {
    let (patch, ripe) = match &entry.record {
        Record::Survey(survey) => (survey.patch.clone(), survey.ripe?),
        Record::Visit(visit) => {
            (PatchName::new(&visit.site, visit.patch.as_deref()?).ok()?, visit.ripe?)
        }
        _ => return None,
    };
    let crop = &places.names.patches[places.patch_number(&patch)?].crop;
    let ripens = catalogue.crop(crop).is_none_or(|crop| crop.habit == Habit::OnceAYear);
    (!ripens).then(|| Problem {
        place: Place::WholeFile,
        field: Some("ripe".to_owned()),
        found: format!("`{ripe}` of {crop} on {patch}, which does not ripen"),
        expected: "nothing: how much is ripe is said of what comes once a year".to_owned(),
    })
}

/// A survey whose sampling unit is none that its patch has.
fn measured_otherwise(entry: &Entry, places: &Places) -> Option<Problem> {
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
