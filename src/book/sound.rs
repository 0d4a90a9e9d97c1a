//! Whether what was read is what was recorded: each row by its checksums, and all that is
//! about a place by their count and sum, so that one that is lost is missed too.

use std::collections::{BTreeMap, BTreeSet};

use rusqlite::types::Type;
use rusqlite::{Connection, Row, ToSql, params};
use uuid::Uuid;

use super::by_place::ByPlace;
use super::error::{Failure, StorageError};
use super::fields::Cells;
use super::names::Names;
use super::packed::Pack;
use super::reader::Run;
use super::scope::Selection;
use super::seal::{Broken, Sealer, Seals, columns_of};
use super::sealing::Quadrats;
use super::tally::{THE_BOOK, Tallies, Tally, Topic, all_kept, kept};
use crate::records::{FactId, Kind};

/// What was read so far, and what of it cannot be believed.
#[derive(Debug, Default)]
pub(super) struct Soundness {
    found: ByPlace<Tally>,
    broken: Vec<BrokenRow>,
    /// Sentences of what is wrong beside the rows.
    wrong: Vec<String>,
}

#[derive(Debug)]
struct BrokenRow {
    /// What it says it is about, which may be the very thing that is wrong.
    place: Option<i64>,
    what: String,
    how: Broken,
}

impl BrokenRow {
    fn of(table: &'static str, sealer: &Sealer, cells: &Cells, how: Broken) -> Self {
        let place = sealer.place.and_then(|at| cells.get(at).ok()?.as_i64().ok());
        Self { place, what: called(table, sealer, cells), how }
    }
}

impl Soundness {
    /// The checksums of a row that is what was recorded; one that is not is remembered, and named
    /// later.
    pub(super) fn see(
        &mut self,
        table: &'static str,
        sealer: &mut Sealer,
        cells: &Cells,
    ) -> rusqlite::Result<Option<Seals>> {
        match sealer.look(cells)? {
            Ok(seals) => {
                if let Some(place) = sealer.place {
                    self.found.entry(cells.get(place)?.as_i64()?).or_default().add(seals);
                }
                Ok(Some(seals))
            }
            Err(how) => {
                self.broken.push(BrokenRow::of(table, sealer, cells, how));
                Ok(None)
            }
        }
    }

    /// Takes rows of a place for found, by what proves them all at once.
    pub(super) fn believe(&mut self, place: i64, rows: Tally) {
        self.found.entry(place).or_default().join(rows);
    }

    /// Takes in what was found elsewhere of other rows.
    pub(super) fn join(&mut self, other: Self) {
        for (place, tally) in other.found {
            self.found.entry(place).or_default().join(tally);
        }
        self.broken.extend(other.broken);
        self.wrong.extend(other.wrong);
    }

    /// Of how many places that something was found of `elsewhere` all has now been found, where
    /// what was found of the places in packs and in the runs beside them is what was kept of them.
    /// `None` where anything is amiss: [`Self::settle`] knows what.
    pub(super) fn adds_up(
        &self,
        elsewhere: &Self,
        packs: &[Pack],
        beside: &[Run],
        book: &Connection,
    ) -> rusqlite::Result<Option<usize>> {
        let (mut own, mut others) = (0, 0);
        let mut is_kept = |place: i64, kept: Tally| {
            let mut found = Tally::default();
            for (of, met) in [(self, &mut own), (elsewhere, &mut others)] {
                if let Some(tally) = of.found.get(&place) {
                    found.join(*tally);
                    *met += 1;
                }
            }
            found == kept
        };
        let kept_with = |pack: &Pack| pack.of.is_some_and(|of| is_kept(pack.place, of));
        let mut all_kept = packs.iter().all(kept_with);
        let mut tallies = book.prepare_cached(
            "SELECT subject, rows, digest FROM tally \
             WHERE topic = 'place' AND subject BETWEEN ? AND ?",
        )?;
        for run in beside {
            let mut rows = tallies.query(*run)?;
            while let Some(row) = rows.next()? {
                all_kept &= is_kept(row.get(0)?, Tally { rows: row.get(1)?, digest: row.get(2)? });
            }
        }
        let is_all = all_kept && own == self.found.len() && self.is_clean();
        Ok(is_all.then_some(others))
    }

    fn is_clean(&self) -> bool {
        self.broken.is_empty() && self.wrong.is_empty()
    }

