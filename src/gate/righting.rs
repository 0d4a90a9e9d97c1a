//! Putting a recorded fact right: a correction is a new fact, never an edit.

use std::sync::Arc;

use jiff::civil::Date;

use super::ahead::ahead;
use super::delivery::{Answers, Because};
use super::fit::unfit;
use super::gatekeeper::Gate;
use super::limits::hold_against_limits;
use super::moving::moved_holds;
use super::places::{Places, Surroundings};
use super::plausible::slip;
use super::sorted::Fresh;
use super::turned::Turned;
use crate::book::{Book, Decision, Moment, NewFact, Scope};
use crate::intake::{Problem, Problems, diff, edit};
use crate::records::{
    Correction, Ending, Entry, Fact, FactId, HistoryLine, Hold, Kind, Record, Replacement, Walk,
};

/// What took a fact's place.
#[derive(Clone, Debug)]
pub struct Righted {
    /// Of the correction.
    pub id: FactId,
    /// What it says otherwise, a clause each.
    pub changes: Vec<String>,
    /// How many promises went along with a walk that was moved.
    pub moved_holds: usize,
    /// What else this settles: other facts, or a withdrawal, by which two books put one fact
    /// right in different ways.
    pub settled: Vec<String>,
    /// What parties were called that the walk no longer has; their names are deleted.
    pub gone: Vec<String>,
}

impl Gate<'_> {
    /// Records what the fact that people call `asked` says once `changes` are made to its
    /// fields. What is set aside for a walk moves with its day.
    ///
    /// # Errors
    /// Why nothing was recorded, with the way out.
    pub fn correct(
        &self,
        book: &mut Book,
        asked: &str,
        changes: &[(String, String)],
        because: Because,
        answers: &Answers,
    ) -> Result<Righted, Turned> {
        book.decide(|moment| {
            let line = moment.fact(asked)?;
            self.corrected(moment, line, changes, because, answers)
        })?
    }

    /// Takes a fact back; it stays in the history. Gives what was taken back, and what else that
    /// settles.
    ///
    /// # Errors
    /// Why nothing was recorded, with the way out.
    pub fn withdraw(
        &self,
        book: &mut Book,
        asked: &str,
        because: Because,
    ) -> Result<(HistoryLine, Vec<String>), Turned> {
        book.decide(|moment| {
            let line = moment.fact(asked)?;
            let settled = others_settled(moment, line.fact.id)?;
            let correction = self.correction(&line.fact, Replacement::Withdrawn, because);
            Ok(Decision::new(Vec::new(), vec![correction], (line, settled)))
        })?
    }

    /// What records a fact as it is once `changes` are made to its fields.
    ///
    /// # Errors
    /// Why nothing can be recorded, with the way out.
    pub fn corrected(
        &self,
        moment: &Moment,
        line: HistoryLine,
        changes: &[(String, String)],
        because: Because,
        answers: &Answers,
    ) -> Result<Decision<Righted>, Turned> {
        let old = &line.fact;
        let mut places = places_for(old.record.kind(), moment)?;
        let surroundings = Surroundings::of(&places, self.catalogue);
        let mut entry = edit(old, changes, surroundings.known())?;
        let said = diff(old, &entry, surroundings.measure_of(&entry.record));
        let settled = others_settled(moment, old.id)?;
        // Of several ends of a clash one may be right as it is.
        if said.is_empty() && settled.is_empty() {
            return Err(Turned::Unfit(
                "that is what the fact says already; nothing was recorded".to_owned(),
            ));
        }
        // Under its old key, so that loading the file it came from again finds it corrected.
        entry.key.clone_from(&line.key);
        entry.recorded_on = Some(self.day(because, old));
        places.learn(std::slice::from_ref(&entry));
        self.can_be(&entry, &places, answers)?;
        let mut corrections = Vec::new();
        let mut facts = Vec::new();
        let id = (self.draw)();
        corrections.push(self.correction(old, Replacement::By(id), because));
        // What was put right already is refused by the book, which knows what to correct instead.
        let moved = match line.correction {
            None => self.holds_along(moment, old, &entry, because)?,
            Some(_) => Vec::new(),
        };
        let moved_holds = moved.len();
        let (going, gone) = match &entry.record {
            Record::Walk(walk) => self.names_beyond(moment, walk)?,
            _ => Default::default(),
        };
        for (hold, new) in moved {
            let id = (self.draw)();
            corrections.push(self.correction(&hold, Replacement::By(id), because));
            facts.push(self.moved(&hold, new, id, because));
        }
        let fact = self.fact(entry, old.file.as_ref(), id);
        let fresh = Fresh {
            fact,
            is_settled: true,
            taken_unsaid: false,
            sure: false,
            again: false,
            replaces: true,
            is_recorded: false,
        };
        if fresh.is_cut() {
            let held = hold_against_limits(vec![fresh], &corrections, moment, self, answers)?;
            facts.extend(held.facts);
        } else {
            facts.push(fresh.fact);
        }
        let righted = Righted { id, changes: said, moved_holds, settled, gone };
        Ok(Decision { going, ..Decision::new(facts, corrections, righted) })
    }

    /// The checks that everything typed or loaded goes through.
    fn can_be(&self, entry: &Entry, places: &Places, answers: &Answers) -> Result<(), Turned> {
        let problems: Vec<Problem> =
            ahead(entry.record.kind(), &entry.key, entry.happened_on, self.last_day())
                .into_iter()
                .chain(unfit(entry, places, self.catalogue))
                .collect();
        if !problems.is_empty() {
            let file = String::new();
            return Err(Problems { file, problems, more: 0, gave_up: false }.into());
        }
        if answers.sure {
            return Ok(());
        }
        match slip(&entry.record, &entry.key, places, self.catalogue) {
            Some(question) => Err(Turned::Questions(vec![question])),
            None => Ok(()),
        }
    }

    /// What is set aside for a walk, as it is once the walk is moved.
    fn holds_along(
        &self,
        moment: &Moment,
        old: &Fact<Record>,
        new: &Entry,
        because: Because,
    ) -> Result<Vec<(Fact<Hold>, Hold)>, Turned> {
        match (&old.record, &new.record) {
            (Record::Walk(was), Record::Walk(is)) => {
                let ledger = moment.ledger(&Scope::All)?;
                if was.name != is.name {
                    keeps_its_name(was, moment, &ledger)?;
                }
                moved_holds(was, is, &ledger, self, because)
            }
            (Record::Hold(was), Record::Hold(is)) if was.day != is.day || was.walk != is.walk => {
                Err(Turned::Unfit(format!(
                    "what is set aside has the day of its walk: correct the walk `{}`, and it \
                     goes along (nothing was recorded)",
                    was.walk
                )))
            }
            _ => Ok(Vec::new()),
        }
    }

    fn moved(&self, old: &Fact<Hold>, new: Hold, id: FactId, because: Because) -> NewFact {
        let record = Record::Hold(new);
        let entry = Entry {
            id: None,
            key: record.natural_key(old.happened_on, &old.by),
            happened_on: old.happened_on,
            recorded_on: Some(self.day(because, old)),
            by: old.by.clone(),
            record,
            taken_unsaid: false,
            sure: false,
            again: false,
            unruled: false,
        };
        self.fact(entry, old.file.as_ref(), id)
    }

    /// From when a correction counts as known.
    fn day<T>(&self, because: Because, old: &Fact<T>) -> Date {
        because.recorded_on.unwrap_or(self.today.max(old.recorded_on))
    }

    pub(super) fn correction<T>(
        &self,
        old: &Fact<T>,
        replacement: Replacement,
        because: Because,
    ) -> Correction {
        Correction {
            id: (self.draw)(),
            replaced: old.id,
            replacement,
            why: because.why.into(),
            recorded_on: self.day(because, old),
            by: Arc::from(because.by),
        }
    }
}

