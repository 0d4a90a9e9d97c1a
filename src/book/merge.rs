//! The union of two books' facts.
//!
//! A fact is its id, so the union is that of the sets: which book takes the other in, in what
//! order and how often, makes no difference to what counts. Places keep their own numbers in
//! each book; a place of the other's is ours where we have a fact that set it down. What
//! parties of walks are called stays with the book that has it; what one has forgotten is
//! forgotten in both.

use std::collections::{HashMap, HashSet};
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::Path;

use rusqlite::types::ValueRef;
use rusqlite::{Connection, Row};

use super::append::{NewFact, write_correction};
use super::attendees::{self, Forgetting};
use super::branches::{CORRECTION, read_correction};
use super::error::{BookError, Failure, Refusal, StorageError};
use super::fields::Fields;
use super::history::{Condition, each_fact};
use super::integrity::integrity_at;
use super::moment::Moment;
use super::open::Book;
use super::packed::pack_anew;
use super::places::Places;
use super::sealing::{self, seal_new_corrections};
use super::to_pack::ToPack;
use super::words::Words;
use super::writer::Writer;
use crate::records::{Correction, FactId, Kind, Record};

/// What may differ between two books' rows of one fact: each numbers its places itself, and a
/// file that two leaders load makes the same facts in both, known from the day of each loading
/// and by the name that the file has there. The earlier day, and its name, is taken over.
const NUMBERED: [&str; 6] = ["place", "site", "seal", "words_seal", "recorded_on", "file"];

/// What one book brings to another.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Coming {
    /// By kind, in the order in which they are recorded.
    pub facts: Vec<(FactId, Kind)>,
    /// What puts facts right, each once, however many it settles.
    pub corrections: Vec<FactId>,
    /// How many names the other has forgotten and this one has not.
    pub forgotten: usize,
    /// How many facts of both books the other one knew earlier.
    pub known_earlier: usize,
}

impl Coming {
    /// Whether the other book holds nothing beyond this one.
    pub fn is_empty(&self) -> bool {
        self.facts.is_empty()
            && self.corrections.is_empty()
            && self.forgotten == 0
            && self.known_earlier == 0
    }
}

/// What becomes of a union that was shown.
#[derive(Debug)]
pub enum Merged<T> {
    /// It is recorded.
    Keep(T),
    /// The book stays as it was.
    Leave(T),
}

