//! The quadrats of each stratum: one frame, one area, two of them at the least.

use super::cell::position;
use super::column::Cell;
use super::fields::Fields;
use super::problem::{Finding, Place};
use super::tally::{Reported, Tally};
use super::value;
use crate::records::{Crop, Frame, GpsPoint, PatchName, Quadrat, QuadratSurvey};
use crate::units::{Metres, SquareMetres};

/// The largest frame, the longest stretch and the largest stratum that anyone measures, in
/// metres and square metres.
const LARGEST_FRAME: f64 = 10_000.0;
const LONGEST_STRETCH: f64 = 1_000.0;
const LARGEST_STRATUM: f64 = 1e6;
/// One quadrat shows no spread.
const FEWEST_QUADRATS: usize = 2;

/// One quadrat, and the stratum it belongs to, as yet without it.
#[derive(Debug)]
pub(super) struct Row {
    pub sampled: QuadratSurvey,
    pub amount: f64,
}

#[derive(Debug, Default)]
pub(super) struct Strata(Vec<Stratum>);

#[derive(Debug)]
struct Stratum {
    /// Where its first row stands.
    place: Place,
    sampled: QuadratSurvey,
}

pub(super) fn read_row(fields: &mut Fields<'_>, crop: Option<&Crop>) -> Result<Row, Reported> {
    let amount = fields.required_amount(("mass_g", "count"), crop);
    let sampled = read(fields);
    Ok(Row { sampled: sampled?, amount: amount?.value })
}

/// The stratum and the frame, as yet without a quadrat.
pub(super) fn read(fields: &mut Fields<'_>) -> Result<QuadratSurvey, Reported> {
    let stratum_area = fields.optional("stratum_area_m2", |text| {
        value::positive(text, LARGEST_STRATUM, "an area").map(SquareMetres)
    });
    let frame = frame(fields);
    Ok(QuadratSurvey {
        stratum: fields.raw("stratum").into(),
        stratum_area: stratum_area?,
        frame: frame?,
        quadrats: Vec::new(),
    })
}

/// The columns `frame_area_m2` and `frame_length_m`.
pub(super) fn frame(fields: &mut Fields<'_>) -> Result<Frame, Reported> {
    let area = fields.optional("frame_area_m2", |text| {
        value::positive(text, LARGEST_FRAME, "an area").map(SquareMetres)
    });
    let length = fields.optional("frame_length_m", |text| {
        value::positive(text, LONGEST_STRETCH, "a length").map(Metres)
    });
    match (area?, length?) {
        (Some(_), Some(_)) => {
            let found = "both `frame_area_m2` and `frame_length_m` are filled";
            Err(fields.refuse("frame_length_m", Finding::new(found, "one of them")))
        }
        (Some(area), None) => Ok(Frame::Area(area)),
        (None, Some(length)) => Ok(Frame::Length(length)),
        (None, None) => Ok(Frame::Plant),
    }
}

impl Strata {
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Puts a quadrat into its stratum, which begins with it if need be.
    pub fn add(
        &mut self,
        row: Row,
        at: Option<GpsPoint>,
        fields: &mut Fields<'_>,
    ) -> Result<(), Reported> {
        let Row { sampled, amount } = row;
        let quadrat = Quadrat { at, amount };
        let found = self.0.iter_mut().find(|stratum| stratum.sampled.stratum == sampled.stratum);
        let Some(stratum) = found else {
            let quadrats = vec![quadrat];
            let place = fields.place().clone();
            self.0.push(Stratum { place, sampled: QuadratSurvey { quadrats, ..sampled } });
            return Ok(());
        };
        let same_frame = stratum.sampled.frame == sampled.frame;
        let frame = stratum.agrees(frame_column(sampled.frame), same_frame, fields);
        let same_area = sampled.stratum_area.is_none()
            || stratum.sampled.stratum_area.is_none()
            || sampled.stratum_area == stratum.sampled.stratum_area;
        let area = stratum.agrees("stratum_area_m2", same_area, fields);
        stratum.sampled.stratum_area = stratum.sampled.stratum_area.or(sampled.stratum_area);
        stratum.sampled.quadrats.push(quadrat);
        frame.and(area)
    }

    /// What can only be said once all the rows of a survey are there.
    pub fn finish(
        self,
        patch: &PatchName,
        place: &Place,
        tally: &mut Tally,
    ) -> Result<Vec<QuadratSurvey>, Reported> {
        check(&self.0, patch, place, tally)?;
        Ok(self.0.into_iter().map(|stratum| stratum.sampled).collect())
    }
}

pub(super) fn frame_column(frame: Frame) -> &'static str {
    match frame {
        Frame::Length(_) => "frame_length_m",
        Frame::Area(_) | Frame::Plant => "frame_area_m2",
    }
}

fn check(
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
    fn agrees(&self, column: &str, same: bool, fields: &mut Fields<'_>) -> Result<(), Reported> {
        if same {
            return Ok(());
        }
        let (name, place) = (self.name(), &self.place);
        let found = format!("it differs from {place}, in {name}");
        Err(fields.refuse(column, Finding::new(found, "the same in every row of a stratum")))
    }

    fn name(&self) -> String {
        match &*self.sampled.stratum {
            "" => "the whole patch".to_owned(),
            name => format!("stratum `{name}`"),
        }
    }
}

/// One row for each quadrat, its amount in `column`.
pub(super) fn rows(strata: &[QuadratSurvey], column: &'static str) -> Vec<Vec<Cell>> {
    let rows_of = |stratum: &QuadratSurvey| -> Vec<Vec<Cell>> {
        stratum.quadrats.iter().map(|quadrat| cells(stratum, quadrat, column)).collect()
    };
    strata.iter().flat_map(rows_of).collect()
}

fn cells(stratum: &QuadratSurvey, quadrat: &Quadrat, column: &'static str) -> Vec<Cell> {
    let mut cells = position(quadrat.at);
    cells.push(("stratum", stratum.stratum.to_string()));
    cells.extend(stratum.stratum_area.map(|area| ("stratum_area_m2", area.0.to_string())));
    cells.extend(frame_cell(stratum.frame));
    cells.push((column, quadrat.amount.to_string()));
    cells
}

pub(super) fn frame_cell(frame: Frame) -> Option<Cell> {
    match frame {
        Frame::Area(area) => Some(("frame_area_m2", area.0.to_string())),
        Frame::Length(length) => Some(("frame_length_m", length.0.to_string())),
        Frame::Plant => None,
    }
}