    /// Whether nothing is amiss, if all was found of so many of the places.
    pub(super) fn is_whole(&self, places: usize) -> bool {
        self.is_clean() && self.found.len() == places
    }

    /// # Errors
    /// [`Failure::Unsound`] that names every row read so far which is not what was recorded.
    pub(super) fn so_far(&self, book: &Connection) -> Result<(), Failure> {
        let wrong = self.broken_rows(&mut Names::default(), book);
        if wrong.is_empty() { Ok(()) } else { Err(Failure::Unsound(wrong)) }
    }

    fn broken_rows(&self, names: &mut Names, book: &Connection) -> Vec<String> {
        let sentence = |row: &BrokenRow| {
            let of = row.place.map(|place| format!(" of {}", call(place, names, book)));
            format!("{}{} {}", row.what, of.unwrap_or_default(), told(row.how))
        };
        self.broken.iter().map(sentence).collect()
    }

    /// Holds what was read of the places against what was kept of them.
    ///
    /// # Errors
    /// [`Failure::Unsound`] that names everything that is wrong.
    pub(super) fn settle(
        mut self,
        selection: &Selection,
        names: &mut Names,
        book: &Connection,
    ) -> Result<(), Failure> {
        let mut amiss: BTreeMap<i64, String> = BTreeMap::new();
        match selection.places() {
            None => self.hold_against_all(&mut amiss, book)?,
            Some(places) => {
                for place in places.into_iter().collect::<BTreeSet<_>>() {
                    let found = self.found.remove(&place).unwrap_or_default();
                    let kept = kept(&Topic::Place(place), book)?;
                    amiss.extend(difference(found, kept).map(|how| (place, how)));
                }
            }
        }
        self.finish(&amiss, names, book)
    }

    fn hold_against_all(
        &mut self,
        amiss: &mut BTreeMap<i64, String>,
        book: &Connection,
    ) -> rusqlite::Result<()> {
        let mut tallies =
            book.prepare_cached("SELECT subject, rows, digest FROM tally WHERE topic = 'place'")?;
        let mut rows = tallies.query([])?;
        while let Some(row) = rows.next()? {
            let place = row.get(0)?;
            let kept = Tally { rows: row.get(1)?, digest: row.get(2)? };
            let found = self.found.remove(&place).unwrap_or_default();
            amiss.extend(difference(found, Some(kept)).map(|how| (place, how)));
        }
        let untold = self.found.drain();
        amiss.extend(untold.filter_map(|(place, found)| Some((place, difference(found, None)?))));
        Ok(())
    }

    fn finish(
        mut self,
        amiss: &BTreeMap<i64, String>,
        names: &mut Names,
        book: &Connection,
    ) -> Result<(), Failure> {
        let mut wrong = self.broken_rows(names, book);
        wrong.append(&mut self.wrong);
        let named: BTreeSet<i64> = self.broken.iter().filter_map(|row| row.place).collect();
        for (place, how) in amiss.iter().filter(|(place, _)| !named.contains(place)) {
            wrong.push(format!("what was recorded of {} {how}", call(*place, names, book)));
        }
        if wrong.is_empty() { Ok(()) } else { Err(Failure::Unsound(wrong)) }
    }

    /// Reads all of a table's rows under a condition, and gives their tally.
    fn tally(
        &mut self,
        table: &'static str,
        clause: &str,
        values: &[&dyn ToSql],
        book: &Connection,
        mut see: impl FnMut(&Row) -> rusqlite::Result<()>,
    ) -> rusqlite::Result<Tally> {
        let mut tally = Tally::default();
        let columns = columns_of(table, book)?;
        let sql = format!("SELECT {columns} FROM {table} {clause}");
        let mut statement = book.prepare_cached(&sql)?;
        let mut sealer = Sealer::of_list(&columns);
        let mut rows = statement.query(values)?;
        while let Some(row) = rows.next()? {
            let cells = Cells::of(row);
            match sealer.look(&cells)? {
                Ok(seals) => tally.add(seals),
                Err(how) => self.broken.push(BrokenRow::of(table, &sealer, &cells, how)),
            }
            see(row)?;
        }
        Ok(tally)
    }

