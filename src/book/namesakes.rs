//! Places of one name: two leaders may each have set down a `bank` before their books met.
//!
//! Neither is lost. The one whose first fact has the smaller id keeps the name; the others are
//! shown, and asked for, with the short id of their first fact behind it: `bank 9f3a01c7`. So
//! it follows from the facts alone, in every book that has them.

use std::collections::{BTreeSet, HashMap};
use std::hash::{Hash, Hasher};
use std::sync::Arc;

use jiff::civil::Date;
use rusqlite::{Connection, Params, params};

use super::branches::Branches;
use super::fields::Fields;
use super::scope::live_places;
use super::view::View;
use super::words::Words;
use crate::records::{FactId, Ledger, PatchName, SiteName, WalkName, folded, without_mark};

/// The site called so in the view.
pub(super) fn site_called(
    name: &str,
    view: &View,
    book: &Connection,
) -> rusqlite::Result<Option<i64>> {
    let found = called(name, "site", book, |own| sites_of_name(own, view, book))?;
    match found {
        None => keeper(alike(name, "site", "?1 = 0", 0, view, book)?, "site", book),
        found => Ok(found),
    }
}

/// The patch of the site called so in the view.
pub(super) fn patch_called(
    name: &str,
    site: i64,
    view: &View,
    book: &Connection,
) -> rusqlite::Result<Option<i64>> {
    let found = called(name, "patch", book, |own| {
        let sql = "SELECT id, recorded_on, place FROM patch WHERE site = ? AND name = ?";
        bearers(sql, params![site, own], view, book)
    })?;
    match found {
        None => keeper(alike(name, "patch", "site = ?1", site, view, book)?, "patch", book),
        found => Ok(found),
    }
}

/// The places under a condition whose names fold alike but are not found by SQLite, which knows
/// the case of ASCII letters only.
fn alike(
    name: &str,
    table: &str,
    among: &str,
    value: i64,
    view: &View,
    book: &Connection,
) -> rusqlite::Result<Vec<i64>> {
    let wanted = folded(name);
    let mut places = Vec::new();
    let mut words = Words::default();
    let sql = format!("SELECT id, recorded_on, place, name FROM {table} WHERE {among}");
    let mut statement = book.prepare_cached(&sql)?;
    let mut rows = statement.query([value])?;
    while let Some(row) = rows.next()? {
        let mut fields = Fields::of(row, &mut words);
        let counts = view.counts(fields.id()?, fields.day()?);
        let (place, other) = (fields.whole()?, fields.text()?);
        // What SQLite should have found is another matter: the index may be damaged.
        if counts && !other.eq_ignore_ascii_case(name) && folded(other) == wanted {
            places.push(place);
        }
    }
    places.sort_unstable();
    places.dedup();
    Ok(places)
}

fn called(
    name: &str,
    table: &'static str,
    book: &Connection,
    bearers: impl Fn(&str) -> rusqlite::Result<Vec<i64>>,
) -> rusqlite::Result<Option<i64>> {
    if let Some(found) = keeper(bearers(name)?, table, book)? {
        return Ok(Some(found));
    }
    let Some((own, mark)) = without_mark(name) else { return Ok(None) };
    for place in bearers(own)? {
        if first_fact(table, place, book)?.short().eq_ignore_ascii_case(mark) {
            return Ok(Some(place));
        }
    }
    Ok(None)
}

/// The sites that bear the name of one of these, with them, and their patches under a condition on
/// a value: two leaders may have drawn one piece of ground, each under that name.
pub(super) fn twins(
    sites: &[i64],
    among: &str,
    value: Option<i64>,
    view: &View,
    book: &Connection,
) -> rusqlite::Result<(Vec<i64>, Vec<i64>)> {
    let mut twins = BTreeSet::new();
    for site in sites {
        let sql = "SELECT id, recorded_on, place FROM site \
                   WHERE name IN (SELECT name FROM site WHERE place = ?)";
        twins.extend(live_places(sql, [site], view, book)?);
    }
    let sql = format!("SELECT id, recorded_on, place FROM patch WHERE site = ?1 AND {among}");
    let mut patches = Vec::new();
    for twin in &twins {
        patches.extend(live_places(&sql, params![twin, value], view, book)?);
    }
    Ok((twins.into_iter().collect(), patches))
}

fn sites_of_name(name: &str, view: &View, book: &Connection) -> rusqlite::Result<Vec<i64>> {
    let sql = "SELECT id, recorded_on, place FROM site WHERE name = ?";
    bearers(sql, [name], view, book)
}

