use super::Table;
use crate::book::error::Failure;
use crate::book::fields::Fields;
use crate::book::names::Names;
use crate::book::places::Places;
use crate::book::row::NewRow;
use crate::records::Cut;

impl Table for Cut {
    const COLUMNS: &'static str = "taken_g, taken_pieces, share_taken, people, method, walk";

    fn write<'a>(&'a self, _: &mut Places, row: &mut NewRow<'a>) -> Result<(), Failure> {
        row.amount("amount", self.amount)?;
        row.share_taken(self.taken)?;
        row.maybe_whole(self.people);
        row.maybe_text(self.method.as_ref());
        row.maybe_written(self.walk.as_ref());
        Ok(())
    }

    fn read(place: i64, names: &Names, fields: &mut Fields) -> rusqlite::Result<Option<Self>> {
        let Some(patch) = names.patch(place) else { return Ok(None) };
        Ok(Some(Self {
            patch: patch.clone(),
            amount: fields.amount()?,
            taken: fields.share_taken()?,
            people: fields.maybe_whole()?,
            method: fields.maybe_word()?,
            walk: fields.maybe_text_as("name of a walk", |text| text.parse().ok())?,
        }))
    }
}
