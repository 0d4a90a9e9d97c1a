//! Writing facts into their tables, sealed and counted.

use std::collections::hash_map::Entry;

use foldhash::{HashMap, HashMapExt};
use rayon::prelude::*;
use rusqlite::types::Value;
use rusqlite::{Connection, OptionalExtension, Statement, params, params_from_iter};

use super::append::NewFact;
use super::checks;
use super::envelope::ENVELOPE;
use super::error::{Failure, Refusal};
use super::fields::bytes;
use super::places::Places;
use super::row::{NewRow, insertion};
use super::seal::{SEALS, Sealer};
use super::tables::{self, PartWriter, Seat, SummedParts, Summing, Writing};
use super::tally::Tallies;
use crate::records::{Correction, FactId, Kind, Land, Listed, Record, Replacement, of_any_kind};

/// Surveys that are summed up at once.
const AT_ONCE: usize = 16_384;

/// Writes facts. Whoever is done ends with [`Writer::finish`]: what is not sealed and counted is
/// taken for damaged.
pub(super) struct Writer<'book> {
    book: &'book Connection,
    pub(super) places: Places<'book>,
    /// The place of the fact at hand, where its number is known and not only its name.
    at: Option<i64>,
    /// By the fact that takes its place, the one that was wrong.
    replaced_by: HashMap<FactId, FactId>,
    sealing: HashMap<Kind, Sealing<'book>>,
    tallies: Tallies,
    /// What the survey at hand comes to, where that is known already.
    summed: Option<SummedParts>,
    /// Made with the first survey.
    parts: Option<PartWriter<'book>>,
}

/// How rows of a kind are sealed and inserted.
struct Sealing<'book> {
    columns: String,
    sealer: Sealer,
    insertion: Statement<'book>,
}

impl<'book> Sealing<'book> {
    fn of<T: Listed>(book: &'book Connection) -> rusqlite::Result<Self> {
        let columns = format!("{ENVELOPE}, key, {}", tables::columns::<T>());
        let sealer = Sealer::of_list(&columns);
        let insertion = book.prepare(&insertion(T::NAME, &format!("{columns}, {SEALS}")))?;
        Ok(Self { columns, sealer, insertion })
    }
}

impl<'book> Writer<'book> {
    pub(super) fn new(book: &'book Connection, corrections: &[Correction]) -> Self {
        let replaced_by = corrections
            .iter()
            .filter_map(|correction| match correction.replacement {
                Replacement::By(id) => Some((id, correction.replaced)),
                Replacement::Withdrawn => None,
            })
            .collect();
        Self {
            book,
            places: Places::of(book),
            at: None,
            replaced_by,
            sealing: HashMap::new(),
            tallies: Tallies::default(),
            summed: None,
            parts: None,
        }
    }

    /// Writes a fact about this place, whatever its name.
    pub(super) fn write_at(&mut self, place: i64, new: &NewFact) -> Result<(), Failure> {
        self.at = Some(place);
        let written = self.write(new);
        self.at = None;
        written
    }

    pub(super) fn write(&mut self, new: &NewFact) -> Result<(), Failure> {
        match of_any_kind!(&new.fact.record, record => self.write_as(record, new))? {
            true => self.write_quadrats(new),
            false => Ok(()),
        }
    }

    /// Writes facts of one kind in the order in which its table has them: each row then comes
    /// behind the last, where rows at random places would be many times the work in a large book.
    pub(super) fn write_all(&mut self, facts: &[&NewFact]) -> Result<(), Failure> {
        let is_deed = facts.first().is_some_and(|new| new.fact.record.kind().is_deed());
        // Where a place is not known, whoever writes says so.
        let mut facts: Vec<(Option<i64>, &NewFact)> = match is_deed.then(|| self.places_of(facts)) {
            Some(Ok(placed)) => placed,
            _ => facts.iter().map(|new| (None, *new)).collect(),
        };
        if facts.iter().all(|(place, _)| place.is_some()) {
            facts.sort_unstable_by_key(|(place, new)| (*place, new.fact.id));
        }
        let mut with_rows: Vec<&NewFact> = Vec::new();
        for some in facts.chunks(AT_ONCE) {
            for ((place, new), summed) in some.iter().zip(summed_up(some)) {
                (self.at, self.summed) = (*place, summed.transpose()?);
                let written = of_any_kind!(&new.fact.record, record => self.write_as(record, new));
                self.at = None;
                if written? {
                    with_rows.push(new);
                }
            }
        }
        // These lie by their surveys, wherever those are.
        with_rows.sort_unstable_by_key(|new| new.fact.id);
        with_rows.into_iter().try_for_each(|new| self.write_quadrats(new))
    }

