//! From the names that records use to the numbers the book keeps.

use foldhash::{HashMap, HashMapExt};
use rusqlite::{Connection, params};

use super::directory::directory;
use super::error::{BookError, Failure};
use super::namesakes;
use super::numbering;
use super::open::Book;
use super::view::View;
use crate::records::{Kind, NotFound, PatchName, SiteName};

/// SQL for a fact that nothing has replaced or withdrawn; `{}` is its table.
pub(super) fn is_live(table: &str) -> String {
    format!("NOT EXISTS (SELECT 1 FROM correction WHERE replaced = {table}.id)")
}

/// Looks up places by their present names, each once.
///
/// Facts are appended in the order of their kinds, so no name is looked up before the sites
/// and patches that come along have been written.
pub(super) struct Places<'book> {
    book: &'book Connection,
    /// Read when first needed.
    view: Option<View>,
    sites: HashMap<SiteName, i64>,
    /// By the number of their site, and what they are called on it.
    patches: HashMap<i64, HashMap<Box<str>, i64>>,
}

impl<'book> Places<'book> {
    pub(super) fn of(book: &'book Connection) -> Self {
        Self { book, view: None, sites: HashMap::new(), patches: HashMap::new() }
    }

    pub(super) fn site(&mut self, name: &SiteName) -> Result<i64, Failure> {
        if let Some(&place) = self.sites.get(name) {
            return Ok(place);
        }
        let book = self.book;
        match namesakes::site_called(name.as_str(), self.view()?, book)? {
            Some(place) => {
                self.sites.insert(name.clone(), place);
                Ok(place)
            }
            None => Err(self.unknown("site", name.to_string())),
        }
    }

    /// The patch of that name on the site.
    pub(super) fn patch(&mut self, on: &SiteName, patch: &str) -> Result<i64, Failure> {
        let site = self.site(on)?;
        if let Some(&place) = self.patches.get(&site).and_then(|known| known.get(patch)) {
            return Ok(place);
        }
        let name = PatchName::new(on, patch)?;
        let book = self.book;
        match namesakes::patch_called(name.patch(), site, self.view()?, book)? {
            Some(place) => {
                self.patches.entry(site).or_default().insert(patch.into(), place);
                Ok(place)
            }
            None => Err(self.unknown("patch", name.to_string())),
        }
    }

    /// Lets the name stand for this site.
    pub(super) fn call_site(&mut self, name: SiteName, place: i64) {
        self.sites.insert(name, place);
    }

    /// A number for a place that the book has not met before. Where the book is a working copy, its
    /// server has said which numbers are free.
    pub(super) fn found(&self, kind: Kind) -> rusqlite::Result<i64> {
        if let Some(number) = numbering::next(self.book)? {
            self.book
                .prepare_cached("INSERT INTO place (no, kind) VALUES (?, ?)")?
                .execute(params![number, kind.name()])?;
            return Ok(number);
        }
        self.book
            .prepare_cached("INSERT INTO place (kind) VALUES (?)")?
            .insert(params![kind.name()])
    }

    /// What counts once the corrections that come along are recorded.
    fn view(&mut self) -> rusqlite::Result<&View> {
        match &mut self.view {
            Some(view) => Ok(view),
            unread => Ok(unread.insert(View::amid(self.book)?)),
        }
    }

    /// The refusal, with what may have been meant.
    fn unknown(&self, what: &'static str, asked: String) -> Failure {
        let directory = match directory(self.book) {
            Ok(directory) => directory,
            Err(error) => return error.into(),
        };
        let suggestion = match what {
            "site" => directory.site(&asked).err(),
            _ => directory.patch(&asked).err(),
        };
        suggestion.unwrap_or(NotFound::Unknown { what, asked, near: None }).into()
    }
}

/// What tells one state of a book's places from another. Facts and corrections are only ever
/// added, so that as many of them are the same ones.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlacesMark([i64; 5]);

impl Book {
    /// Of the places as they are now: the same as long as no site, zone, patch or redraw is recorded, and
    /// nothing is put right.
    ///
    /// # Errors
    /// A storage error where the book cannot be read.
    pub fn places_mark(&self) -> Result<PlacesMark, BookError> {
        places_mark(&self.connection).map_err(|error| Failure::from(error).at(&self.path))
    }
}

pub(super) fn places_mark(book: &Connection) -> rusqlite::Result<PlacesMark> {
    let sql = "SELECT (SELECT count(*) FROM site), (SELECT count(*) FROM zone), \
               (SELECT count(*) FROM patch), (SELECT count(*) FROM redraw), \
               (SELECT count(*) FROM correction)";
    book.prepare_cached(sql)?.query_row([], |row| {
        let mut counts = [0; 5];
        for (at, count) in counts.iter_mut().enumerate() {
            *count = row.get(at)?;
        }
        Ok(PlacesMark(counts))
    })
}
