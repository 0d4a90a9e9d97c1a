//! Appending facts and corrections: all of a command's in one transaction, or none.

use std::collections::HashMap;
use std::path::Path;

use rusqlite::{Connection, OptionalExtension, TransactionBehavior, params, params_from_iter};

use super::attendees::{self, Attendee, Going};
use super::checks;
use super::envelope::ENVELOPE;
use super::error::{BookError, Failure, Refusal};
use super::fields::bytes;
use super::moment::Moment;
use super::open::Book;
use super::places::Places;
use super::row::NewRow;
use super::tables::{Seat, Table};
use super::tally;
use crate::records::{
    Correction, Fact, FactId, Kind, Land, PatchName, Record, Replacement, of_any_kind,
};

/// A fact to be recorded, under the key that tells it from others of its kind when the same
/// file is loaded again.
#[derive(Clone, Debug, PartialEq)]
pub struct NewFact {
    pub key: String,
    pub fact: Fact<Record>,
}

/// What to record, and what to tell whoever asked.
#[derive(Debug)]
pub struct Decision<T> {
    pub facts: Vec<NewFact>,
    pub corrections: Vec<Correction>,
    /// Names that are deleted, before others are kept.
    pub going: Vec<Going>,
    /// What parties are called, in the place of any names that they had.
    pub names: Vec<Attendee>,
    pub answer: T,
}

impl<T> Decision<T> {
    /// Facts and corrections, and nobody's name.
    pub fn new(facts: Vec<NewFact>, corrections: Vec<Correction>, answer: T) -> Self {
        Self { facts, corrections, going: Vec::new(), names: Vec::new(), answer }
    }
}

impl Book {
    /// Lets `decide` look at the book and say what to record, while nobody else can write:
    /// what it saw is still so when its answer is recorded. Facts, corrections and names are
    /// recorded all together, or not at all. Gives what `decide` gave beside them.
    ///
    /// # Errors
    /// As [`Book::append`]. Where `decide` refuses, nothing is recorded and its refusal is
    /// handed on inside.
    pub fn decide<T, E>(
        &mut self,
        decide: impl FnOnce(&Moment<'_>) -> Result<Decision<T>, E>,
    ) -> Result<Result<T, E>, BookError> {
        let Self { connection, path } = self;
        decide_in(connection, path, decide).map_err(|failure| failure.at(path))
    }

    /// Records all of these facts and corrections, or none of them.
    ///
    /// Facts may refer to places that come along with them, in any order. A correction brings
    /// the fact that takes the other's place; that fact stays with the same site or patch,
    /// whatever it now calls it. A correction of one end of a clash settles all its ends.
    ///
    /// # Errors
    /// A [`Refusal`] for a fact or correction that does not fit the book, a storage error
    /// where the file cannot be written; either way nothing was recorded.
    pub fn append(
        &mut self,
        facts: &[NewFact],
        corrections: &[Correction],
    ) -> Result<(), BookError> {
        append(&mut self.connection, facts, corrections).map_err(|failure| failure.at(&self.path))
    }
}

fn append(
    book: &mut Connection,
    facts: &[NewFact],
    corrections: &[Correction],
) -> Result<(), Failure> {
    let transaction = book.transaction_with_behavior(TransactionBehavior::Immediate)?;
    record(facts, corrections, &transaction)?;
    transaction.commit()?;
    Ok(())
}

fn decide_in<T, E>(
    book: &mut Connection,
    path: &Path,
    decide: impl FnOnce(&Moment<'_>) -> Result<Decision<T>, E>,
) -> Result<Result<T, E>, Failure> {
    let transaction = book.transaction_with_behavior(TransactionBehavior::Immediate)?;
    let decision = match decide(&Moment { book: &transaction, path }) {
        Ok(decision) => decision,
        Err(refusal) => return Ok(Err(refusal)),
    };
    record(&decision.facts, &decision.corrections, &transaction)?;
    for going in &decision.going {
        attendees::let_go(&transaction, going)?;
    }
    attendees::write_in(&transaction, &decision.names)?;
    transaction.commit()?;
    Ok(Ok(decision.answer))
}

pub(super) fn record(
    facts: &[NewFact],
    corrections: &[Correction],
    transaction: &Connection,
) -> Result<(), Failure> {
    let kinds: HashMap<FactId, Kind> =
        facts.iter().map(|new| (new.fact.id, new.fact.record.kind())).collect();
    let mut settled = Vec::with_capacity(corrections.len());
    for correction in corrections {
        let others = checks::other_ends(correction, transaction)?;
        let kind = checks::kind_to_correct(correction, &kinds, transaction)?;
        write_correction(kind, correction, transaction)?;
        for replaced in others {
            let other = Correction { replaced, ..correction.clone() };
            write_correction(kind, &other, transaction)?;
            settled.push(other);
        }
        settled.push(correction.clone());
    }
    let mut in_order: Vec<&NewFact> = facts.iter().collect();
    in_order.sort_by_key(|new| new.fact.record.kind());
    let mut writer = Writer::new(transaction, corrections);
    for new in &in_order {
        writer.write(new)?;
    }
    checks::names_are_free(&in_order, transaction)?;
    checks::corrections_fit(&settled, transaction)?;
    let facts = in_order.iter().map(|new| (new.fact.record.kind(), new.fact.id));
    let corrections = settled.iter().map(|correction| (correction.id, correction.replaced));
    Ok(tally::seal_new(facts, corrections, transaction)?)
}

/// One row, as it is.
pub(super) fn write_correction(
    kind: Kind,
    correction: &Correction,
    book: &Connection,
) -> Result<(), Failure> {
    let replacement = match correction.replacement {
        Replacement::By(id) => Some(id),
        Replacement::Withdrawn => None,
    };
    let key = correction.replaced.short();
    let mut row = NewRow::of(kind, &key);
    row.id(correction.id);
    row.text(kind.name());
    row.id(correction.replaced);
    row.maybe_id(replacement);
    row.text(&correction.why);
    row.day("recorded_on", correction.recorded_on)?;
    row.text(&correction.by);
    book.prepare_cached(
        "INSERT INTO correction (id, kind, replaced, replacement, why, recorded_on, by_whom) \
         VALUES (?, ?, ?, ?, ?, ?, ?)",
    )?
    .execute(params_from_iter(row.values()))
    .map_err(|error| recorded_twice(correction.id, error))?;
    Ok(())
}

pub(super) struct Writer<'book> {
    book: &'book Connection,
    pub(super) places: Places<'book>,
    /// The place of the fact at hand, where its number is known and not only its name.
    at: Option<i64>,
    /// By the fact that takes its place, the one that was wrong.
    replaced_by: HashMap<FactId, FactId>,
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
        Self { book, places: Places::of(book), at: None, replaced_by }
    }

