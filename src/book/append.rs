//! Appending facts and corrections: all of a command's in one transaction, or none.

use std::collections::HashMap;

use rusqlite::{Connection, params, params_from_iter};

use super::attendees::{self, Attendee, Going};
use super::checks;
use super::error::{BookError, Failure};
use super::fields::bytes;
use super::moment::Moment;
use super::open::Book;
use super::packed::pack_anew;
use super::row::NewRow;
use super::sealing::seal_new_corrections;
use super::to_pack::ToPack;
use super::writer::{Writer, recorded_twice};
use crate::records::{Correction, Fact, FactId, Kind, Record, Replacement};

/// A fact to be recorded, under the key that tells it from others of its kind when the same
/// file is loaded again.
#[derive(Clone, Debug, PartialEq)]
pub struct NewFact {
    /// What tells it from others of its kind: [`Recorded::key`](crate::records::Recorded::key).
    pub key: String,
    /// With the id that it will bear.
    pub fact: Fact<Record>,
}

/// What to record, and what to tell whoever asked.
#[derive(Debug)]
pub struct Decision<T> {
    /// In any order; all of them are recorded, or nothing is.
    pub facts: Vec<NewFact>,
    /// What they put right, or what is withdrawn.
    pub corrections: Vec<Correction>,
    /// Names that are deleted, before others are kept.
    pub going: Vec<Going>,
    /// What parties are called, in the place of any names that they had.
    pub names: Vec<Attendee>,
    /// What the command says of it.
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
        self.written(|transaction, path| {
            let moment = Moment::at(transaction, path);
            let decision = match decide(&moment) {
                Ok(decision) => decision,
                Err(refusal) => return Ok((Err(refusal), false)),
            };
            // A large load records about a patch several times: it is packed once, in the end.
            moment.take_down(&decision.facts, &decision.corrections)?;
            moment.end()?;
            for going in &decision.going {
                attendees::let_go(transaction, going)?;
            }
            attendees::write_in(transaction, &decision.names)?;
            Ok((Ok(decision.answer), true))
        })
    }

    /// Records all of these facts and corrections, or none of them.
    ///
    /// Facts may refer to places that come along with them, in any order. A correction brings
    /// the fact that takes the other's place; that fact stays with the same site or patch,
    /// whatever it now calls it. A correction of one end of a clash settles all its ends.
    ///
    /// # Errors
    /// A [`Refusal`](super::Refusal) for a fact or correction that does not fit the book, a storage error
    /// where the file cannot be written; either way nothing was recorded.
    pub fn append(
        &mut self,
        facts: &[NewFact],
        corrections: &[Correction],
    ) -> Result<(), BookError> {
        self.written(|transaction, _| {
            let mut to_pack = ToPack::default();
            record(facts, corrections, transaction, &mut to_pack)?;
            pack_anew(to_pack, transaction)?;
            Ok(((), true))
        })
    }
}

/// The places that more is now known of are still to be packed.
pub(super) fn record(
    facts: &[NewFact],
    corrections: &[Correction],
    transaction: &Connection,
    to_pack: &mut ToPack,
) -> Result<(), Failure> {
    let kinds: HashMap<FactId, Kind> = match corrections {
        [] => HashMap::new(),
        _ => facts.iter().map(|new| (new.fact.id, new.fact.record.kind())).collect(),
    };
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
    in_order.sort_by_key(|new| kind_of(new));
    let mut writer = Writer::new(transaction, corrections, to_pack);
    for of_kind in in_order.chunk_by(|one, other| kind_of(one) == kind_of(other)) {
        writer.write_all(of_kind)?;
    }
    checks::names_are_free(&in_order, transaction)?;
    checks::corrections_fit(&settled, transaction)?;
    writer.finish()?;
    let corrections = settled.iter().map(|correction| (correction.id, correction.replaced));
    to_pack.places.extend(seal_new_corrections(corrections, transaction)?);
    Ok(())
}

fn kind_of(new: &NewFact) -> Kind {
    new.fact.record.kind()
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

/// Writes down what another book put right, as it tells it: also of facts that this one does
/// not have. Gives how many of them were new, and the places that they are about: these are still to
/// be packed.
pub(super) fn tell(
    told: &[(Kind, Correction)],
    book: &Connection,
) -> Result<(usize, Vec<i64>), Failure> {
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
    Ok((new.len(), seal_new_corrections(new.iter().copied(), book)?))
}
