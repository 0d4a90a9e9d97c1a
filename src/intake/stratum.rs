//! The quadrats of each stratum: one frame, one area, two of them at the least.

use super::cell::position;
use super::column::Cell;
use super::fields::Fields;
use super::problem::{Finding, Place};
use super::tally::{Reported, Tally};
use super::value;
use crate::records::{Crop, Frame, GpsPoint, PatchName, Quadrat, Stratum};
use crate::units::{Metres, SquareMetres};

/// The largest frame, the longest stretch and the largest stratum that anyone measures, in
/// metres and square metres.
const LARGEST_FRAME: f64 = 10_000.0;
const LONGEST_STRETCH: f64 = 1_000.0;
const LARGEST_STRATUM: f64 = 1e6;
/// One quadrat shows no spread.
const FEWEST_QUADRATS: usize = 2;

/// The strata of a survey so far, each with the place of its first row.
#[derive(Debug, Default)]
pub(super) struct Strata(Vec<(Place, Stratum)>);

/// A stratum of one quadrat.
pub(super) fn read(
    fields: &mut Fields<'_>,
    crop: Option<&Crop>,
    at: Option<GpsPoint>,
) -> Result<Stratum, Reported> {
    let amount = fields.required_amount(("mass_g", "count"), crop);
    of_one(at, amount.map(|amount| amount.value), fields)
}

/// A stratum of the one quadrat whose amount has been read: the rest may have problems of its
/// own.
pub(super) fn of_one(
    at: Option<GpsPoint>,
    amount: Result<f64, Reported>,
    fields: &mut Fields<'_>,
) -> Result<Stratum, Reported> {
    let area = fields.optional("stratum_area_m2", |text| {
        value::positive(text, LARGEST_STRATUM, "an area").map(SquareMetres)
    });
    let frame = frame(fields);
    Ok(Stratum {
        name: fields.raw("stratum").into(),
        area: area?,
        frame: frame?,
        quadrats: vec![Quadrat { at: at.map(Box::new), amount: amount? }],
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

    /// Puts a row's quadrat into its stratum, which begins with it if need be.
    pub fn add(&mut self, row: Stratum, fields: &mut Fields<'_>) -> Result<(), Reported> {
        let found = self.0.iter_mut().find(|(_, stratum)| stratum.name == row.name);
        let Some((begun, stratum)) = found else {
            self.0.push((fields.place().clone(), row));
            return Ok(());
        };
        let mut agrees = |column, same| {
            let found = || format!("it differs from {begun}, in {}", called(stratum));
            let finding = || Finding::new(found(), "the same in every row of a stratum");
            if same { Ok(()) } else { Err(fields.refuse(column, finding())) }
        };
        let frame = agrees(frame_column(row.frame), stratum.frame == row.frame);
        let one_says_no_area = row.area.is_none() || stratum.area.is_none();
        let area = agrees("stratum_area_m2", one_says_no_area || row.area == stratum.area);
        stratum.area = stratum.area.or(row.area);
        stratum.quadrats.extend(row.quadrats);
        frame.and(area)
    }

    /// What can only be said once all the rows of a survey are there.
    pub fn finish(
        self,
        patch: &PatchName,
        place: &Place,
        tally: &mut Tally,
    ) -> Result<Vec<Stratum>, Reported> {
        check(&self.0, patch, place, tally)?;
        let mut strata: Vec<Stratum> = self.0.into_iter().map(|(_, stratum)| stratum).collect();
        strata.iter_mut().for_each(|stratum| stratum.quadrats.shrink_to_fit());
        Ok(strata)
    }
}

pub(super) fn frame_column(frame: Frame) -> &'static str {
    match frame {
        Frame::Length(_) => "frame_length_m",
        Frame::Area(_) | Frame::Plant => "frame_area_m2",
    }
}

fn check(
    strata: &[(Place, Stratum)],
    patch: &PatchName,
    place: &Place,
    tally: &mut Tally,
) -> Result<(), Reported> {
    let mut fit = Ok(());
    for (begun, stratum) in strata.iter().filter(|(_, one)| one.quadrats.len() < FEWEST_QUADRATS) {
        let found = format!("`{patch}` has one quadrat in {}", called(stratum));
        let expected = "2 quadrats or more: one shows no spread";
        fit = Err(tally.report(begun, None, Finding::new(found, expected)));
    }
    if strata.len() < 2 {
        return fit;
    }
    for (begun, stratum) in strata.iter().filter(|(_, one)| one.area.is_none()) {
        let found = format!("{} of `{patch}` has no area", called(stratum));
        let expected = "an area for every stratum: they are weighed by it";
        let column = Some("stratum_area_m2");
        fit = Err(tally.report(begun, column, Finding::new(found, expected)));
    }
    if strata.iter().any(|(_, one)| one.name.is_empty()) {
        let found = format!("some quadrats of `{patch}` are in a stratum and some are not");
        let expected = "a stratum in every row of the survey, or in none";
        fit = Err(tally.report(place, Some("stratum"), Finding::new(found, expected)));
    }
    fit
}

fn called(stratum: &Stratum) -> String {
    match &*stratum.name {
        "" => "the whole patch".to_owned(),
        name => format!("stratum `{name}`"),
    }
}

/// One row for each quadrat, its amount in `column`.
pub(super) fn rows(strata: &[Stratum], column: &'static str) -> Vec<Vec<Cell>> {
    let rows_of = |stratum: &Stratum| -> Vec<Vec<Cell>> {
        stratum.quadrats.iter().map(|quadrat| cells(stratum, quadrat, column)).collect()
    };
    strata.iter().flat_map(rows_of).collect()
}

fn cells(stratum: &Stratum, quadrat: &Quadrat, column: &'static str) -> Vec<Cell> {
    let mut cells = position(quadrat.at.as_deref().copied());
    cells.push(("stratum", stratum.name.to_string()));
    cells.extend(stratum.area.map(|area| ("stratum_area_m2", area.0.to_string())));
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