    /// Writes a fact about this place, whatever its name.
    pub(super) fn write_at(&mut self, place: i64, new: &NewFact) -> Result<(), Failure> {
        self.at = Some(place);
        let written = self.write(new);
        self.at = None;
        written
    }

    fn write(&mut self, new: &NewFact) -> Result<(), Failure> {
        of_any_kind!(&new.fact.record, record => self.write_as(record, new))
    }

    fn write_as<T: Table>(&mut self, record: &T, new: &NewFact) -> Result<(), Failure> {
        let place = self.place_of(record, new.fact.id)?;
        let mut row = NewRow::of(T::KIND, &new.key);
        row.id(new.fact.id);
        row.day("recorded_on", new.fact.recorded_on)?;
        row.whole(place);
        row.day("happened_on", new.fact.happened_on)?;
        row.text(&new.fact.by);
        row.maybe_text(new.fact.file.as_ref());
        row.text(&new.key);
        record.write(&mut self.places, &mut row)?;
        self.book
            .prepare_cached(&insertion::<T>(row.values().len()))?
            .execute(params_from_iter(row.values()))
            .map_err(|error| recorded_twice(new.fact.id, error))?;
        record.write_parts(Seat { place, id: new.fact.id }, &new.key, self.book)
    }

    fn place_of<T: Table>(&mut self, record: &T, id: FactId) -> Result<i64, Failure> {
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
            (_, Some(patch)) => self.places.patch(&PatchName::new(record.site(), patch)?),
            (_, None) => self.places.site(record.site()),
        }
    }

    fn place_of_fact<T: Table>(&self, id: FactId) -> Result<i64, Failure> {
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
    let sql = format!(
        "WITH RECURSIVE earlier (id, step) AS (             SELECT ?1, 0 UNION \
             SELECT replaced, step + 1 FROM correction JOIN earlier ON replacement = earlier.id \
             WHERE step < 1000) \
         SELECT place FROM earlier JOIN {kind} USING (id) ORDER BY step LIMIT 1",
        kind = kind.name()
    );
    book.prepare_cached(&sql)?.query_row(params![bytes(&id)], |row| row.get(0)).optional()
}

/// Writes down what another book put right, as it tells it: also of facts that this one does
/// not have. Gives how many of them were new.
pub(super) fn tell(told: &[(Kind, Correction)], book: &Connection) -> Result<usize, Failure> {
    let mut new = Vec::new();
    for (kind, correction) in told {
        let known = book
            .prepare_cached("SELECT 1 FROM correction WHERE id = ? AND replaced = ?")?
            .exists(params![bytes(&correction.id), bytes(&correction.replaced)])?;
        if !known {
            write_correction(*kind, correction, book)?;
            checks::leads_somewhere(correction.replaced, book)?;
            new.push((correction.id, correction.replaced));
        }
    }
    tally::seal_new(std::iter::empty(), new.iter().copied(), book)?;
    Ok(new.len())
}

fn insertion<T: Table>(columns: usize) -> String {
    let marks = vec!["?"; columns].join(", ");
    format!("INSERT INTO {} ({ENVELOPE}, key, {}) VALUES ({marks})", T::NAME, T::COLUMNS)
}

/// The only columns that must differ from row to row are ids.
fn recorded_twice(id: FactId, error: rusqlite::Error) -> Failure {
    match error.sqlite_extended_error_code() {
        Some(code) if code == rusqlite::ffi::SQLITE_CONSTRAINT_UNIQUE => {
            Refusal::AlreadyRecorded(id).into()
        }
        _ => error.into(),
    }
}
