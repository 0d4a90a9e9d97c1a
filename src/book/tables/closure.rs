use super::Table;
use crate::book::error::Failure;
use crate::book::fields::Fields;
use crate::book::names::Names;
use crate::book::places::Places;
use crate::book::row::NewRow;
use crate::records::Closure;

impl Table for Closure {
    const COLUMNS: &'static str = "from_day, to_day, reason";

    fn write<'a>(&'a self, _: &mut Places, row: &mut NewRow<'a>) -> Result<(), Failure> {
        row.day("from", self.from)?;
        row.maybe_day("to", self.to)?;
        row.text(&self.reason);
        Ok(())
    }

    fn read(place: i64, names: &Names, fields: &mut Fields) -> rusqlite::Result<Option<Self>> {
        let Some((site, patch)) = names.site_and_patch(place) else { return Ok(None) };
        Ok(Some(Self {
            site,
            patch,
            from: fields.day()?,
            to: fields.maybe_day()?,
            reason: fields.word()?,
        }))
    }
}
