//! The ways in which a survey may measure: which columns each uses, and which rows are its.
//!
//! One file reads and writes each way: `stratum` (quadrats), `judged`, `units`, `cover`.

use super::column::Cell;
use super::fields::Fields;
use super::problem::{Finding, Place};
use super::stratum::{self, Strata};
use super::tally::{Reported, Tally};
use super::{cover, judged, units};
use crate::records::{Column, Crop, GpsPoint, MEASURED, PatchName, SurveyMethod};
use crate::units::Measure;

/// What one row has measured.
#[derive(Debug)]
pub(super) enum Row {
    Quadrat(stratum::Row),
    Judged(judged::Row),
    Units(units::Row),
    Cover(cover::Row),
}

/// The rows of one survey so far.
#[derive(Debug)]
pub(super) enum Way {
    Quadrats(Strata),
    Judged(judged::Gathered),
    Units(units::Gathered),
    Cover(cover::Gathered),
}

/// A way's columns: those that tell it from the others, and the rest that it uses.
struct Uses {
    name: &'static str,
    read: fn(&mut Fields<'_>, Option<&Crop>) -> Result<Row, Reported>,
    telling: &'static [&'static str],
    others: &'static [&'static str],
}

const QUADRATS: Uses = Uses {
    name: "measured quadrats",
    read: |fields, crop| stratum::read_row(fields, crop).map(Row::Quadrat),
    telling: &[],
    others: &["stratum", "stratum_area_m2", "frame_area_m2", "frame_length_m", "mass_g", "count"],
};
const JUDGED: Uses = Uses {
    name: "quadrats judged by eye",
    read: |fields, crop| judged::read(fields, crop).map(Row::Judged),
    telling: &["judged_g", "judged_count"],
    others: &["frame_area_m2", "frame_length_m", "mass_g", "count"],
};
const UNITS: Uses = Uses {
    name: "counted units",
    read: |fields, crop| units::read(fields, crop).map(Row::Units),
    telling: &["units", "units_in_all", "unit_g", "unit"],
    others: &["stratum", "stratum_area_m2", "frame_area_m2", "frame_length_m"],
};
const COVER: Uses = Uses {
    name: "cover",
    read: |fields, crop| cover::read(fields, crop).map(Row::Cover),
    telling: &["cover", "full_cover_g_per_m2", "cover_scale"],
    others: &[],
};
const TOLD_BY_COLUMNS: [&Uses; 3] = [&COVER, &UNITS, &JUDGED];
impl Row {
    /// # Errors
    /// Among others, columns filled that the row's way has no use for.
    pub fn read(fields: &mut Fields<'_>, crop: Option<&Crop>) -> Result<Self, Reported> {
        let tells = |uses: &&&Uses| uses.telling.iter().any(|column| fields.is_filled(column));
        let uses = TOLD_BY_COLUMNS.iter().find(tells).copied().unwrap_or(&QUADRATS);
        let row = (uses.read)(fields, crop);
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
    let mut fit = Ok(());
    for Column { name, .. } in &MEASURED {
        let is_used = uses.telling.contains(name) || uses.others.contains(name);
        if !is_used && fields.is_filled(name) {
            let found = format!("a survey of {} has no use for it", uses.name);
            fit = Err(fields.refuse(name, Finding::new(found, "nothing here")));
        }
    }
    fit
}

impl Way {
    /// The way that a survey goes whose first row is this.
    pub fn begun_by(row: &Row) -> Self {
        match row {
            Row::Quadrat(_) => Self::Quadrats(Strata::default()),
            Row::Judged(_) => Self::Judged(judged::Gathered::default()),
            Row::Units(_) => Self::Units(units::Gathered::default()),
            Row::Cover(_) => Self::Cover(cover::Gathered::default()),
        }
    }

    /// Adds a row to a survey that began at `begun`.
    pub fn add(
        &mut self,
        row: Row,
        at: Option<GpsPoint>,
        begun: &Place,
        fields: &mut Fields<'_>,
    ) -> Result<(), Reported> {
        match (self, row) {
            (Self::Quadrats(strata), Row::Quadrat(row)) => strata.add(row, at, fields),
            (Self::Judged(gathered), Row::Judged(row)) => gathered.add(row, at, fields),
            (Self::Units(gathered), Row::Units(row)) => gathered.add(row, at, fields),
            (Self::Cover(gathered), Row::Cover(row)) => gathered.add(row, at, fields),
            (way, row) => Err(way.refuse_other(&row, begun, fields)),
        }
    }

    fn refuse_other(&self, row: &Row, begun: &Place, fields: &mut Fields<'_>) -> Reported {
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
            Self::Judged(gathered) => gathered.finish(patch, place, tally),
            Self::Units(gathered) => gathered.finish(patch, place, tally),
            Self::Cover(gathered) => gathered.finish(patch, place, tally),
        }
    }
}

/// What each way writes of a survey; a row does not say what it was measured in where that is
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
    fn each_column_of_a_way_is_one_of_a_survey() {
        for uses in TOLD_BY_COLUMNS.into_iter().chain([&QUADRATS]) {
            let mut columns = uses.telling.iter().chain(uses.others).copied();
            let is_declared = |name| MEASURED.iter().any(|column| column.name == name);
            assert!(columns.all(is_declared), "{}", uses.name);
        }
    }
}