    fn hold(&mut self, topic: &Topic, found: Tally, book: &Connection) -> rusqlite::Result<()> {
        // A broken row says more than the sum that it makes wrong.
        if let Some(how) = difference(found, kept(topic, book)?)
            && self.broken.is_empty()
        {
            let what = match topic {
                Topic::On(THE_BOOK) => "the sites of the book".to_owned(),
                Topic::On(site) => {
                    format!("the patches of {}", call(*site, &mut Names::default(), book))
                }
                Topic::Crop(crop) => format!("the patches of {crop}"),
                Topic::Place(place) | Topic::Seen(place) => format!(
                    "the surveys and glances of {}",
                    call(*place, &mut Names::default(), book)
                ),
            };
            self.wrong.push(format!("what was recorded of {what} {how}"));
        }
        Ok(())
    }

    /// Holds every count of the book against what was found.
    fn hold_all(&mut self, found: Tallies, book: &Connection) -> rusqlite::Result<()> {
        let mut names = Names::default();
        let Tallies(mut found) = found;
        let mut wrong = BTreeMap::new();
        for (topic, kept) in all_kept(book)? {
            let how = difference(found.remove(&topic).unwrap_or_default(), Some(kept));
            wrong.extend(how.map(|how| (topic, how)));
        }
        wrong.extend(
            found.into_iter().filter_map(|(topic, found)| Some((topic, difference(found, None)?))),
        );
        for (topic, how) in wrong {
            let what = match &topic {
                Topic::Place(place) => call(*place, &mut names, book),
                Topic::Seen(place) => {
                    format!("the surveys and glances of {}", call(*place, &mut names, book))
                }
                Topic::On(THE_BOOK) => "the sites of the book".to_owned(),
                Topic::On(site) => format!("the patches of {}", call(*site, &mut names, book)),
                Topic::Crop(crop) => format!("the patches of {crop}"),
            };
            self.wrong.push(format!("what was recorded of {what} {how}"));
        }
        Ok(())
    }

    /// Whether all patches that were ever on the site are there.
    pub(super) fn patches_of(&mut self, site: i64, book: &Connection) -> rusqlite::Result<()> {
        let found = self.tally("patch", "WHERE site = ?", params![site], book, |_| Ok(()))?;
        self.hold(&Topic::On(site), found, book)
    }

    /// Whether all patches that ever bore the crop are there; gives their numbers.
    pub(super) fn patches_of_crop(
        &mut self,
        crop: &str,
        book: &Connection,
    ) -> rusqlite::Result<BTreeSet<i64>> {
        let mut kin = BTreeSet::new();
        let found = self.tally("patch", "WHERE crop = ?", params![crop], book, |row| {
            kin.insert(row.get("place")?);
            Ok(())
        })?;
        self.hold(&Topic::Crop(crop.to_owned()), found, book)?;
        Ok(kin)
    }

    /// Whether everything that tells on which patches an eye for the crop can be checked is
    /// there: its patches, and their surveys and glances.
    pub(super) fn seen_of(&mut self, crop: &str, book: &Connection) -> rusqlite::Result<()> {
        for place in self.patches_of_crop(crop, book)? {
            let mut found = Tally::default();
            for table in ["survey", "glance"] {
                let more =
                    self.tally(table, "WHERE place = ?", params![place], book, |_| Ok(()))?;
                found.join(more);
            }
            self.hold(&Topic::Seen(place), found, book)?;
        }
        Ok(())
    }
}

/// Whether all sites and patches of the book are there and as they were recorded; asked where
/// a name is not found, since a damaged name or index finds nothing either.
///
/// # Errors
/// [`Failure::Unsound`] that names what is not.
pub(super) fn places_are_sound(book: &Connection) -> Result<(), Failure> {
    let mut sound = Soundness::default();
    let mut on: BTreeMap<i64, Tally> = BTreeMap::new();
    let sites = sound.tally("site", "NOT INDEXED", &[], book, |_| Ok(()))?;
    sound.hold(&Topic::On(THE_BOOK), sites, book)?;
    let columns = columns_of("patch", book)?;
    let sql = format!("SELECT {columns} FROM patch NOT INDEXED");
    let mut statement = book.prepare_cached(&sql)?;
    let mut sealer = Sealer::of_list(&columns);
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        if let Some(seals) = sound.see("patch", &mut sealer, &Cells::of(row))? {
            on.entry(row.get("site")?).or_default().add(seals);
        }
    }
    let mut kept = book.prepare_cached(
        "SELECT subject, rows, digest FROM tally WHERE topic = 'on' AND subject <> 0",
    )?;
    let mut rows = kept.query([])?;
    while let Some(row) = rows.next()? {
        let found = on.remove(&row.get(0)?).unwrap_or_default();
        let kept = Tally { rows: row.get(1)?, digest: row.get(2)? };
        if let Some(how) = difference(found, Some(kept)) {
            sound.wrong.push(format!("what was recorded of the patches of a site {how}"));
        }
    }
    if !on.is_empty() {
        sound.wrong.push("the book has patches that it kept no count of".to_owned());
    }
    sound.finish(&BTreeMap::new(), &mut Names::default(), book)
}

