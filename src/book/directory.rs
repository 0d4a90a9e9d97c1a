//! The names in force.

use rusqlite::{Connection, ToSql, params};

use super::error::{BookError, Failure};
use super::fields::Fields;
use super::former;
use super::names::{Names, patch_name, site_name};
use super::namesakes::{self, AnyCase};
use super::open::Book;
use super::sound::places_are_sound;
use super::view::View;
use super::words::Words;
use crate::records::{Directory, KnownPatch};

const PATCHES: &str = "SELECT id, recorded_on, site, name, crop, place FROM patch";

impl Book {
    /// Every site and patch by its present name. A patch's id is that of the fact that now
    /// describes it, the one a ledger shows.
    pub fn directory(&self) -> Result<Directory, BookError> {
        whole_directory(&self.connection).map_err(|failure| failure.at(&self.path))
    }

    /// The patch that people call so: `site/patch`, its own name where only one site has it,
    /// or the short id of its fact. Reads little of a big book unless there is none.
    ///
    /// # Errors
    /// A refusal that says what may have been meant.
    pub fn patch(&self, asked: &str) -> Result<KnownPatch, BookError> {
        patch(&self.connection, asked).map_err(|failure| failure.at(&self.path))
    }
}

pub(super) fn whole_directory(book: &Connection) -> Result<Directory, Failure> {
    places_are_sound(book)?;
    Ok(directory(book)?)
}

/// The names as they stand, whether they can be believed or not.
pub(super) fn directory(book: &Connection) -> rusqlite::Result<Directory> {
    let view = View::amid(book)?;
    let names = live_site_names(book, &view, "", &[])?;
    let patches = known_patches(book, &view, &names, "", &[])?;
    let former = former::names(book, &view, &names)?;
    let mut sites = names.into_sites();
    sites.sort();
    Ok(Directory { sites, patches, former })
}

pub(super) fn patch(book: &Connection, asked: &str) -> Result<KnownPatch, Failure> {
    match so_named(book, asked)?.patch(asked) {
        Ok(found) => Ok(found.clone()),
        Err(_) => Ok(whole_directory(book)?.patch(asked)?.clone()),
    }
}

/// As much of the directory as bears the very name, so that all of it is seldom read.
fn so_named(book: &Connection, asked: &str) -> rusqlite::Result<Directory> {
    let view = View::read(book, None)?;
    let (names, patches) = match asked.trim().split_once('/') {
        Some((site, patch)) => {
            let names = live_site_names(book, &view, "WHERE name = ?", params![site])?;
            let clause = "WHERE name = ? AND site IN (SELECT place FROM site WHERE name = ?)";
            let patches = known_patches(book, &view, &names, clause, params![patch, site])?;
            (names, patches)
        }
        None => {
            let clause = "WHERE place IN (SELECT site FROM patch WHERE name = ?)";
            let names = live_site_names(book, &view, clause, params![asked.trim()])?;
            let clause = "WHERE name = ?";
            let patches = known_patches(book, &view, &names, clause, params![asked.trim()])?;
            (names, patches)
        }
    };
    Ok(Directory { sites: names.into_sites(), patches, ..Directory::default() })
}

fn live_site_names(
    book: &Connection,
    view: &View,
    clause: &str,
    values: &[&dyn ToSql],
) -> rusqlite::Result<Names> {
    let mut found = Vec::new();
    let mut words = Words::default();
    let sql = format!("SELECT id, recorded_on, place, name FROM site {clause}");
    let mut sites = book.prepare_cached(&sql)?;
    let mut rows = sites.query(values)?;
    while let Some(row) = rows.next()? {
        let mut fields = Fields::of(row, &mut words);
        if view.counts(fields.id()?, fields.day()?) {
            found.push((fields.whole()?, site_name(&mut fields)?));
        }
    }
    let marks = if clause.is_empty() {
        let named = found.iter().map(|(place, name)| (*place, AnyCase::from(name)));
        Some(namesakes::marks(named, "site", book)?)
    } else {
        None
    };
    let mut names = Names::default();
    for (place, name) in found {
        let shown = match &marks {
            Some(marks) => match marks.get(&place) {
                Some(id) => name.told_apart_by(*id),
                None => name,
            },
            None => namesakes::shown_site(place, name, Some(view), book)?,
        };
        names.call_site(place, shown);
    }
    Ok(names)
}

/// Sorted by name.
fn known_patches(
    book: &Connection,
    view: &View,
    names: &Names,
    clause: &str,
    values: &[&dyn ToSql],
) -> rusqlite::Result<Vec<KnownPatch>> {
    let mut found = Vec::new();
    let mut words = Words::default();
    let mut patches = book.prepare_cached(&format!("{PATCHES} {clause}"))?;
    let mut rows = patches.query(values)?;
    while let Some(row) = rows.next()? {
        let mut fields = Fields::of(row, &mut words);
        let id = fields.id()?;
        if !view.counts(id, fields.day()?) {
            continue;
        }
        if let Some(site) = names.site(fields.whole()?) {
            let name = patch_name(site, &mut fields)?;
            let known = KnownPatch { name, crop: fields.word()?, id: Some(id) };
            found.push((fields.whole()?, known));
        }
    }
    if clause.is_empty() {
        let named = found.iter().map(|(place, known)| (*place, AnyCase::from(&known.name)));
        let marks = namesakes::marks(named, "patch", book)?;
        for (place, known) in &mut found {
            if let Some(id) = marks.get(place) {
                known.name = known.name.told_apart_by(*id);
            }
        }
    } else {
        for (place, known) in &mut found {
            let name = known.name.clone();
            known.name = namesakes::shown_patch(*place, name, Some(view), book)?;
        }
    }
    let mut found: Vec<KnownPatch> = found.into_iter().map(|(_, known)| known).collect();
    found.sort_by(|one, other| one.name.cmp(&other.name));
    Ok(found)
}
