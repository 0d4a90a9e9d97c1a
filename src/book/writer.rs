//! Writing facts into their tables, sealed and counted.

use std::collections::hash_map::Entry;

use foldhash::{HashMap, HashMapExt};
use rusqlite::types::Value;
use rusqlite::{Connection, OptionalExtension, Statement, params, params_from_iter};

use super::append::NewFact;
use super::checks;
use super::error::{Failure, Refusal};
use super::fields::bytes;
use super::packed::section;
use super::places::Places;
use super::ready::{Belongs, Deed, Ready, ReadyRows, Readying, each_ready, sealed_columns};
use super::row::insertion;
use super::seal::SEALS;
use super::tables::{PartWriter, Seat};
use super::tally::Tallies;
use super::to_pack::ToPack;
use crate::records::{
    Correction, FactId, Kind, Land, Listed, Record, Replacement, for_its_type, of_any_kind,
};

/// Writes facts. Whoever is done ends with [`Writer::finish`]: what is not counted is taken for
/// damaged.
pub(super) struct Writer<'book> {
    book: &'book Connection,
    pub(super) places: Places<'book>,
    /// By the fact that takes its place, the one that was wrong.
    replaced_by: HashMap<FactId, FactId>,
    readying: Readying,
    inserting: HashMap<Kind, Inserting<'book>>,
    tallies: Tallies,
    to_pack: &'book mut ToPack,
    /// Made with the first survey.
    parts: Option<PartWriter<'book>>,
}

/// How rows of a kind are inserted.
struct Inserting<'book> {
    columns: String,
    insertion: Statement<'book>,
}

impl<'book> Inserting<'book> {
    fn of<T: Listed>(book: &'book Connection) -> rusqlite::Result<Self> {
        let columns = sealed_columns::<T>();
        let insertion = book.prepare(&insertion(T::NAME, &format!("{columns}, {SEALS}")))?;
        Ok(Self { columns, insertion })
    }
}

