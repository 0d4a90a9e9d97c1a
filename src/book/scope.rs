//! Which part of the book a ledger or a history is of.

use std::collections::BTreeSet;
use std::sync::Arc;

use jiff::civil::Date;
use rusqlite::{Connection, Params};

use super::error::Failure;
use super::fields::Fields;
use super::namesakes;
use super::other_sites::meant;
use super::reader::Which;
use super::sound::places_are_sound;
use super::view::View;
use super::words::Words;
use crate::records::{FactId, NotFound, PatchName, SiteName, folded, without_mark};

/// How much of the book is wanted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Scope {
    /// The whole book.
    All,
    /// One site with its patches.
    Site(SiteName),
    /// Several sites with theirs.
    Sites(Vec<SiteName>),
    /// One patch, with what bears on its site.
    Patch(PatchName),
    /// The sites of a walk that people call so, and those where something was ever set aside for
    /// it, or was cut on it.
    Walk(String),
    /// The same of every walk.
    Walks,
    /// Every patch of these crops.
    Crops(BTreeSet<Arc<str>>),
}

/// The places in a part of the book.
#[derive(Debug)]
pub(super) struct PlaceKeys {
    pub(super) sites: Vec<i64>,
    pub(super) patches: Vec<i64>,
}

/// Sites and patches to read; `None` for the whole book.
#[derive(Debug, Default)]
pub(super) struct Selection(Option<PlaceKeys>);

impl Selection {
    pub(super) fn of(part: PlaceKeys) -> Self {
        Self(Some(part))
    }

    pub(super) fn sites(&self) -> Which<'_> {
        self.0.as_ref().map_or(Which::All, |part| Which::About(&part.sites))
    }

    pub(super) fn whereabouts(&self) -> Whereabouts<'_> {
        match &self.0 {
            None => Whereabouts::of_either(Which::All),
            Some(_) => Whereabouts::of(self.sites(), self.patches()),
        }
    }

    /// `None` for every place of the book.
    pub(super) fn places(&self) -> Option<Vec<i64>> {
        let Self(part) = self;
        part.as_ref().map(|part| part.sites.iter().chain(&part.patches).copied().collect())
    }

    pub(super) fn patches(&self) -> Which<'_> {
        self.0.as_ref().map_or(Which::All, |part| Which::About(&part.patches))
    }
}

/// Which rows to read for facts about sites, about patches, and about either.
#[derive(Debug)]
pub(super) struct Whereabouts<'a> {
    pub(super) sites: Which<'a>,
    pub(super) patches: Which<'a>,
    pub(super) either: Vec<Which<'a>>,
}

impl<'a> Whereabouts<'a> {
    pub(super) fn of(sites: Which<'a>, patches: Which<'a>) -> Self {
        Self { sites, patches, either: vec![sites, patches] }
    }

    /// The same rows for each: those of the numbers of sites as of patches.
    pub(super) fn of_either(which: Which<'a>) -> Self {
        Self { sites: which, patches: which, either: vec![which] }
    }
}

/// The number of the site that bears the name in the view.
pub(super) fn site_named(name: &SiteName, view: &View, book: &Connection) -> Result<i64, Failure> {
    let found = match namesakes::site_called(name.as_str(), view, book)? {
        None => looked_for("site", "?2 = 0", (name.as_str(), 0), view, book)?,
        found => found,
    };
    found.ok_or_else(|| not_found("site", name.to_string()))
}

/// The numbers of the patch that bears the name in the view, and of its site.
pub(super) fn patch_named(
    name: &PatchName,
    view: &View,
    book: &Connection,
) -> Result<(i64, i64), Failure> {
    let site = site_named(name.site(), view, book)?;
    let found = match namesakes::patch_called(name.patch(), site, view, book)? {
        None => looked_for("patch", "site = ?2", (name.patch(), site), view, book)?,
        found => found,
    };
    match found {
        Some(patch) => Ok((patch, site)),
        None => Err(not_found("patch", name.to_string())),
    }
}