/// The different places among live rows.
fn bearers(
    sql: &str,
    values: impl Params,
    view: &View,
    book: &Connection,
) -> rusqlite::Result<Vec<i64>> {
    let mut places = live_places(sql, values, view, book)?;
    places.sort_unstable();
    places.dedup();
    Ok(places)
}

fn keeper(places: Vec<i64>, table: &str, book: &Connection) -> rusqlite::Result<Option<i64>> {
    if places.len() < 2 {
        return Ok(places.first().copied());
    }
    let mut first: Option<(FactId, i64)> = None;
    for place in places {
        let this = (first_fact(table, place, book)?, place);
        first = Some(first.map_or(this, |best| best.min(this)));
    }
    Ok(first.map(|(_, place)| place))
}

/// The id of the fact that first set the place down: the place's own, in any book.
pub(super) fn first_fact(table: &str, place: i64, book: &Connection) -> rusqlite::Result<FactId> {
    let mut words = Words::default();
    book.prepare_cached(&format!("SELECT min(id) FROM {table} WHERE place = ?"))?
        .query_row([place], |row| Fields::of(row, &mut words).id())
}

/// The site's name as it is shown in the view, where its own is `name`.
pub(super) fn shown_site(
    place: i64,
    name: SiteName,
    view: Option<&View>,
    book: &Connection,
) -> rusqlite::Result<SiteName> {
    let Some(view) = view else { return Ok(name) };
    let others = sites_of_name(name.as_str(), view, book)?;
    Ok(match mark(place, others, "site", book)? {
        Some(id) => name.told_apart_by(id),
        None => name,
    })
}

/// The same for a patch, whose site's name is shown already.
pub(super) fn shown_patch(
    place: i64,
    name: PatchName,
    view: Option<&View>,
    book: &Connection,
) -> rusqlite::Result<PatchName> {
    let Some(view) = view else { return Ok(name) };
    let sql = "SELECT id, recorded_on, place FROM patch \
               WHERE name = ?1 AND site IN (SELECT site FROM patch WHERE place = ?2)";
    let others = bearers(sql, params![name.patch(), place], view, book)?;
    Ok(match mark(place, others, "patch", book)? {
        Some(id) => name.told_apart_by(id),
        None => name,
    })
}

/// What tells the place from others of its name; `None` for the one that keeps it, and for one
/// that does not count.
fn mark(
    place: i64,
    bearers: Vec<i64>,
    table: &str,
    book: &Connection,
) -> rusqlite::Result<Option<FactId>> {
    if bearers.len() < 2
        || !bearers.contains(&place)
        || keeper(bearers, table, book)? == Some(place)
    {
        return Ok(None);
    }
    first_fact(table, place, book).map(Some)
}

/// Of all places of a book, those that bear another's name, with what tells them apart.
/// `names` must be the names of all that count.
pub(super) fn marks<'n>(
    names: impl ExactSizeIterator<Item = (i64, AnyCase<'n>)>,
    table: &str,
    book: &Connection,
) -> rusqlite::Result<HashMap<i64, FactId>> {
    marks_of(of_one_name(names), table, book)
}

/// Places that bear one name together.
fn of_one_name<'n>(names: impl ExactSizeIterator<Item = (i64, AnyCase<'n>)>) -> Vec<Vec<i64>> {
    let mut keepers: HashMap<AnyCase, i64> = HashMap::with_capacity(names.len());
    let mut several: HashMap<AnyCase, Vec<i64>> = HashMap::new();
    for (place, name) in names {
        match keepers.get(&name) {
            None => {
                keepers.insert(name, place);
            }
            Some(&other) if other == place => {}
            Some(&other) => several.entry(name).or_insert_with(|| vec![other]).push(place),
        }
    }
    several.into_values().collect()
}

/// What tells places apart that bear one name together.
fn marks_of(
    of_one_name: Vec<Vec<i64>>,
    table: &str,
    book: &Connection,
) -> rusqlite::Result<HashMap<i64, FactId>> {
    let mut marks = HashMap::new();
    for places in of_one_name {
        for place in &places {
            if let Some(id) = mark(*place, places.clone(), table, book)? {
                marks.insert(*place, id);
            }
        }
    }
    Ok(marks)
}

/// A name that is the same in any case of ASCII letters, as SQLite compares it; a patch's with that
/// of its site.
pub(super) struct AnyCase<'n>([&'n str; 2]);

impl<'n> From<&'n SiteName> for AnyCase<'n> {
    fn from(name: &'n SiteName) -> Self {
        Self([name.as_str(), ""])
    }
}

impl<'n> From<&'n PatchName> for AnyCase<'n> {
    fn from(name: &'n PatchName) -> Self {
        Self([name.site().as_str(), name.patch()])
    }
}

