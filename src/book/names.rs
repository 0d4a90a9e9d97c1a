//! What the places are called, by their numbers, in one view of the book.

use std::sync::Arc;

use jiff::civil::Date;
use rusqlite::Connection;

use super::by_place::ByPlace;
use super::fields::Fields;
use super::namesakes;
use super::view::View;
use super::words::Words;
use crate::records::{FactId, PatchName, SiteName};

#[derive(Clone, Debug)]
enum Name {
    Site(SiteName),
    Patch(PatchName),
}

/// Place numbers and names.
#[derive(Clone, Debug, Default)]
pub(super) struct Names {
    by_place: ByPlace<Name>,
}

impl Names {
    pub(super) fn call_site(&mut self, place: i64, name: SiteName) {
        self.by_place.insert(place, Name::Site(name));
    }

    pub(super) fn call_patch(&mut self, place: i64, name: PatchName) {
        self.by_place.insert(place, Name::Patch(name));
    }

    pub(super) fn site(&self, place: i64) -> Option<&SiteName> {
        match self.by_place.get(&place)? {
            Name::Site(name) => Some(name),
            Name::Patch(_) => None,
        }
    }

    pub(super) fn patch(&self, place: i64) -> Option<&PatchName> {
        match self.by_place.get(&place)? {
            Name::Patch(name) => Some(name),
            Name::Site(_) => None,
        }
    }

    /// The site, and the patch's own name where the place is a patch.
    pub(super) fn site_and_patch(&self, place: i64) -> Option<(SiteName, Option<Arc<str>>)> {
        match self.by_place.get(&place)? {
            Name::Site(site) => Some((site.clone(), None)),
            Name::Patch(patch) => Some((patch.site().clone(), Some(patch.patch().into()))),
        }
    }

    /// `wood` or `wood/bank`.
    pub(super) fn called(&self, place: i64) -> Option<String> {
        Some(match self.by_place.get(&place)? {
            Name::Site(name) => name.to_string(),
            Name::Patch(name) => name.to_string(),
        })
    }

    pub(super) fn into_sites(self) -> Vec<SiteName> {
        let sites = self.by_place.into_values().filter_map(|name| match name {
            Name::Site(name) => Some(name),
            Name::Patch(_) => None,
        });
        sites.collect()
    }

    /// Adds the newest name of a place, withdrawn or not, as it is shown in the view; without
    /// a view as it was given.
    pub(super) fn learn(
        &mut self,
        place: i64,
        view: Option<&View>,
        book: &Connection,
    ) -> rusqlite::Result<()> {
        if self.by_place.contains_key(&place) || self.learn_site(place, view, book)? {
            return Ok(());
        }
        let Some((on_site, name)) = newest("patch", "site", place, view, book)? else {
            return Ok(());
        };
        // Of a damaged book a patch may lie on a patch, or on itself.
        self.learn_site(on_site, view, book)?;
        let Some(site) = self.site(on_site) else { return Ok(()) };
        let name = read_name(&name, |text| PatchName::new(site, text).ok())?;
        let shown = namesakes::shown_patch(place, name, view, book)?;
        self.call_patch(place, shown);
        Ok(())
    }

    /// Whether the place is a site; then its name is known.
    fn learn_site(
        &mut self,
        place: i64,
        view: Option<&View>,
        book: &Connection,
    ) -> rusqlite::Result<bool> {
        if self.site(place).is_some() {
            return Ok(true);
        }
        let Some((_, name)) = newest("site", "place", place, view, book)? else { return Ok(false) };
        let name = read_name(&name, |text| SiteName::new(text).ok())?;
        let shown = namesakes::shown_site(place, name, view, book)?;
        self.call_site(place, shown);
        Ok(true)
    }
}

/// The last fact that set a place down: a column of it, and the name it gave.
fn newest(
    table: &str,
    column: &str,
    place: i64,
    view: Option<&View>,
    book: &Connection,
) -> rusqlite::Result<Option<(i64, String)>> {
    let mut words = Words::default();
    let mut newest: Option<((bool, Date, FactId), i64, String)> = None;
    let mut facts = book.prepare_cached(&format!(
        "SELECT id, recorded_on, {column}, name FROM {table} WHERE place = ? AND NOT EXISTS \
         (SELECT 1 FROM correction WHERE replaced = {table}.id AND replacement IS NOT NULL)"
    ))?;
    let mut rows = facts.query([place])?;
    while let Some(row) = rows.next()? {
        let mut fields = Fields::of(row, &mut words);
        let (id, recorded_on) = (fields.id()?, fields.day()?);
        let counts = view.is_some_and(|view| view.counts(id, recorded_on));
        let rank = (counts, recorded_on, id);
        if newest.as_ref().is_none_or(|(best, ..)| *best < rank) {
            newest = Some((rank, fields.whole()?, fields.text()?.to_owned()));
        }
    }
    Ok(newest.map(|(_, column, name)| (column, name)))
}

fn read_name<T>(text: &str, read: impl FnOnce(&str) -> Option<T>) -> rusqlite::Result<T> {
    read(text).ok_or_else(|| {
        let misread = format!("`{text}` is no name of a place");
        rusqlite::Error::FromSqlConversionFailure(0, rusqlite::types::Type::Text, misread.into())
    })
}

pub(super) fn site_name(fields: &mut Fields) -> rusqlite::Result<SiteName> {
    fields.text_as("name of a site", |text| SiteName::new(text).ok())
}

pub(super) fn patch_name(site: &SiteName, fields: &mut Fields) -> rusqlite::Result<PatchName> {
    fields.text_as("name of a patch", |text| PatchName::new(site, text).ok())
}
