use super::Table;
use crate::book::error::Failure;
use crate::book::fields::Fields;
use crate::book::names::Names;
use crate::book::places::Places;
use crate::book::row::NewRow;
use crate::records::Glance;

impl Table for Glance {
    const COLUMNS: &'static str = "standing_g, standing_pieces";

    fn write<'a>(&'a self, _: &mut Places, row: &mut NewRow<'a>) -> Result<(), Failure> {
        row.amount("standing", self.standing)?;
        Ok(())
    }

    fn read(place: i64, names: &Names, fields: &mut Fields) -> rusqlite::Result<Option<Self>> {
        let Some(patch) = names.patch(place) else { return Ok(None) };
        Ok(Some(Self { patch: patch.clone(), standing: fields.amount()? }))
    }
}
