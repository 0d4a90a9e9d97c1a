//! What the quadrats of surveys come to, read without the quadrats.

use super::reader::{Reader, Which, each_row};
use super::tables::survey::{STRATUM_COLUMNS, read_stratum};
use crate::records::{FactId, QuadratSummary, SurveySummary};

/// The strata of many surveys, in the order of their places.
pub(super) struct Strata {
    strata: Vec<Stratum>,
    /// The first of the place that was last asked for.
    at: usize,
}

struct Stratum {
    place: i64,
    survey: FactId,
    summary: QuadratSummary,
}

impl Strata {
    pub(super) fn read(which: Which, reader: &mut Reader) -> rusqlite::Result<Self> {
        let columns = format!("SELECT place, survey, {STRATUM_COLUMNS} FROM stratum");
        let order = "ORDER BY place, survey, ordinal";
        let all = format!("{columns} {order}");
        let about = format!("{columns} WHERE place = ? {order}");
        let mut strata = Vec::new();
        each_row(reader.book, &mut reader.words, which, [&all, &about], |fields| {
            let (place, survey) = (fields.whole()?, fields.id()?);
            strata.push(Stratum { place, survey, summary: read_stratum(fields)? });
            Ok(())
        })?;
        Ok(Self { strata, at: 0 })
    }

    /// In the order in which they were recorded.
    pub(super) fn of_survey(&mut self, place: i64, id: FactId) -> SurveySummary {
        if self.strata.get(self.at).is_none_or(|stratum| stratum.place != place) {
            self.at = self.strata.partition_point(|stratum| stratum.place < place);
        }
        let of_place = self.strata[self.at..].iter().take_while(|stratum| stratum.place == place);
        let of_survey = of_place.filter(|stratum| stratum.survey == id);
        SurveySummary::Quadrats(of_survey.map(|stratum| stratum.summary.clone()).collect())
    }
}