impl<'book> Writer<'book> {
    pub(super) fn new(
        book: &'book Connection,
        corrections: &[Correction],
        to_pack: &'book mut ToPack,
    ) -> Self {
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
            replaced_by,
            readying: Readying::default(),
            inserting: HashMap::new(),
            tallies: Tallies::default(),
            to_pack,
            parts: None,
        }
    }

    /// Writes a fact about this place, whatever its name.
    pub(super) fn write_at(&mut self, place: i64, new: &NewFact) -> Result<(), Failure> {
        self.write_one(new, Some(place))
    }

    pub(super) fn write(&mut self, new: &NewFact) -> Result<(), Failure> {
        self.write_one(new, None)
    }

    fn write_one(&mut self, new: &NewFact, place: Option<i64>) -> Result<(), Failure> {
        let place = match place {
            Some(place) => place,
            None => self.place_of_any(new)?,
        };
        let on_site = match &new.fact.record {
            Record::Patch(patch) => Some(self.places.site(patch.name.site())?),
            _ => None,
        };
        let ready = self.readying.ready(new, Belongs { place, on_site })?;
        if section(new.fact.record.kind().name()).is_some() {
            self.to_pack.is_to_be_read(place);
        }
        match self.put(&ready)? {
            true => self.write_quadrats(new),
            false => Ok(()),
        }
    }

    /// Writes facts of one kind. Deeds come in the order in which their table has them: each row is
    /// then behind the last, where rows at random places would be many times the work in a large
    /// book.
    pub(super) fn write_all(&mut self, facts: &[&NewFact]) -> Result<(), Failure> {
        let are_deeds = facts.first().is_some_and(|new| new.fact.record.kind().is_deed());
        // Where a place is not known, whoever writes says so.
        let Some(Ok(mut deeds)) = are_deeds.then(|| self.deeds(facts)) else {
            return facts.iter().try_for_each(|new| self.write(new));
        };
        deeds.sort_unstable_by_key(|deed| (deed.place, deed.new.fact.id));
        let mut with_rows: Vec<&NewFact> = Vec::new();
        each_ready(&deeds, &mut |ReadyRows { rows, bundles }| {
            for ready in rows {
                let ready = ready?;
                if self.put(&ready)? {
                    with_rows.push(ready.new);
                }
            }
            for (place, section, bundle) in bundles {
                self.to_pack.take_in(place, section, bundle);
            }
            Ok(())
        })?;
        // These lie by their surveys, wherever those are.
        with_rows.sort_unstable_by_key(|new| new.fact.id);
        with_rows.into_iter().try_for_each(|new| self.write_quadrats(new))
    }

    fn deeds<'f>(&mut self, facts: &[&'f NewFact]) -> Result<Vec<Deed<'f>>, Failure> {
        let deed = |new: &&'f NewFact| {
            let place = self.place_of_any(new)?;
            Ok(Deed { place, new, is_packed: self.to_pack.has(place) })
        };
        facts.iter().map(deed).collect()
    }

    fn place_of_any(&mut self, new: &NewFact) -> Result<i64, Failure> {
        of_any_kind!(&new.fact.record, record => self.place_of(record, new.fact.id))
    }

    /// Inserts and counts a row, with the parts of a survey. Gives whether it has quadrats that are
    /// still to be written, each in a row.
    fn put(&mut self, ready: &Ready) -> Result<bool, Failure> {
        let Ready { new, place, row, seals, parts } = ready;
        let kind = new.fact.record.kind();
        let Inserting { columns, insertion } = match self.inserting.entry(kind) {
            Entry::Occupied(known) => known.into_mut(),
            Entry::Vacant(unmade) => {
                unmade.insert(for_its_type!(kind, T => Inserting::of::<T>(self.book))?)
            }
        };
        let column = |name: &str| {
            let at = columns.split(',').position(|column| column.trim() == name);
            Ok(at.map_or(Value::Null, |at| row.value(at)))
        };
        self.tallies.count_new(kind.name(), *place, *seals, column)?;
        insertion
            .execute(params_from_iter(row.values()))
            .map_err(|error| recorded_twice(new.fact.id, error))?;
        let Some(parts) = parts else { return Ok(false) };
        let writer = match &mut self.parts {
            Some(writer) => writer,
            none => none.insert(PartWriter::of(self.book)?),
        };
        let seat = Seat { place: *place, id: new.fact.id };
        writer.write(parts, seat, &new.key, &mut self.tallies)
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

    /// Keeps the count: whoever wrote facts ends with this.
    pub(super) fn finish(self) -> Result<(), Failure> {
        self.to_pack.places.extend(self.tallies.write(self.book)?);
        Ok(())
    }

    fn place_of<T: Listed>(&mut self, record: &T, id: FactId) -> Result<i64, Failure> {
        match (T::LAND, record.patch()) {
            (Land::NewSite | Land::NewPatch, _) => match self.replaced_by.get(&id) {
                Some(&replaced) => self.place_of_fact::<T>(replaced),
                None => match told_place(id, T::KIND, self.book)? {
                    Some(place) => Ok(place),
                    None => self.found(T::KIND),
                },
            },
            (_, Some(patch)) => self.places.patch(record.site(), patch),
            (_, None) => self.places.site(record.site()),
        }
    }

    fn found(&mut self, kind: Kind) -> Result<i64, Failure> {
        let place = self.places.found(kind)?;
        if kind == Kind::Patch {
            self.to_pack.is_new(place);
        }
        Ok(place)
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

/// The only columns that must differ from row to row are ids, and ids at their places.
pub(super) fn recorded_twice(id: FactId, error: rusqlite::Error) -> Failure {
    use rusqlite::ffi::{SQLITE_CONSTRAINT_PRIMARYKEY, SQLITE_CONSTRAINT_UNIQUE};
    match error.sqlite_extended_error_code() {
        Some(SQLITE_CONSTRAINT_PRIMARYKEY | SQLITE_CONSTRAINT_UNIQUE) => {
            Refusal::AlreadyRecorded(id).into()
        }
        _ => error.into(),
    }
}
