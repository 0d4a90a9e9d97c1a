//! How much of the ground the crop covers, and what it weighs where it covers all of it.

use super::cell::{beside, position};
use super::column::Cell;
use super::fields::{Fields, misfit};
use super::problem::{Finding, Place, quoted};
use super::tally::{Reported, Tally};
use super::value;
use crate::records::{
    CoverError, CoverQuadrat, CoverScale, CoverSurvey, Crop, GpsPoint, PatchName, SurveyMethod,
};
use crate::units::Measure;

/// Grams a square metre: a hundred kilos of anything on one is too much to believe.
const HEAVIEST: f64 = 1e5;
/// One of either shows no spread.
const FEWEST: usize = 2;

#[derive(Debug)]
pub(super) struct CoverRow {
    at: Option<GpsPoint>,
    /// As it was written; what it means, the survey's scale tells.
    cover: Option<String>,
    scale: Option<CoverScale>,
    full_cover: Option<f64>,
}

#[derive(Debug, Default)]
pub(super) struct CoverSoFar {
    scale: Option<CoverScale>,
    quadrats: Vec<CoverQuadrat>,
    full_cover: Vec<f64>,
}

pub(super) fn read(
    fields: &mut Fields<'_>,
    crop: Option<&Crop>,
    at: Option<GpsPoint>,
) -> Result<CoverRow, Reported> {
    let cover = Some(fields.raw("cover")).filter(|text| !text.is_empty()).map(str::to_owned);
    let scale = fields.optional("cover_scale", scale);
    let full_cover = fields.optional("full_cover_g_per_m2", |text| full_cover(text, crop));
    let (scale, full_cover) = (scale?, full_cover?);
    if cover.is_none() && full_cover.is_none() {
        return Err(fields.refuse("cover", "nothing is there".to_owned()));
    }
    Ok(CoverRow { at, cover, scale, full_cover })
}

fn scale(text: &str) -> Result<CoverScale, Finding> {
    text.parse().map_err(|error: CoverError| error.to_string().into())
}

fn full_cover(text: &str, crop: Option<&Crop>) -> Result<f64, Finding> {
    match crop.and_then(|crop| misfit(crop, Measure::Mass)) {
        Some(found) => Err(Finding::new(found, "another way of measuring: count the pieces")),
        None => value::positive(text, HEAVIEST, "a weight"),
    }
}

impl CoverSoFar {
    pub fn add(&mut self, row: CoverRow, fields: &mut Fields<'_>) -> Result<(), Reported> {
        self.full_cover.extend(row.full_cover);
        if let (Some(known), Some(scale)) = (&self.scale, &row.scale)
            && known != scale
        {
            let found = format!("`{scale}` where another row has `{known}`");
            return Err(fields.refuse("cover_scale", Finding::new(found, "one scale in a survey")));
        }
        self.scale = self.scale.take().or(row.scale);
        let Some(cover) = row.cover else { return Ok(()) };
        let Some(scale) = &self.scale else {
            return Err(fields.refuse("cover_scale", "nothing is there".to_owned()));
        };
        let Some(cover) = scale.class(&cover) else {
            let found = format!("{} is no cover on this scale", quoted(&cover));
            return Err(fields.refuse("cover", Finding::new(found, scale.classes())));
        };
        self.quadrats.push(CoverQuadrat { at: row.at, cover });
        Ok(())
    }

    pub fn finish(
        self,
        patch: &PatchName,
        place: &Place,
        tally: &mut Tally,
    ) -> Result<SurveyMethod, Reported> {
        let mut fit = Ok(());
        for (column, what, found) in [
            ("cover", "quadrats with their cover", self.quadrats.len()),
            ("full_cover_g_per_m2", "weighings of full cover", self.full_cover.len()),
        ] {
            if found < FEWEST {
                let found = format!("{what} on `{patch}`: {found}");
                let finding = Finding::new(found, "2 or more: one shows no spread");
                fit = Err(tally.report(place, Some(column), finding));
            }
        }
        fit?;
        let scale = self.scale.unwrap_or(CoverScale::Percent);
        let (quadrats, full_cover) = (self.quadrats, self.full_cover);
        Ok(SurveyMethod::Cover(CoverSurvey { scale, quadrats, full_cover }))
    }
}

/// Weighings stand beside quadrats, one in a row.
pub(super) fn rows(survey: &CoverSurvey) -> Vec<Vec<Cell>> {
    let cells = |quadrat: &CoverQuadrat| {
        let mut cells = position(quadrat.at);
        cells.push(("cover", quadrat.cover.name.to_string()));
        cells
    };
    let quadrats = survey.quadrats.iter().map(cells).collect();
    let weighings =
        survey.full_cover.iter().map(|grams| ("full_cover_g_per_m2", grams.to_string()));
    let mut rows = beside(quadrats, weighings);
    for row in rows.iter_mut().take(1) {
        row.push(("cover_scale", survey.scale.to_string()));
    }
    rows
}
