//! Which part of the book a ledger or a history is of.

use rusqlite::{Connection, Params};

use super::error::Failure;
use super::fields::Fields;
use super::namesakes;
use super::reader::Which;
use super::view::View;
use super::words::Words;
use crate::records::{NotFound, PatchName, SiteName};

/// How much of the book is wanted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Scope {
    All,
    Site(SiteName),
    Patch(PatchName),
}

/// The places in a part of the book.
#[derive(Debug)]
pub(super) struct Part {
    pub(super) sites: Vec<i64>,
    pub(super) patches: Vec<i64>,
}

/// Sites and patches to read; `None` for the whole book.
#[derive(Debug, Default)]
pub(super) struct Selection(Option<Part>);

impl Selection {
    pub(super) fn of(part: Part) -> Self {
        Self(Some(part))
    }

    pub(super) fn sites(&self) -> Which<'_> {
        self.0.as_ref().map_or(Which::All, |part| Which::About(&part.sites))
    }

    /// For facts that may be about either: one list, or the two that make up the part.
    pub(super) fn sites_and_patches(&self) -> Vec<Which<'_>> {
        match &self.0 {
            None => vec![Which::All],
            Some(_) => vec![self.sites(), self.patches()],
        }
    }

    pub(super) fn patches(&self) -> Which<'_> {
        self.0.as_ref().map_or(Which::All, |part| Which::About(&part.patches))
    }
}

/// The number of the site that bears the name in the view.
pub(super) fn site_named(name: &SiteName, view: &View, book: &Connection) -> Result<i64, Failure> {
    let found = namesakes::site_called(name.as_str(), view, book)?;
    found.ok_or_else(|| not_found("site", name.to_string()))
}

/// The numbers of the patch that bears the name in the view, and of its site.
pub(super) fn patch_named(
    name: &PatchName,
    view: &View,
    book: &Connection,
) -> Result<(i64, i64), Failure> {
    let site = site_named(name.site(), view, book)?;
    match namesakes::patch_called(name.patch(), site, view, book)? {
        Some(patch) => Ok((patch, site)),
        None => Err(not_found("patch", name.to_string())),
    }
}

pub(super) fn not_found(what: &'static str, asked: String) -> Failure {
    NotFound::Unknown { what, asked, near: None }.into()
}

/// The places in the third column of the rows whose facts count; the first two columns are
/// the fact's id and the day it was recorded.
pub(super) fn live_places(
    sql: &str,
    values: impl Params,
    view: &View,
    book: &Connection,
) -> rusqlite::Result<Vec<i64>> {
    let mut found = Vec::new();
    let mut words = Words::default();
    let mut statement = book.prepare_cached(sql)?;
    let mut rows = statement.query(values)?;
    while let Some(row) = rows.next()? {
        let mut fields = Fields::of(row, &mut words);
        if view.counts(fields.id()?, fields.day()?) {
            found.push(fields.whole()?);
        }
    }
    Ok(found)
}
