//! What the quadrats of surveys come to, read without the quadrats.

use super::reader::{Reader, Which, each_row};
use super::tables::survey::{STRATUM_COLUMNS, read_stratum};
use crate::records::{QuadratSummary, SurveySummary};

/// The strata of many surveys, sorted by the number of the survey's row.
pub(super) struct Strata(Vec<(i64, QuadratSummary)>);

impl Strata {
    pub(super) fn read(which: Which, reader: &mut Reader) -> rusqlite::Result<Self> {
        let columns = format!("SELECT survey, {STRATUM_COLUMNS} FROM stratum");
        let all = format!("{columns} ORDER BY survey, ordinal");
        let about = format!(
            "{columns} WHERE survey IN (SELECT no FROM survey WHERE place = ?) \
             ORDER BY survey, ordinal"
        );
        let mut strata = Vec::new();
        each_row(reader.book, &mut reader.words, which, [&all, &about], |fields| {
            strata.push((fields.whole()?, read_stratum(fields)?));
            Ok(())
        })?;
        strata.sort_by_key(|(survey, _)| *survey);
        Ok(Self(strata))
    }

    /// In the order in which they were recorded.
    pub(super) fn of_survey(&self, no: i64) -> SurveySummary {
        let start = self.0.partition_point(|(survey, _)| *survey < no);
        let of_this = self.0[start..].iter().take_while(|(survey, _)| *survey == no);
        SurveySummary::Quadrats(of_this.map(|(_, stratum)| stratum.clone()).collect())
    }
}