/// How what was found differs from what was kept; nothing where it does not.
fn difference(found: Tally, kept: Option<Tally>) -> Option<String> {
    match kept {
        Some(kept) if kept == found => None,
        None if found == Tally::default() => None,
        None => Some("is there, but the book kept no count of it".to_owned()),
        Some(kept) if kept.rows != found.rows => Some(format!(
            "is not whole: {} of {} rows can be read and believed",
            found.rows, kept.rows
        )),
        Some(_) => Some("does not add up to what was written".to_owned()),
    }
}

fn told(how: Broken) -> &'static str {
    match how {
        Broken::Limit => "does not match its checksum",
        Broken::Words => "does not match the checksum of its words",
    }
}

/// `cut 9f3a01c7`, or `a cut` where not even its id can be read.
fn called(table: &str, sealer: &Sealer, cells: &Cells) -> String {
    let id = sealer.id.and_then(|at| cells.get(at).ok()?.as_blob().ok());
    match id.and_then(|id| Uuid::from_slice(id).ok()) {
        Some(id) => format!("{table} `{}`", FactId(id).short()),
        None => format!("a {table}"),
    }
}

/// The place by its newest name, or by its number where its name cannot be read either.
pub(super) fn call(place: i64, names: &mut Names, book: &Connection) -> String {
    // A name is a help here; where it cannot be read, the number has to do.
    let _ = names.learn(place, None, book);
    names.called(place).unwrap_or_else(|| format!("place {place}"))
}

/// # Errors
/// A sentence, where the row is not what was recorded.
pub(super) fn look(table: &str, sealer: &mut Sealer, row: &Row) -> rusqlite::Result<()> {
    let cells = Cells::of(row);
    match sealer.look(&cells)? {
        Ok(_) => Ok(()),
        Err(how) => Err(misread(format!("{} {}", called(table, sealer, &cells), told(how)))),
    }
}

pub(super) fn misread(what: String) -> rusqlite::Error {
    rusqlite::Error::FromSqlConversionFailure(0, Type::Null, what.into())
}

/// Everything in the book that is not what was recorded, a sentence each.
pub(super) fn all_that_is_not(book: &Connection) -> Vec<String> {
    let mut sound = Soundness::default();
    let mut found = Tallies::default();
    let tables = Kind::ALL.iter().map(|kind| kind.name()).chain(["part", "correction"]);
    for table in tables {
        if let Err(error) = look_at_all(table, &mut sound, &mut found, book) {
            let error = StorageError::in_few_words(&error);
            sound.wrong.push(format!("the table of each {table} cannot be read: {error}"));
        }
    }
    if let Err(error) = sound.hold_all(found, book) {
        let error = StorageError::in_few_words(&error);
        sound.wrong.push(format!("the counts of the book cannot be read: {error}"));
    }
    match sound.finish(&BTreeMap::new(), &mut Names::default(), book) {
        Err(Failure::Unsound(wrong)) => wrong,
        _ => Vec::new(),
    }
}

fn look_at_all(
    table: &'static str,
    sound: &mut Soundness,
    found: &mut Tallies,
    book: &Connection,
) -> rusqlite::Result<()> {
    let columns = columns_of(table, book)?;
    let mut statement = book.prepare(&format!("SELECT {columns} FROM {table} NOT INDEXED"))?;
    let mut sealer = Sealer::of_list(&columns);
    let mut quadrats = Quadrats::of(book)?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        if let Some(seals) = sound.see(table, &mut sealer, &Cells::of(row))? {
            found.count(table, row, seals)?;
        }
        if table == "part" {
            sound.wrong.extend(quadrats.wrong(row)?);
        }
    }
    Ok(())
}
