//! Whether what was seen or done can have been: not ahead of today, where a wrong year would
//! hide it until then, and measured in a way that the patch can be.

use jiff::civil::Date;

use super::known::Places;
use super::load::ReadFile;
use crate::crop::{Extent, standing_crop};
use crate::ground::footprint_area;
use crate::intake::{Place, Problem, Problems};
use crate::records::{Entry, Footprint, Kind, Record, Survey};

const MOST_SHOWN: usize = 5;

/// The surveys, glances and cuts in these files that cannot have been.
pub fn problems_of_deeds(files: &[ReadFile], places: &Places, today: Date) -> Vec<Problems> {
    let of_file = |file: &ReadFile| {
        let mut problems: Vec<Problem> = file
            .intake
            .entries
            .iter()
            .flat_map(|entry| ahead(entry, today).into_iter().chain(unfit(entry, places)))
            .collect();
        let more = problems.len().saturating_sub(MOST_SHOWN);
        problems.truncate(MOST_SHOWN);
        let file = file.name.to_string();
        (!problems.is_empty()).then_some(Problems { file, problems, more, gave_up: false })
    };
    files.iter().filter_map(of_file).collect()
}

fn ahead(entry: &Entry, today: Date) -> Option<Problem> {
    let is_deed = matches!(entry.record.kind(), Kind::Survey | Kind::Glance | Kind::Cut);
    (is_deed && entry.happened_on > today).then(|| Problem {
        place: Place::WholeFile,
        field: Some("date".to_owned()),
        found: format!("the {} of {} lies ahead", entry.record.kind().name(), entry.key),
        expected: format!("a day up to today, {today}; --on sets another today"),
    })
}

/// A survey whose sampling unit is none that its patch has.
pub fn unfit(entry: &Entry, places: &Places) -> Option<Problem> {
    let Record::Survey(survey) = &entry.record else { return None };
    let patch = places.patches.iter().find(|patch| patch.name == survey.patch)?;
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
