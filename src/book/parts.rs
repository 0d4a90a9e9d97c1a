//! What the samples of surveys come to, read without the single measurements.

use std::sync::LazyLock;

use super::fields::Fields;
use super::packed::section;
use super::reader::{Reader, Which, each_row};
use super::seal::{SEALS, Sealer};
use super::tables::measured::summary;
use super::tables::part::{PART_COLUMNS, StoredSample, read_part};
use crate::records::{FactId, MethodSummary};

/// The columns that tell of a part, and the order of its rows.
pub(super) static PART_ROW: LazyLock<String> =
    LazyLock::new(|| format!("place, survey, {PART_COLUMNS}"));
pub(super) const PARTS_IN_ORDER: &str = "ORDER BY place, survey, ordinal";

/// The parts of many surveys, in the order of their places.
pub(super) struct Parts {
    parts: Vec<SurveyPart>,
    /// The first of the place that was last asked for.
    at: usize,
}

struct SurveyPart {
    place: i64,
    survey: FactId,
    part: StoredSample,
}

impl Parts {
    pub(super) fn read(which: Which, reader: &mut Reader) -> rusqlite::Result<Self> {
        let columns = format!("{}, ordinal, quadrats, {SEALS}", *PART_ROW);
        let select = format!("SELECT {columns} FROM part");
        let Reader { book, words, sound, packs, .. } = reader;
        let packed = section("part");
        let rows = packed.map_or(0, |packed| packs.iter().map(|pack| pack.rows(packed)).sum());
        let mut parts = Vec::with_capacity(rows);
        let mut take = |fields: &mut Fields| {
            let (place, survey) = (fields.whole()?, fields.id()?);
            parts.push(SurveyPart { place, survey, part: read_part(fields)? });
            Ok(())
        };
        if let Some(packed) = packed {
            for pack in &*packs {
                pack.each_row(packed, words, &mut take)?;
            }
        }
        let mut sealer = Sealer::of_list(&columns);
        let mut see = |fields: &mut Fields| match sound.see("part", &mut sealer, fields.cells())? {
            Some(_) => take(fields),
            None => Ok(()),
        };
        each_row(book, words, which, [&select, PARTS_IN_ORDER], &mut see)?;
        // Of every place it is either packed or in rows, and in order.
        parts.sort_by_key(|part| part.place);
        Ok(Self { parts, at: 0 })
    }

    /// `None` for a survey some of whose parts are missing: the file was tampered with.
    pub(super) fn of_survey(&mut self, place: i64, id: FactId) -> Option<MethodSummary> {
        if self.parts.get(self.at).is_none_or(|part| part.place != place) {
            self.at = self.parts.partition_point(|part| part.place < place);
        }
        let of_place = self.parts[self.at..].iter().take_while(|part| part.place == place);
        summary(of_place.filter(|part| part.survey == id).map(|part| &part.part))
    }
}
