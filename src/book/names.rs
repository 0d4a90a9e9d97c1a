//! What the places are called, by their numbers, in one view of the book.

use std::sync::Arc;

use rusqlite::{Connection, OptionalExtension};

use super::by_place::ByPlace;
use super::fields::Fields;
use super::words::Words;
use crate::records::{PatchName, SiteName};

#[derive(Clone, Debug)]
enum Name {
    Site(SiteName),
    Patch(PatchName),
}

/// Place numbers and names.
#[derive(Debug, Default)]
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

    pub(super) fn into_sites(self) -> Vec<SiteName> {
        let sites = self.by_place.into_values().filter_map(|name| match name {
            Name::Site(name) => Some(name),
            Name::Patch(_) => None,
        });
        sites.collect()
    }

    /// Adds the newest name of a place, withdrawn or not.
    pub(super) fn learn(&mut self, place: i64, book: &Connection) -> rusqlite::Result<()> {
        if self.by_place.contains_key(&place) {
            return Ok(());
        }
        let mut words = Words::default();
        let site = book
            .prepare_cached(&newest("name", "site"))?
            .query_row([place], |row| site_name(&mut Fields::of(row, &mut words)))
            .optional()?;
        if let Some(name) = site {
            self.call_site(place, name);
            return Ok(());
        }
        let on_site: Option<i64> = book
            .prepare_cached(&newest("site", "patch"))?
            .query_row([place], |row| row.get(0))
            .optional()?;
        let Some(on_site) = on_site else { return Ok(()) };
        self.learn(on_site, book)?;
        let Some(site) = self.site(on_site).cloned() else { return Ok(()) };
        let name = book
            .prepare_cached(&newest("name", "patch"))?
            .query_row([place], |row| patch_name(&site, &mut Fields::of(row, &mut words)))?;
        self.call_patch(place, name);
        Ok(())
    }
}

/// SQL for a column of the last fact that set a place down.
fn newest(column: &str, table: &str) -> String {
    format!(
        "SELECT {column} FROM {table} WHERE place = ? AND NOT EXISTS (SELECT 1 FROM correction \
         WHERE replaced = {table}.id AND replacement IS NOT NULL)"
    )
}

pub(super) fn site_name(fields: &mut Fields) -> rusqlite::Result<SiteName> {
    fields.text_as("name of a site", |text| SiteName::new(text).ok())
}

pub(super) fn patch_name(site: &SiteName, fields: &mut Fields) -> rusqlite::Result<PatchName> {
    fields.text_as("name of a patch", |text| PatchName::new(site, text).ok())
}