/// What an entry of the kind is read against: all places where it has a shape or positions of
/// its own, else their names.
fn places_for(kind: Kind, moment: &Moment) -> Result<Places, Turned> {
    let names = moment.directory()?;
    Ok(match kind {
        Kind::Site | Kind::Zone | Kind::Patch | Kind::Redraw | Kind::Survey => {
            Places::of(names, moment.ledger(&Scope::All)?)
        }
        _ => Places::named(names),
    })
}

/// What hangs on a walk goes by its name.
fn keeps_its_name(
    walk: &Walk,
    moment: &Moment,
    ledger: &crate::records::Ledger,
) -> Result<(), Turned> {
    let name = &walk.name;
    let is_bare = ledger.holds_of(name).is_empty()
        && ledger.cuts_of(name).is_empty()
        && moment.attendees(name)?.is_empty();
    if is_bare {
        return Ok(());
    }
    Err(Turned::Unfit(format!(
        "what is set aside for `{name}`, cut on it, or kept of its parties goes by its name; a \
         walk is renamed only before anything hangs on it (nothing was recorded)"
    )))
}

/// The other ends of a clash that a correction of this fact settles.
fn others_settled(moment: &Moment, id: FactId) -> Result<Vec<String>, Turned> {
    let clashes = moment.clashes()?;
    let clash = clashes.iter().find(|clash| clash.ends.iter().any(|end| end.id() == id));
    let others = clash.into_iter().flat_map(|clash| &clash.ends).filter(|end| end.id() != id);
    Ok(others
        .map(|end| match end {
            Ending::Says(fact, _) => fact.id.short(),
            Ending::Withdrawn(by) => format!("its withdrawal by {}", by.by),
        })
        .collect())
}
