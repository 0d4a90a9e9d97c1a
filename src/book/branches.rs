//! Corrections as a graph: what follows a fact, and where each branch ends.
//!
//! A fact that one book put right has one successor; two books may give it several. What a
//! correction without a replacement leads to is the withdrawal itself, under the correction's
//! id: that is how a later correction can say that the fact shall count after all.

use std::collections::{BTreeSet, HashMap, HashSet, VecDeque};
use std::sync::Arc;

use rusqlite::{Connection, OptionalExtension, Row, params};

use super::checks::read_kind;
use super::fields::{Fields, bytes};
use super::history::{Condition, each_fact};
use super::words::Words;
use crate::records::{Clash, Correction, Ending, FactId, Kind, Replacement};

/// The columns that [`read_correction`] takes.
pub(super) const CORRECTION: &str = "id, replaced, replacement, why, recorded_on, by_whom";

pub(super) fn read_correction(row: &Row, words: &mut Words) -> rusqlite::Result<Correction> {
    let mut fields = Fields::of(row, words);
    Ok(Correction {
        id: fields.id()?,
        replaced: fields.id()?,
        replacement: fields.maybe_id()?.map_or(Replacement::Withdrawn, Replacement::By),
        why: fields.word()?,
        recorded_on: fields.day()?,
        by: fields.word()?,
    })
}

/// One step of a branch: a row of the corrections without its words.
#[derive(Clone, Copy, Debug)]
pub(super) struct Step {
    pub(super) correction: FactId,
    pub(super) replaced: FactId,
    pub(super) replacement: Option<FactId>,
}

impl Step {
    /// What follows: a fact, or the withdrawal.
    pub(super) fn next(&self) -> FactId {
        self.replacement.unwrap_or(self.correction)
    }
}

/// Steps by either side.
#[derive(Debug, Default)]
pub(super) struct Branches {
    after: HashMap<FactId, Vec<Step>>,
    before: HashMap<FactId, Vec<Step>>,
}

impl Branches {
    pub(super) fn of(steps: impl IntoIterator<Item = Step>) -> Self {
        let mut branches = Self::default();
        for step in steps {
            branches.after.entry(step.replaced).or_default().push(step);
            branches.before.entry(step.next()).or_default().push(step);
        }
        branches
    }

    /// All steps that hang together with the fact, read from the book.
    pub(super) fn around(id: FactId, book: &Connection) -> rusqlite::Result<Self> {
        let mut words = Words::default();
        let mut steps = book.prepare_cached(
            "SELECT id, replaced, replacement FROM correction WHERE replaced = ?1 \
             UNION SELECT id, replaced, replacement FROM correction WHERE replacement = ?1 \
             UNION SELECT id, replaced, replacement FROM correction \
                   WHERE id = ?1 AND replacement IS NULL",
        )?;
        let mut found = HashMap::new();
        let mut met = HashSet::from([id]);
        let mut waiting = VecDeque::from([id]);
        while let Some(at) = waiting.pop_front() {
            let mut rows = steps.query(params![bytes(&at)])?;
            while let Some(row) = rows.next()? {
                let mut fields = Fields::of(row, &mut words);
                let (correction, replaced) = (fields.id()?, fields.id()?);
                let step = Step { correction, replaced, replacement: fields.maybe_id()? };
                found.insert((correction, replaced), step);
                waiting.extend([replaced, step.next()].into_iter().filter(|id| met.insert(*id)));
            }
        }
        Ok(Self::of(found.into_values()))
    }

    pub(super) fn steps_after(&self, id: FactId) -> &[Step] {
        self.after.get(&id).map_or(&[], Vec::as_slice)
    }

    pub(super) fn steps_before(&self, id: FactId) -> &[Step] {
        self.before.get(&id).map_or(&[], Vec::as_slice)
    }

    /// Facts with more than one successor.
    pub(super) fn forks(&self) -> impl Iterator<Item = FactId> {
        self.after.iter().filter(|(_, steps)| steps.len() > 1).map(|(id, _)| *id)
    }

    /// Where the branches end that hang together with the fact: what nothing follows, each
    /// with whether it is a withdrawal.
    pub(super) fn ends_around(&self, id: FactId) -> Ends {
        let mut ends = Ends::default();
        let mut met = HashSet::from([id]);
        let mut waiting = vec![id];
        while let Some(at) = waiting.pop() {
            let (after, before) = (self.steps_after(at), self.steps_before(at));
            if before.is_empty() {
                ends.first = ends.first.into_iter().chain([at]).min();
            }
            if after.is_empty() {
                let is_withdrawal = before.iter().any(|step| step.replacement.is_none());
                let side = if is_withdrawal { &mut ends.withdrawals } else { &mut ends.facts };
                side.insert(at);
            }
            let around = after.iter().map(Step::next).chain(before.iter().map(|s| s.replaced));
            waiting.extend(around.filter(|id| met.insert(*id)));
        }
        ends
    }

