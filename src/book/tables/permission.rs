use super::Table;
use crate::book::error::Failure;
use crate::book::fields::Fields;
use crate::book::names::Names;
use crate::book::places::Places;
use crate::book::row::NewRow;
use crate::records::{Basis, Permission};

impl Table for Permission {
    const COLUMNS: &'static str = "basis, from_day, to_day, crops, methods, \
        visit_cap_g, visit_cap_pieces, season_cap_g, season_cap_pieces, \
        largest_party, ask_first, lifts_code_cap, note";

    fn write<'a>(&'a self, _: &mut Places, row: &mut NewRow<'a>) -> Result<(), Failure> {
        row.text(self.basis.name());
        row.day("from", self.from)?;
        row.maybe_day("to", self.to)?;
        row.words(&self.crops);
        row.words(&self.methods);
        row.maybe_amount("cap_per_visit", self.cap_per_visit)?;
        row.maybe_amount("cap_per_season", self.cap_per_season)?;
        row.maybe_whole(self.largest_party);
        row.whole(self.ask_first);
        row.whole(self.lifts_code_cap);
        row.maybe_text(self.note.as_ref());
        Ok(())
    }

    fn read(place: i64, names: &Names, fields: &mut Fields) -> rusqlite::Result<Option<Self>> {
        let Some(site) = names.site(place) else { return Ok(None) };
        Ok(Some(Self {
            site: site.clone(),
            basis: fields.text_as("basis of a permission", |text| {
                Basis::ALL.into_iter().find(|basis| basis.name() == text)
            })?,
            from: fields.day()?,
            to: fields.maybe_day()?,
            crops: fields.words()?,
            methods: fields.words()?,
            cap_per_visit: fields.maybe_amount()?,
            cap_per_season: fields.maybe_amount()?,
            largest_party: fields.maybe_whole()?,
            ask_first: fields.yes_or_no()?,
            lifts_code_cap: fields.yes_or_no()?,
            note: fields.maybe_word()?,
        }))
    }
}