impl Book {
    /// Takes in all facts and corrections of the other book, in one write transaction. Shows
    /// `judge` what came and the book as it would be, and keeps it only if that says so. Gives
    /// what became of names here that the other has forgotten, beside what `judge` gave.
    ///
    /// # Errors
    /// A storage error where either cannot be read, the other is damaged, or this one cannot
    /// be written; a refusal where both tell one fact otherwise. Then, and where `judge`
    /// fails, nothing was recorded.
    pub fn merge<T, E>(
        &mut self,
        other: &Self,
        judge: impl FnOnce(&Coming, &Moment<'_>) -> Result<Merged<T>, E>,
    ) -> Result<Result<(T, Forgetting), E>, BookError> {
        // A snapshot, so that all of the other is read as it stood at one moment.
        let at_other = |error| Failure::from(error).at(&other.path);
        let theirs = other.connection.unchecked_transaction().map_err(at_other)?;
        if let Some(what) = integrity_at(&theirs).map_err(at_other)?.into_iter().next() {
            return Err(StorageError::Damaged { path: other.path.clone(), what }.into());
        }
        let judged = self.written(|ours, path| merge_in(ours, path, &theirs, judge))?;
        let (answer, names) = match judged {
            Ok(answered) => answered,
            Err(refusal) => return Ok(Err(refusal)),
        };
        let traces = self.clear_away(&names);
        Ok(Ok((answer, Forgetting { parties: names.len(), traces })))
    }
}

/// What came, judged, and whether it stays.
type Judged<T, E> = (Result<(T, Vec<String>), E>, bool);

fn merge_in<T, E>(
    ours: &Connection,
    path: &Path,
    theirs: &Connection,
    judge: impl FnOnce(&Coming, &Moment<'_>) -> Result<Merged<T>, E>,
) -> Result<Judged<T, E>, Failure> {
    let mut coming = take_in(ours, theirs)?;
    let known = attendees::marks(ours)?;
    let mut marks = attendees::marks(theirs)?;
    marks.retain(|mark| !known.iter().any(|ours| ours.id == mark.id));
    coming.forgotten = marks.len();
    let names = attendees::apply(&marks, ours)?;
    let moment = Moment::at(ours, path);
    Ok(match judge(&coming, &moment) {
        Ok(Merged::Keep(answer)) => {
            moment.end()?;
            (Ok((answer, names)), true)
        }
        Ok(Merged::Leave(answer)) => (Ok((answer, Vec::new())), false),
        Err(refusal) => (Err(refusal), false),
    })
}

fn take_in(ours: &Connection, theirs: &Connection) -> Result<Coming, Failure> {
    let mut coming = Coming::default();
    let places = numbers(ours, theirs)?;
    let sites_of_patches = sites_of_patches(theirs)?;
    let mut to_pack = ToPack::default();
    let mut writer = Writer::new(ours, &[], &mut to_pack);
    for kind in Kind::ALL {
        let known = digests(kind, ours)?;
        for (id, digest) in digests(kind, theirs)? {
            if known.get(&id).is_some_and(|ours| *ours != digest) {
                return Err(Refusal::ToldOtherwise(id).into());
            }
        }
        let ours_since = known_since(kind, ours)?;
        for (id, theirs) in known_since(kind, theirs)? {
            if ours_since.get(&id).is_some_and(|ours| theirs < *ours) {
                let (day, file) = &theirs;
                sealing::known_since(kind, id, day, file.as_deref(), ours)?;
                coming.known_earlier += 1;
            }
        }
        let mut failed = None;
        each_fact(kind, Condition::NONE, None, theirs, &mut |key, place, fact| {
            if failed.is_some() || known.contains_key(&fact.id) {
                return Ok(());
            }
            let Some(&place) = places.get(&place) else { return Ok(()) };
            let id = fact.id;
            if let Record::Patch(patch) = &fact.record
                && let Some(site) = sites_of_patches.get(&id).and_then(|site| places.get(site))
            {
                // Its site may share its name with another: the number decides.
                writer.places.call_site(patch.name.site().clone(), *site);
            }
            let new = NewFact { key: key.to_owned(), fact };
            match writer.write_at(place, &new) {
                Ok(()) => coming.facts.push((id, kind)),
                Err(failure) => failed = Some(failure),
            }
            Ok(())
        })?;
        if let Some(failure) = failed {
            return Err(failure);
        }
    }
    let corrections = take_in_corrections(ours, theirs)?;
    writer.finish()?;
    to_pack.places.extend(seal_new_corrections(corrections.iter().copied(), ours)?);
    pack_anew(to_pack, ours)?;
    coming.corrections.extend(corrections.into_iter().map(|(id, _)| id));
    coming.corrections.sort();
    coming.corrections.dedup();
    Ok(coming)
}

/// Gives what came: each correction with what it corrects.
fn take_in_corrections(
    ours: &Connection,
    theirs: &Connection,
) -> Result<Vec<(FactId, FactId)>, Failure> {
    let mut came = Vec::new();
    let known = corrections(ours)?;
    for (key, (kind, correction)) in corrections(theirs)? {
        match known.get(&key) {
            Some((_, same)) if *same == correction => {}
            Some(_) => return Err(Refusal::ToldOtherwise(correction.id).into()),
            None => {
                write_correction(kind, &correction, ours)?;
                came.push(key);
            }
        }
    }
    // What is settled of a withdrawal finds its place by it, so the withdrawal goes first.
    let withdrawals: HashSet<FactId> = came.iter().map(|(id, _)| *id).collect();
    came.sort_by_key(|(id, replaced)| (withdrawals.contains(replaced), *id, *replaced));
    Ok(came)
}

/// By what it is and what it corrects.
fn corrections(
    book: &Connection,
) -> rusqlite::Result<HashMap<(FactId, FactId), (Kind, Correction)>> {
    let mut words = Words::default();
    book.prepare(&format!("SELECT {CORRECTION}, kind FROM correction"))?
        .query_map([], |row| {
            let correction = read_correction(row, &mut words)?;
            let kind: String = row.get("kind")?;
            let kind = Kind::ALL.into_iter().find(|known| known.name() == kind);
            Ok((correction, kind.unwrap_or(Kind::Site)))
        })?
        .map(|row| {
            row.map(|(correction, kind)| ((correction.id, correction.replaced), (kind, correction)))
        })
        .collect()
}

/// From the numbers of the other's places to ours; a place that only the other knows gets a
/// new one.
fn numbers(ours: &Connection, theirs: &Connection) -> Result<HashMap<i64, i64>, Failure> {
    let mut numbers = HashMap::new();
    for kind in [Kind::Site, Kind::Patch] {
        let known: HashMap<FactId, i64> = placed(kind, "place", ours)?.into_iter().collect();
        let of_others = placed(kind, "place", theirs)?;
        for (id, theirs) in &of_others {
            if let Some(&place) = known.get(id) {
                numbers.insert(*theirs, place);
            }
        }
        let places = Places::of(ours);
        for (_, theirs) in of_others {
            if let std::collections::hash_map::Entry::Vacant(unknown) = numbers.entry(theirs) {
                unknown.insert(places.found(kind)?);
            }
        }
    }
    Ok(numbers)
}

fn sites_of_patches(book: &Connection) -> rusqlite::Result<HashMap<FactId, i64>> {
    Ok(placed(Kind::Patch, "site", book)?.into_iter().collect())
}

fn placed(kind: Kind, column: &str, book: &Connection) -> rusqlite::Result<Vec<(FactId, i64)>> {
    let mut words = Words::default();
    book.prepare(&format!("SELECT id, {column} FROM {} ORDER BY id", kind.name()))?
        .query_map([], |row| {
            let mut fields = Fields::of(row, &mut words);
            Ok((fields.id()?, fields.whole()?))
        })?
        .collect()
}

/// From which day each fact of a kind counts as known, and what its file is called there.
fn known_since(
    kind: Kind,
    book: &Connection,
) -> rusqlite::Result<HashMap<FactId, (String, Option<String>)>> {
    let mut words = Words::default();
    let mut rows = book.prepare(&format!("SELECT id, recorded_on, file FROM {}", kind.name()))?;
    rows.query_map([], |row| Ok((Fields::of(row, &mut words).id()?, (row.get(1)?, row.get(2)?))))?
        .collect()
}

/// What each fact of a kind says, but for the numbers of its places.
fn digests(kind: Kind, book: &Connection) -> rusqlite::Result<HashMap<FactId, u64>> {
    let mut words = Words::default();
    let mut rows = book.prepare(&format!("SELECT id, * FROM {}", kind.name()))?;
    let said: Vec<usize> = rows
        .column_names()
        .enumerate()
        .filter(|(_, name)| !NUMBERED.contains(name))
        .map(|(at, _)| at)
        .collect();
    rows.query_map([], |row| {
        let id = Fields::of(row, &mut words).id()?;
        Ok((id, digest(row, &said)?))
    })?
    .collect()
}

fn digest(row: &Row, columns: &[usize]) -> rusqlite::Result<u64> {
    let mut hasher = DefaultHasher::new();
    for &column in columns {
        match row.get_ref(column)? {
            ValueRef::Null => 0.hash(&mut hasher),
            ValueRef::Integer(number) => (1, number).hash(&mut hasher),
            ValueRef::Real(number) => (2, number.to_bits()).hash(&mut hasher),
            ValueRef::Text(text) | ValueRef::Blob(text) => (3, text).hash(&mut hasher),
        }
    }
    Ok(hasher.finish())
}