/// The numbers of the sites of the walks that are called so in the view, or of all walks, and of
/// those on which something was ever set aside for them or was cut, whatever name tells them
/// apart.
pub(super) fn sites_of_walks(
    asked: Option<&str>,
    view: &View,
    book: &Connection,
) -> Result<BTreeSet<i64>, Failure> {
    let wanted = asked.map(folded);
    let own = wanted.as_deref().and_then(without_mark).map(|(own, _)| own.to_owned());
    let mut sites = BTreeSet::new();
    let mut names = BTreeSet::new();
    let mut others = BTreeSet::new();
    let mut words = Words::default();
    let mut statement =
        book.prepare_cached("SELECT id, recorded_on, place, name, other_sites FROM walk")?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        let mut fields = Fields::of(row, &mut words);
        let (id, recorded_on) = (fields.id()?, fields.day()?);
        let counts = view.counts(id, recorded_on);
        let (site, name) = (fields.whole()?, fields.text()?.to_owned());
        let called = Some(folded(&name));
        if counts && (wanted.is_none() || called == wanted || called == own) {
            sites.insert(site);
            names.insert(name);
            let told = fields.list::<SiteName>()?.into_iter();
            others.extend(told.map(|name| (name, recorded_on)));
        }
    }
    if let Some(asked) = asked.filter(|_| names.is_empty()) {
        return Err(not_found("walk", asked.to_owned()));
    }
    for (name, recorded_on) in &others {
        sites.insert(match meant(name, *recorded_on, view, book)? {
            Some(site) if is_named(site, view, book)? => site,
            _ => site_named(name, view, book)?,
        });
    }
    const SET_ASIDE: &str = "SELECT hold.id, hold.recorded_on, patch.site FROM hold \
                             JOIN patch ON patch.place = hold.place WHERE hold.walk = ?";
    const WAS_CUT: &str = "SELECT cut.id, cut.recorded_on, patch.site FROM cut \
                           JOIN patch ON patch.place = cut.place \
                           WHERE cut.walk = ? COLLATE NOCASE";
    for name in &names {
        // What a settlement freed counts again where it is settled anew.
        let known = |id, day| view.knows(id, day);
        sites.extend(places_that(known, SET_ASIDE, [name], book)?);
        sites.extend(live_places(WAS_CUT, [name], view, book)?);
    }
    Ok(sites)
}

/// The sites and the patches of the crops.
///
/// An index that hides a patch must not hide that it is missing, so all are counted.
pub(super) fn places_of_crops<'c>(
    crops: impl IntoIterator<Item = &'c Arc<str>>,
    view: &mut View,
    book: &Connection,
) -> rusqlite::Result<PlaceKeys> {
    let (mut sites, mut patches) = (BTreeSet::new(), BTreeSet::new());
    for crop in crops {
        view.sound.patches_of_crop(crop, book)?;
        let columns =
            |column| format!("SELECT id, recorded_on, {column} FROM patch WHERE crop = ?");
        sites.extend(live_places(&columns("site"), [crop], view, book)?);
        patches.extend(live_places(&columns("place"), [crop], view, book)?);
    }
    Ok(PlaceKeys { sites: Vec::from_iter(sites), patches: Vec::from_iter(patches) })
}

/// Whether a fact that counts sets the site down.
fn is_named(site: i64, view: &View, book: &Connection) -> rusqlite::Result<bool> {
    let sql = "SELECT id, recorded_on, place FROM site WHERE place = ?";
    Ok(!live_places(sql, [site], view, book)?.is_empty())
}

/// Looks through all rows under a condition for a name that no index knows: it may be damaged,
/// and what it does not find would be taken for what never was there.
fn looked_for(
    table: &'static str,
    among: &str,
    values: (&str, i64),
    view: &View,
    book: &Connection,
) -> Result<Option<i64>, Failure> {
    places_are_sound(book)?;
    let columns = "SELECT id, recorded_on, place";
    let sql = format!("{columns} FROM {table} NOT INDEXED WHERE {among} AND name = ?1");
    match live_places(&sql, values, view, book)?.is_empty() {
        true => Ok(None),
        false => Err(Failure::Unsound(vec![format!("the index of the names of each {table}")])),
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
    places_that(|id, day| view.counts(id, day), sql, values, book)
}

fn places_that(
    is_wanted: impl Fn(FactId, Date) -> bool,
    sql: &str,
    values: impl Params,
    book: &Connection,
) -> rusqlite::Result<Vec<i64>> {
    let mut found = Vec::new();
    let mut words = Words::default();
    let mut statement = book.prepare_cached(sql)?;
    let mut rows = statement.query(values)?;
    while let Some(row) = rows.next()? {
        let mut fields = Fields::of(row, &mut words);
        if is_wanted(fields.id()?, fields.day()?) {
            found.push(fields.whole()?);
        }
    }
    Ok(found)
}
