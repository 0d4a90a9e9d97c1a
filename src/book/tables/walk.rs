use std::fmt::Display;
use std::str::FromStr;

use super::Table;
use crate::book::error::Failure;
use crate::book::fields::Fields;
use crate::book::names::Names;
use crate::book::places::Places;
use crate::book::row::NewRow;
use crate::records::Walk;

/// Lists are kept as people write them, an item behind a semicolon.
const BETWEEN: &str = "; ";

impl Table for Walk {
    const COLUMNS: &'static str = "name, day, other_sites, parties, wants, seed";

    fn write<'a>(&'a self, _: &mut Places, row: &mut NewRow<'a>) -> Result<(), Failure> {
        if !self.parties.iter().all(|party| party.is_usable()) {
            let found = written(&self.parties);
            return Err(row.refuse("parties", found, "parties of at least one person").into());
        }
        row.text(self.name.as_str());
        row.day("day", self.day)?;
        row.written(written(&self.other_sites));
        row.written(written(&self.parties));
        row.written(written(&self.wants));
        row.whole(self.seed);
        Ok(())
    }

    fn read(place: i64, names: &Names, fields: &mut Fields) -> rusqlite::Result<Option<Self>> {
        let Some(site) = names.site(place) else { return Ok(None) };
        Ok(Some(Self {
            site: site.clone(),
            name: fields.text_as("name of a walk", |text| text.parse().ok())?,
            day: fields.day()?,
            other_sites: fields.text_as("list of sites", read_all)?,
            parties: fields.text_as("list of parties", read_all)?,
            wants: fields.text_as("list of what is wanted", read_all)?,
            seed: fields.whole()?,
        }))
    }
}

fn written<T: Display>(items: &[T]) -> String {
    items.iter().map(T::to_string).collect::<Vec<_>>().join(BETWEEN)
}

fn read_all<T: FromStr>(text: &str) -> Option<Vec<T>> {
    text.split(BETWEEN).filter(|item| !item.is_empty()).map(|item| item.parse().ok()).collect()
}
