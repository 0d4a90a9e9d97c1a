use super::{About, Table};
use crate::book::error::Failure;
use crate::book::fields::Fields;
use crate::book::names::Names;
use crate::book::places::Places;
use crate::book::row::NewRow;
use crate::records::{Cut, Kind, NameError, Taken};

impl Table for Cut {
    const KIND: Kind = Kind::Cut;
    const COLUMNS: &'static str = "taken_g, taken_pieces, share_taken, people, method";

    fn about(&self) -> Result<About, NameError> {
        Ok(About::Patch(self.patch.clone()))
    }

    fn write<'a>(&'a self, _: &mut Places, row: &mut NewRow<'a>) -> Result<(), Failure> {
        row.amount("amount", self.amount)?;
        match self.taken {
            Taken::All => row.text("all"),
            Taken::ByWeight => row.text("part"),
            Taken::OneIn(0) => {
                return Err(row.refuse("taken", self.taken, "1 in 1 or more").into());
            }
            Taken::OneIn(_) => row.written(self.taken.to_string()),
        }
        row.maybe_whole(self.people);
        row.maybe_text(self.method.as_ref());
        Ok(())
    }

    fn read(place: i64, names: &Names, fields: &mut Fields) -> rusqlite::Result<Option<Self>> {
        let Some(patch) = names.patch(place) else { return Ok(None) };
        Ok(Some(Self {
            patch: patch.clone(),
            amount: fields.amount()?,
            taken: fields.text_as("share that was taken", |text| text.parse().ok())?,
            people: fields.maybe_whole()?,
            method: fields.maybe_word()?,
        }))
    }
}