    fn places_of<'f>(
        &mut self,
        facts: &[&'f NewFact],
    ) -> Result<Vec<(Option<i64>, &'f NewFact)>, Failure> {
        let place = |new: &&'f NewFact| {
            let id = new.fact.id;
            let place = of_any_kind!(&new.fact.record, record => self.place_of(record, id))?;
            Ok((Some(place), *new))
        };
        facts.iter().map(place).collect()
    }

    /// Gives whether it has quadrats that are still to be written, each in a row.
    fn write_as<T: Listed>(&mut self, record: &T, new: &NewFact) -> Result<bool, Failure> {
        let place = self.place_of(record, new.fact.id)?;
        let mut row = NewRow::of(T::KIND, &new.key);
        row.bytes(new.fact.id.0.as_bytes());
        row.day("recorded_on", new.fact.recorded_on)?;
        row.whole(place);
        row.day("happened_on", new.fact.happened_on)?;
        row.text(&new.fact.by);
        row.maybe_text(new.fact.file.as_ref());
        row.text(&new.key);
        record.give(&mut Writing { row: &mut row, places: &mut self.places })?;
        self.insert::<T>(place, &mut row)?.map_err(|error| recorded_twice(new.fact.id, error))?;
        let Some(method) = record.method() else { return Ok(false) };
        let seat = Seat { place, id: new.fact.id };
        let summed = match self.summed.take() {
            Some(summed) => summed,
            None => Summing::new().sum_up(method, seat, &new.key)?,
        };
        let parts = match &mut self.parts {
            Some(parts) => parts,
            none => none.insert(PartWriter::of(self.book)?),
        };
        parts.write(&summed, seat, &new.key, &mut self.tallies)
    }

    /// Those with a row each, of a survey whose own row and parts are written.
    fn write_quadrats(&mut self, new: &NewFact) -> Result<(), Failure> {
        match (&new.fact.record, &mut self.parts) {
            (Record::Survey(survey), Some(parts)) => {
                parts.write_quadrats(&survey.method, new.fact.id, &new.key)
            }
            _ => Ok(()),
        }
    }

    /// Adds the row's checksums, counts it, and says what came of inserting it.
    fn insert<T: Listed>(
        &mut self,
        place: i64,
        row: &mut NewRow,
    ) -> Result<rusqlite::Result<usize>, Failure> {
        let Sealing { columns, sealer, insertion } = match self.sealing.entry(T::KIND) {
            Entry::Occupied(known) => known.into_mut(),
            Entry::Vacant(unmade) => unmade.insert(Sealing::of::<T>(self.book)?),
        };
        let seals = sealer.seals_of_values(row.values())?;
        let column = |name: &str| {
            let at = columns.split(',').position(|column| column.trim() == name);
            Ok(at.map_or(Value::Null, |at| row.value(at)))
        };
        self.tallies.count_new(T::NAME, place, seals, column)?;
        row.whole(seals.limit);
        row.whole(seals.words);
        Ok(insertion.execute(params_from_iter(row.values())))
    }

    /// Keeps the count: whoever wrote facts ends with this. Gives the places that they are about, in
    /// order.
    pub(super) fn finish(self) -> Result<Vec<i64>, Failure> {
        Ok(self.tallies.write(self.book)?)
    }

    fn place_of<T: Listed>(&mut self, record: &T, id: FactId) -> Result<i64, Failure> {
        if let Some(place) = self.at {
            return Ok(place);
        }
        match (T::LAND, record.patch()) {
            (Land::NewSite | Land::NewPatch, _) => match self.replaced_by.get(&id) {
                Some(&replaced) => self.place_of_fact::<T>(replaced),
                None => match told_place(id, T::KIND, self.book)? {
                    Some(place) => Ok(place),
                    None => Ok(self.places.found(T::KIND)?),
                },
            },
            (_, Some(patch)) => self.places.patch(record.site(), patch),
            (_, None) => self.places.site(record.site()),
        }
    }

    fn place_of_fact<T: Listed>(&self, id: FactId) -> Result<i64, Failure> {
        let sql = format!("SELECT place FROM {} WHERE id = ?", T::NAME);
        let found =
            self.book.prepare_cached(&sql)?.query_row(params![bytes(&id)], |row| row.get(0));
        match found {
            Ok(place) => Ok(place),
            Err(rusqlite::Error::QueryReturnedNoRows) => Err(checks::unknown_fact(id).into()),
            Err(error) => Err(error.into()),
        }
    }
}

/// What surveys come to, by all cores, for one alone writes; nothing of what is none, or has no
/// place yet.
fn summed_up(facts: &[(Option<i64>, &NewFact)]) -> Vec<Option<Result<SummedParts, Failure>>> {
    let sum_up = |summing: &mut Summing, (place, new): &(Option<i64>, &NewFact)| {
        let (Some(place), Record::Survey(survey)) = (*place, &new.fact.record) else { return None };
        Some(summing.sum_up(&survey.method, Seat { place, id: new.fact.id }, &new.key))
    };
    match facts {
        [only] => vec![sum_up(&mut Summing::new(), only)],
        several => several.par_iter().map_init(Summing::new, sum_up).collect(),
    }
}

/// The place of the nearest fact that this one takes the place of, by corrections that were told
/// before it came: `None` where the book has none of them.
fn told_place(id: FactId, kind: Kind, book: &Connection) -> rusqlite::Result<Option<i64>> {
    let is_told = book
        .prepare_cached("SELECT 1 FROM correction WHERE replacement = ?")?
        .exists(params![bytes(&id)])?;
    if !is_told {
        return Ok(None);
    }
    let sql = format!(
        "WITH RECURSIVE earlier (id, step) AS (             SELECT ?1, 0 UNION \
             SELECT replaced, step + 1 FROM correction JOIN earlier ON replacement = earlier.id \
             WHERE step < 1000) \
         SELECT place FROM earlier JOIN {kind} USING (id) ORDER BY step LIMIT 1",
        kind = kind.name()
    );
    book.prepare_cached(&sql)?.query_row(params![bytes(&id)], |row| row.get(0)).optional()
}

/// The only columns that must differ from row to row are ids.
pub(super) fn recorded_twice(id: FactId, error: rusqlite::Error) -> Failure {
    match error.sqlite_extended_error_code() {
        Some(code) if code == rusqlite::ffi::SQLITE_CONSTRAINT_UNIQUE => {
            Refusal::AlreadyRecorded(id).into()
        }
        _ => error.into(),
    }
}
