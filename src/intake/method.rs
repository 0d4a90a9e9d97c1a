//! The methods by which a survey may measure: which columns each uses, and which rows are its.
//!
//! One file reads and writes each method: `stratum` (quadrats), `judged`, `units`, `cover`.

use super::column::Cell;
use super::cover::{self, CoverRow, CoverSoFar};
use super::fields::Fields;
use super::judged;
use super::problem::{Finding, Place};
use super::stratum::{self, Strata};
use super::tally::{Reported, Tally};
use super::units::{self, UnitRow, UnitsSoFar};
use crate::records::{Crop, GpsPoint, JudgedSurvey, MEASURED, PatchName, Stratum, SurveyMethod};
use crate::units::Measure;

/// What one row has measured: where the record can hold it alone, a survey of one quadrat.
#[derive(Debug)]
pub(super) enum MethodRow {
    Quadrat(Stratum),
    Judged(JudgedSurvey),
    Units(UnitRow),
    Cover(CoverRow),
}

/// What the rows of one survey have measured so far.
#[derive(Debug)]
pub(super) enum MethodSoFar {
    Quadrats(Strata),
    Judged(JudgedSurvey),
    Units(UnitsSoFar),
    Cover(CoverSoFar),
}

/// Reads a row's measurement of a crop at a place, both as far as they are known.
type ReadRow = fn(&mut Fields<'_>, Option<&Crop>, Option<GpsPoint>) -> Result<MethodRow, Reported>;

/// A method's columns: those that tell it from the others, and the rest that it uses.
struct Uses {
    name: &'static str,
    read: ReadRow,
    telling: &'static [&'static str],
    others: &'static [&'static str],
}

const QUADRATS: Uses = Uses {
    name: "measured quadrats",
    read: |fields, crop, at| stratum::read(fields, crop, at).map(MethodRow::Quadrat),
    telling: &[],
    others: &["stratum", "stratum_area_m2", "frame_area_m2", "frame_length_m", "mass_g", "count"],
};
const JUDGED: Uses = Uses {
    name: "quadrats judged by eye",
    read: |fields, crop, at| judged::read(fields, crop, at).map(MethodRow::Judged),
    telling: &["judged_g", "judged_count"],
    others: &["frame_area_m2", "frame_length_m", "mass_g", "count"],
};
const UNITS: Uses = Uses {
    name: "counted units",
    read: |fields, crop, at| units::read(fields, crop, at).map(MethodRow::Units),
    telling: &["units", "units_in_all", "unit_g", "unit"],
    others: &["stratum", "stratum_area_m2", "frame_area_m2", "frame_length_m"],
};
const COVER: Uses = Uses {
    name: "cover",
    read: |fields, crop, at| cover::read(fields, crop, at).map(MethodRow::Cover),
    telling: &["cover", "full_cover_g_per_m2", "cover_scale"],
    others: &[],
};
const TOLD_BY_COLUMNS: [&Uses; 3] = [&COVER, &UNITS, &JUDGED];

impl MethodRow {
    /// # Errors
    /// Among others, columns filled that the row's method has no use for.
    pub fn read(
        fields: &mut Fields<'_>,
        crop: Option<&Crop>,
        at: Option<GpsPoint>,
    ) -> Result<Self, Reported> {
        let tells =
            |uses: &&&Uses| fields.all_filled().any(|column| uses.telling.contains(&column));
        let uses = TOLD_BY_COLUMNS.iter().find(tells).copied().unwrap_or(&QUADRATS);
        let row = (uses.read)(fields, crop, at);
        refuse_strangers(uses, fields).and(row)
    }

    fn uses(&self) -> &'static Uses {
        match self {
            Self::Quadrat(_) => &QUADRATS,
            Self::Judged(_) => &JUDGED,
            Self::Units(_) => &UNITS,
            Self::Cover(_) => &COVER,
        }
    }
}

