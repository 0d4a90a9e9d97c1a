//! The quadrats of one stratum: one frame, one area, two of them at the least.

use super::fields::Fields;
use super::problem::{Finding, Place};
use super::tally::{Reported, Tally};
use super::value;
use crate::records::{Frame, PatchName, Quadrat, QuadratSurvey};
use crate::units::SquareMetres;

/// The largest frame, and the largest stratum, that anyone measures, in square metres.
const LARGEST_FRAME: f64 = 10_000.0;
const LARGEST_STRATUM: f64 = 1e6;
/// One quadrat shows no spread.
const FEWEST_QUADRATS: usize = 2;

#[derive(Debug)]
pub(super) struct Stratum {
    /// Where its first row stands.
    place: Place,
    pub sampled: QuadratSurvey,
}

/// The columns `stratum`, `stratum_area_m2` and `frame_area_m2`, as yet without a quadrat.
pub(super) fn read(fields: &mut Fields<'_>) -> Result<QuadratSurvey, Reported> {
    let stratum_area = fields.optional("stratum_area_m2", |text| {
        value::positive(text, LARGEST_STRATUM, "an area").map(SquareMetres)
    });
    let frame = fields.optional("frame_area_m2", |text| {
        value::positive(text, LARGEST_FRAME, "an area").map(SquareMetres)
    });
    Ok(QuadratSurvey {
        stratum: fields.raw("stratum").into(),
        stratum_area: stratum_area?,
        frame: frame?.map_or(Frame::Plant, Frame::Area),
        quadrats: Vec::new(),
    })
}

/// Puts a quadrat into its stratum, which begins with it if need be.
pub(super) fn add(
    strata: &mut Vec<Stratum>,
    sampled: QuadratSurvey,
    quadrat: Quadrat,
    fields: &mut Fields<'_>,
) -> Result<(), Reported> {
    let found = strata.iter_mut().find(|stratum| stratum.sampled.stratum == sampled.stratum);
    let Some(stratum) = found else {
        let quadrats = vec![quadrat];
        let place = fields.place().clone();
        strata.push(Stratum { place, sampled: QuadratSurvey { quadrats, ..sampled } });
        return Ok(());
    };
    let frame = agrees(stratum, "frame_area_m2", stratum.sampled.frame == sampled.frame, fields);
    let same_area = sampled.stratum_area.is_none()
        || stratum.sampled.stratum_area.is_none()
        || sampled.stratum_area == stratum.sampled.stratum_area;
    let area = agrees(stratum, "stratum_area_m2", same_area, fields);
    stratum.sampled.stratum_area = stratum.sampled.stratum_area.or(sampled.stratum_area);
    stratum.sampled.quadrats.push(quadrat);
    frame.and(area)
}

fn agrees(
    stratum: &Stratum,
    column: &str,
    same: bool,
    fields: &mut Fields<'_>,
) -> Result<(), Reported> {
    if same {
        return Ok(());
    }
    let (name, place) = (stratum.name(), &stratum.place);
    let found = format!("it differs from {place}, in {name}");
    Err(fields.refuse(column, Finding::new(found, "the same in every row of a stratum")))
}

/// What can only be said once all the rows of a survey are there.
pub(super) fn check(
    strata: &[Stratum],
    patch: &PatchName,
    place: &Place,
    tally: &mut Tally,
) -> Result<(), Reported> {
    let mut fit = Ok(());
    for stratum in strata.iter().filter(|one| one.sampled.quadrats.len() < FEWEST_QUADRATS) {
        let found = format!("`{patch}` has one quadrat in {}", stratum.name());
        let expected = "2 quadrats or more: one shows no spread";
        fit = Err(tally.report(&stratum.place, None, Finding::new(found, expected)));
    }
    if strata.len() < 2 {
        return fit;
    }
    for stratum in strata.iter().filter(|one| one.sampled.stratum_area.is_none()) {
        let found = format!("{} of `{patch}` has no area", stratum.name());
        let expected = "an area for every stratum: they are weighed by it";
        let column = Some("stratum_area_m2");
        fit = Err(tally.report(&stratum.place, column, Finding::new(found, expected)));
    }
    if strata.iter().any(|one| one.sampled.stratum.is_empty()) {
        let found = format!("some quadrats of `{patch}` are in a stratum and some are not");
        let expected = "a stratum in every row of the survey, or in none";
        fit = Err(tally.report(place, Some("stratum"), Finding::new(found, expected)));
    }
    fit
}

impl Stratum {
    fn name(&self) -> String {
        match &*self.sampled.stratum {
            "" => "the whole patch".to_owned(),
            name => format!("stratum `{name}`"),
        }
    }
}
