use super::Table;
use crate::book::error::Failure;
use crate::book::fields::Fields;
use crate::book::names::Names;
use crate::book::places::Places;
use crate::book::row::NewRow;
use crate::records::Zone;
use crate::units::Metres;

impl Table for Zone {
    const COLUMNS: &'static str = "name, buffer_m, reason, shape";

    fn write<'a>(&'a self, _: &mut Places, row: &mut NewRow<'a>) -> Result<(), Failure> {
        row.text(&self.name);
        row.number("buffer_m", self.buffer.0)?;
        row.maybe_text(self.reason.as_ref());
        row.shape("shape", &self.shape)?;
        Ok(())
    }

    fn read(place: i64, names: &Names, fields: &mut Fields) -> rusqlite::Result<Option<Self>> {
        let Some(site) = names.site(place) else { return Ok(None) };
        Ok(Some(Self {
            site: site.clone(),
            name: fields.word()?,
            buffer: Metres(fields.number()?),
            reason: fields.maybe_word()?,
            shape: fields.shape()?,
        }))
    }
}