fn refuse_strangers(uses: &Uses, fields: &mut Fields<'_>) -> Result<(), Reported> {
    let is_strange = |name: &&str| {
        let is_used = uses.telling.contains(name) || uses.others.contains(name);
        !is_used && MEASURED.iter().any(|column| column.name == *name)
    };
    // They stand in the order of `MEASURED`, and most rows have none.
    let strangers: Vec<&'static str> = fields.all_filled().filter(is_strange).collect();
    let mut fit = Ok(());
    for name in strangers {
        let found = format!("a survey of {} has no use for it", uses.name);
        fit = Err(fields.refuse(name, Finding::new(found, "nothing here")));
    }
    fit
}

impl MethodSoFar {
    /// Of the survey whose first row is this, as yet without it.
    pub fn begun_by(row: &MethodRow) -> Self {
        match row {
            MethodRow::Quadrat(_) => Self::Quadrats(Strata::default()),
            MethodRow::Judged(row) => {
                Self::Judged(JudgedSurvey { frame: row.frame, quadrats: Vec::new() })
            }
            MethodRow::Units(_) => Self::Units(UnitsSoFar::default()),
            MethodRow::Cover(_) => Self::Cover(CoverSoFar::default()),
        }
    }

    /// Adds a row to a survey that began at `begun`.
    pub fn add(
        &mut self,
        row: MethodRow,
        begun: &Place,
        fields: &mut Fields<'_>,
    ) -> Result<(), Reported> {
        match (self, row) {
            (Self::Quadrats(strata), MethodRow::Quadrat(row)) => strata.add(row, fields),
            (Self::Judged(survey), MethodRow::Judged(row)) => judged::add(survey, row, fields),
            (Self::Units(units), MethodRow::Units(row)) => units.add(row, fields),
            (Self::Cover(cover), MethodRow::Cover(row)) => cover.add(row, fields),
            (method, row) => Err(method.refuse_other(&row, begun, fields)),
        }
    }

    fn refuse_other(&self, row: &MethodRow, begun: &Place, fields: &mut Fields<'_>) -> Reported {
        let uses = row.uses();
        let mut columns = uses.telling.iter().chain(uses.others);
        let column = columns.find(|column| fields.is_filled(column)).copied();
        let found = format!("{begun} of this survey gives {}, this row {}", self.name(), uses.name);
        let expected = "one way of measuring in a survey; `visit` 2 makes it a second one";
        fields.refuse(column.unwrap_or("mass_g"), Finding::new(found, expected))
    }

    fn name(&self) -> &'static str {
        match self {
            Self::Quadrats(_) => QUADRATS.name,
            Self::Judged(_) => JUDGED.name,
            Self::Units(_) => UNITS.name,
            Self::Cover(_) => COVER.name,
        }
    }

    /// The survey that began at `place`, once all its rows are there.
    pub fn finish(
        self,
        patch: &PatchName,
        place: &Place,
        tally: &mut Tally,
    ) -> Result<SurveyMethod, Reported> {
        match self {
            Self::Quadrats(strata) => {
                strata.finish(patch, place, tally).map(SurveyMethod::Quadrats)
            }
            Self::Judged(survey) => judged::finish(survey, patch, place, tally),
            Self::Units(units) => units.finish(patch, place, tally),
            Self::Cover(cover) => cover.finish(patch, place, tally),
        }
    }
}

/// What each method writes of a survey; a row does not say what it was measured in where that is
/// the crop's to tell.
pub(super) fn rows(method: &SurveyMethod, measure: Measure) -> Vec<Vec<Cell>> {
    match method {
        SurveyMethod::Quadrats(strata) => {
            let column = if measure == Measure::Mass { "mass_g" } else { "count" };
            stratum::rows(strata, column)
        }
        SurveyMethod::Judged(survey) => judged::rows(survey, measure),
        SurveyMethod::Units(survey) => units::rows(survey),
        SurveyMethod::Cover(survey) => cover::rows(survey),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_column_of_a_method_is_one_of_a_survey() {
        for uses in TOLD_BY_COLUMNS.into_iter().chain([&QUADRATS]) {
            let mut columns = uses.telling.iter().chain(uses.others).copied();
            let is_declared = |name| MEASURED.iter().any(|column| column.name == name);
            assert!(columns.all(is_declared), "{}", uses.name);
        }
    }
}