impl PartialEq for AnyCase<'_> {
    fn eq(&self, other: &Self) -> bool {
        self.0.iter().zip(other.0).all(|(one, other)| one.eq_ignore_ascii_case(other))
    }
}

impl Eq for AnyCase<'_> {}

impl Hash for AnyCase<'_> {
    fn hash<H: Hasher>(&self, hasher: &mut H) {
        for name in self.0 {
            name.bytes().for_each(|byte| hasher.write_u8(byte.to_ascii_lowercase()));
            hasher.write_u8(b'/');
        }
    }
}

/// A walk among others of its name.
#[derive(Debug)]
struct Bearer {
    first: FactId,
    newest: FactId,
    day: Date,
    by: Arc<str>,
}

/// Walks of one name in a view of the book.
#[derive(Debug)]
pub(super) struct WalksOfOneName(Vec<(WalkName, Vec<Bearer>)>);

impl WalksOfOneName {
    pub(super) fn read(view: &View, book: &Connection) -> rusqlite::Result<Self> {
        walks_of_one_name(view, book).map(Self)
    }

    /// Tells walks of one name apart, and whose each hold and cut is: that of the walk of its
    /// day, of several that of the walk whose leader recorded it, else that of the walk that
    /// keeps the name.
    pub(super) fn tell_apart(&self, ledger: &mut Ledger) {
        for (name, bearers) in &self.0 {
            tell_apart(name, bearers, ledger);
        }
    }
}

fn tell_apart(name: &WalkName, bearers: &[Bearer], ledger: &mut Ledger) {
    let shown = |bearer: &Bearer| match bearer.first == bearers[0].first {
        true => name.clone(),
        false => name.told_apart_by(bearer.first),
    };
    let whose = |walk: &WalkName, day: Date, by: &str| {
        let is_this = walk.as_str().eq_ignore_ascii_case(name.as_str());
        is_this.then(|| shown(bearer_of(bearers, day, by)))
    };
    for site in &mut ledger.sites {
        for walk in &mut site.walks {
            if let Some(bearer) = bearers.iter().find(|bearer| bearer.newest == walk.id) {
                walk.record.name = shown(bearer);
            }
        }
        for patch in &mut site.patches {
            for hold in &mut patch.holds {
                if let Some(walk) = whose(&hold.record.walk, hold.record.day, &hold.by) {
                    hold.record.walk = walk;
                }
            }
            for cut in &mut patch.cuts {
                let walk = cut.record.walk.as_ref();
                if let Some(walk) = walk.and_then(|walk| whose(walk, cut.happened_on, &cut.by)) {
                    cut.record.walk = Some(walk);
                }
            }
        }
    }
}

fn bearer_of<'b>(bearers: &'b [Bearer], day: Date, by: &str) -> &'b Bearer {
    let of_day = || bearers.iter().filter(move |bearer| bearer.day == day);
    let led = of_day().find(|bearer| &*bearer.by == by);
    led.or_else(|| of_day().next()).unwrap_or(&bearers[0])
}

/// Names that several walks bear in the view, each with its walks, the keeper first.
fn walks_of_one_name(
    view: &View,
    book: &Connection,
) -> rusqlite::Result<Vec<(WalkName, Vec<Bearer>)>> {
    let mut found = Vec::new();
    let mut words = Words::default();
    let names: Vec<String> = book
        .prepare_cached("SELECT name FROM walk GROUP BY name HAVING count(*) > 1 ORDER BY name")?
        .query_map([], |row| row.get(0))?
        .collect::<rusqlite::Result<_>>()?;
    for name in names {
        let mut bearers = Vec::new();
        let mut statement = book.prepare_cached(
            "SELECT id, recorded_on, day, by_whom, name FROM walk WHERE name = ?",
        )?;
        let mut rows = statement.query([&name])?;
        let mut own_name = None;
        while let Some(row) = rows.next()? {
            let mut fields = Fields::of(row, &mut words);
            let newest = fields.id()?;
            if !view.counts(newest, fields.day()?) {
                continue;
            }
            let first = Branches::around(newest, book)?.ends_around(newest).first;
            let first = first.unwrap_or(newest);
            let bearer = Bearer { first, newest, day: fields.day()?, by: fields.word()? };
            let name = fields.text_as("name of a walk", |text| WalkName::new(text).ok())?;
            // Spelt as the keeper spells it.
            if own_name.as_ref().is_none_or(|(keeper, _)| first < *keeper) {
                own_name = Some((first, name));
            }
            bearers.push(bearer);
        }
        bearers.sort_by_key(|bearer| (bearer.first, bearer.newest));
        if let Some((_, name)) = own_name.filter(|_| bearers.len() > 1) {
            found.push((name, bearers));
        }
    }
    Ok(found)
}
