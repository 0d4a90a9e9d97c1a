//! A survey: its own row, one for each part with what its quadrats come to, and the quadrats.

use rusqlite::Connection;

use super::measured::{self, METHODS};
use super::part::{self, Part, read_parts};
use super::quadrat;
use super::{Seat, Table};
use crate::book::error::{Failure, Refusal};
use crate::book::fields::Fields;
use crate::book::names::Names;
use crate::book::places::Places;
use crate::book::row::NewRow;
use crate::records::{FactId, Survey, SurveyMethod};

impl Table for Survey {
    const COLUMNS: &'static str = "method, measured_in, placed, note";

    fn write<'a>(&'a self, _: &mut Places, row: &mut NewRow<'a>) -> Result<(), Failure> {
        let (method, measured_in) = measured::named(&self.method);
        let parts = self.parts().len();
        if parts == 0 || parts != measured::lines(&self.method).len() {
            return Err(Refusal::NoQuadrats { key: row.key().to_owned() }.into());
        }
        row.text(method);
        row.written(measured_in);
        row.written(self.placement.to_string());
        row.maybe_text(self.note.as_ref());
        Ok(())
    }

    /// Without its parts; `read_parts` adds them.
    fn read(place: i64, names: &Names, fields: &mut Fields) -> rusqlite::Result<Option<Self>> {
        let Some(patch) = names.patch(place) else { return Ok(None) };
        let method = fields.text_as("method of a survey", |text| {
            METHODS.iter().find(|(name, _)| *name == text).map(|(_, empty)| *empty)
        })?;
        let method = fields.text_as("unit or scale of a survey", method)?;
        let placement = fields.text_as("placement of a survey", |text| text.parse().ok())?;
        Ok(Some(Self { patch: patch.clone(), placement, method, note: fields.maybe_word()? }))
    }

    fn write_parts(&self, seat: Seat, key: &str, book: &Connection) -> Result<(), Failure> {
        let (parts, lines) = (self.parts(), measured::lines(&self.method));
        for ((part, lines), ordinal) in parts.iter().zip(&lines).zip(1_i64..) {
            part::write(seat, ordinal, part, key, book)?;
            for (line, nth) in lines.iter().zip(1_i64..) {
                quadrat::write(seat.id, [ordinal, nth], line, key, book)?;
            }
        }
        Ok(())
    }

    fn read_parts(&mut self, id: FactId, book: &Connection) -> rusqlite::Result<()> {
        let with_lines = |(part, ordinal)| Ok((part, quadrat::read(id, ordinal, book)?));
        let parts = read_parts(id, book)?.into_iter().zip(1_i64..).map(with_lines);
        measured::fill(&mut self.method, parts.collect::<rusqlite::Result<_>>()?);
        Ok(())
    }
}

impl Survey {
    /// None for a survey that lacks some.
    pub(in crate::book) fn parts(&self) -> Vec<Part> {
        self.summary().map(|summary| measured::parts(&summary.method)).unwrap_or_default()
    }
}

/// A method without its measurements, made from what it was measured in.
pub(super) type Empty = fn(&str) -> Option<SurveyMethod>;