    /// Whether the fact's own corrections lead back to it.
    pub(super) fn leads_back(&self, start: FactId) -> bool {
        let mut met = HashSet::new();
        let mut waiting = vec![start];
        while let Some(at) = waiting.pop() {
            for next in self.steps_after(at).iter().map(Step::next) {
                if next == start {
                    return true;
                }
                waiting.extend(met.insert(next).then_some(next));
            }
        }
        false
    }

    /// Everything corrected that lies on a way to the end, with the correction that leads on.
    pub(super) fn ways_to(&self, end: FactId) -> HashMap<FactId, FactId> {
        let mut ways: HashMap<FactId, FactId> = HashMap::new();
        let mut waiting = VecDeque::from([end]);
        while let Some(at) = waiting.pop_front() {
            let mut steps = self.steps_before(at).to_vec();
            steps.sort_by_key(|step| (step.correction, step.replaced));
            for step in steps {
                ways.entry(step.replaced).or_insert_with(|| {
                    waiting.push_back(step.replaced);
                    step.correction
                });
            }
        }
        ways
    }
}

/// What the branches around a fact come to.
#[derive(Debug, Default)]
pub(super) struct Ends {
    /// What was recorded first; `None` only where corrections lead in a circle.
    pub(super) first: Option<FactId>,
    pub(super) facts: BTreeSet<FactId>,
    /// By the corrections that withdrew.
    pub(super) withdrawals: BTreeSet<FactId>,
}

impl Ends {
    /// Several withdrawals say the same.
    pub(super) fn differ(&self) -> bool {
        self.facts.len() + usize::from(!self.withdrawals.is_empty()) > 1
    }
}

/// The clash that these ends make, if they do, with what each of them says.
pub(super) fn clash(ends: &Ends, book: &Connection) -> rusqlite::Result<Option<Clash>> {
    let Some(of) = ends.first.filter(|_| ends.differ()) else { return Ok(None) };
    let mut kind = None;
    let mut endings = Vec::new();
    for id in &ends.withdrawals {
        let (read, withdrawal) = withdrawal(*id, book)?;
        kind = Some(read);
        endings.push(Ending::Withdrawn(withdrawal));
    }
    for id in &ends.facts {
        // A replacement that is not there says nothing; `verify` names it.
        let Some(found) = kind_of(*id, book)? else { continue };
        kind = Some(found);
        let values = params![bytes(id)];
        let of_id = Condition::of("WHERE id = ?", values);
        each_fact(found, of_id, None, book, &mut |_, _, fact| {
            let by = put_right_by(fact.id, book)?.unwrap_or_else(|| fact.by.clone());
            endings.push(Ending::Says(Box::new(fact), by));
            Ok(())
        })?;
    }
    let several = endings.len() > 1;
    Ok(kind.filter(|_| several).map(|kind| Clash::among(kind, of, endings)))
}

/// Who said that the fact takes the place of another.
fn put_right_by(id: FactId, book: &Connection) -> rusqlite::Result<Option<Arc<str>>> {
    let mut words = Words::default();
    let sql =
        format!("SELECT {CORRECTION} FROM correction WHERE replacement = ? ORDER BY id LIMIT 1");
    let found = book
        .prepare_cached(&sql)?
        .query_row([bytes(&id)], |row| read_correction(row, &mut words))
        .optional()?;
    Ok(found.map(|correction| correction.by))
}

fn withdrawal(id: FactId, book: &Connection) -> rusqlite::Result<(Kind, Correction)> {
    let mut words = Words::default();
    book.prepare_cached(&format!(
        "SELECT {CORRECTION}, kind FROM correction WHERE id = ? AND replacement IS NULL \
         ORDER BY replaced LIMIT 1"
    ))?
    .query_row([bytes(&id)], |row| {
        let correction = read_correction(row, &mut words)?;
        let kind: String = row.get(6)?;
        let known = Kind::ALL.into_iter().find(|one| one.name() == kind);
        Ok((known.unwrap_or(Kind::Site), correction))
    })
}

/// The kind of a recorded fact; `None` for one that is not there.
pub(super) fn kind_of(id: FactId, book: &Connection) -> rusqlite::Result<Option<Kind>> {
    let mut words = Words::default();
    book.prepare_cached("SELECT kind FROM fact WHERE id = ?")?
        .query_row([bytes(&id)], |row| read_kind(&mut Fields::of(row, &mut words)))
        .optional()
}
