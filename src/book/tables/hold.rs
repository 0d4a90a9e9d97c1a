use super::Table;
use crate::book::error::Failure;
use crate::book::fields::Fields;
use crate::book::names::Names;
use crate::book::places::Places;
use crate::book::row::NewRow;
use crate::records::Hold;

impl Table for Hold {
    const COLUMNS: &'static str = "walk, day, most_g, most_pieces, share_taken, people";

    fn write<'a>(&'a self, _: &mut Places, row: &mut NewRow<'a>) -> Result<(), Failure> {
        row.text(self.walk.as_str());
        row.day("day", self.day)?;
        row.amount("amount", self.amount)?;
        row.share_taken(self.taken)?;
        row.maybe_whole(self.people);
        Ok(())
    }

    fn read(place: i64, names: &Names, fields: &mut Fields) -> rusqlite::Result<Option<Self>> {
        let Some(patch) = names.patch(place) else { return Ok(None) };
        Ok(Some(Self {
            patch: patch.clone(),
            walk: fields.text_as("name of a walk", |text| text.parse().ok())?,
            day: fields.day()?,
            amount: fields.amount()?,
            taken: fields.share_taken()?,
            people: fields.maybe_whole()?,
        }))
    }
}
