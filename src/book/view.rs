//! Which facts count: now, or as was known on a day.

use std::collections::{HashMap, HashSet};

use jiff::civil::Date;
use rusqlite::Connection;

use super::branches::{Branches, Step, clash};
use super::error::{BookError, Failure};
use super::fields::Fields;
use super::open::Book;
use super::seal::{SEALS, Sealer};
use super::sound::Soundness;
use super::words::Words;
use crate::records::{Clash, Correction, FactId};

/// The book as known on a day.
///
/// A fact counts from the day it was recorded until the day a correction of it was. One that
/// came in as a correction counts from the correction's day, even where it bears an earlier
/// one; so what is recorded later never changes what was known before.
///
/// Where two books put one fact right differently, one end counts and the others do not, until
/// a person settles it: the strictest, whichever book heard of which first.
#[derive(Debug)]
pub(super) struct View {
    on: Option<Date>,
    replaced: HashSet<FactId>,
    not_yet: HashSet<FactId>,
    /// In the order of what they are about.
    clashes: Vec<Clash>,
    /// By an end that does not count, the one that does.
    beaten: HashMap<FactId, FactId>,
    /// Of facts with several corrections, the one that leads to the end that counts.
    leading: HashMap<FactId, FactId>,
    /// Of the corrections read.
    pub(super) sound: Soundness,
}

impl Book {
    /// The facts that were put right in more than one way and not settled since, in the order
    /// of their ids.
    ///
    /// # Errors
    /// A storage error where the book cannot be read.
    pub fn clashes(&self) -> Result<Vec<Clash>, BookError> {
        clashes(&self.connection).map_err(|error| Failure::from(error).at(&self.path))
    }
}

pub(super) fn clashes(book: &Connection) -> rusqlite::Result<Vec<Clash>> {
    Ok(View::read(book, None)?.clashes)
}

impl View {
    /// The day by which it is known; `None` for now.
    pub(super) fn on(&self) -> Option<Date> {
        self.on
    }

    /// `None`: all that is recorded counts.
    pub(super) fn read(book: &Connection, on: Option<Date>) -> rusqlite::Result<Self> {
        Self::read_as(true, on, book)
    }

    /// In the midst of a transaction whose corrections have no checksums yet: all count.
    pub(super) fn amid(book: &Connection) -> rusqlite::Result<Self> {
        Self::read_as(false, None, book)
    }

    fn read_as(is_sealed: bool, on: Option<Date>, book: &Connection) -> rusqlite::Result<Self> {
        let mut view = Self {
            on,
            replaced: HashSet::new(),
            not_yet: HashSet::new(),
            clashes: Vec::new(),
            beaten: HashMap::new(),
            leading: HashMap::new(),
            sound: Soundness::default(),
        };
        let columns =
            format!("id, replaced, replacement, recorded_on, kind, why, by_whom, place, {SEALS}");
        let mut words = Words::default();
        let mut steps = Vec::new();
        let mut forked = false;
        let mut sealer = Sealer::of_list(&columns);
        let mut corrections = book.prepare_cached(&format!("SELECT {columns} FROM correction"))?;
        let mut rows = corrections.query([])?;
        while let Some(row) = rows.next()? {
            let mut fields = Fields::of(row, &mut words);
            if is_sealed && view.sound.see("correction", &mut sealer, fields.cells())?.is_none() {
                continue;
            }
            let (correction, replaced) = (fields.id()?, fields.id()?);
            let step = Step { correction, replaced, replacement: fields.maybe_id()? };
            if view.reaches(fields.day()?) {
                forked |= !view.replaced.insert(replaced);
                steps.push(step);
            } else {
                view.not_yet.extend(step.replacement);
            }
        }
        if !view.not_yet.is_empty() {
            // One that settles several counts from the first day on which it settles one.
            steps.iter().filter_map(|step| step.replacement).for_each(|id| {
                view.not_yet.remove(&id);
            });
        }
        if forked {
            view.decide(&Branches::of(steps), book)?;
        }
        Ok(view)
    }

    fn decide(&mut self, branches: &Branches, book: &Connection) -> rusqlite::Result<()> {
        let mut seen = HashSet::new();
        for fork in branches.forks() {
            let ends = branches.ends_around(fork);
            if !seen.insert(ends.first) {
                continue;
            }
            let first_end = || ends.facts.first().or(ends.withdrawals.first()).copied();
            let standing = match clash(&ends, book)? {
                Some(clash) => {
                    let standing = clash.standing().id();
                    let losing = ends.facts.iter().copied().filter(|end| *end != standing);
                    self.beaten.extend(losing.map(|end| (end, standing)));
                    self.clashes.push(clash);
                    Some(standing)
                }
                None => first_end(),
            };
            self.leading.extend(standing.into_iter().flat_map(|end| branches.ways_to(end)));
        }
        self.replaced.extend(self.beaten.keys());
        self.clashes.sort_by_key(|clash| clash.of);
        Ok(())
    }

    pub(super) fn counts(&self, id: FactId, recorded_on: Date) -> bool {
        self.reaches(recorded_on) && !self.replaced.contains(&id) && !self.not_yet.contains(&id)
    }

    /// Whether the fact was known at all, counting or not.
    pub(super) fn knows(&self, id: FactId, recorded_on: Date) -> bool {
        self.reaches(recorded_on) && !self.not_yet.contains(&id)
    }

    pub(super) fn reaches(&self, day: Date) -> bool {
        self.on.is_none_or(|last| day <= last)
    }

    /// Of the corrections of one fact, the one that tells what became of it.
    pub(super) fn leading(&self, mut corrections: Vec<Correction>) -> Option<Correction> {
        corrections.retain(|correction| self.reaches(correction.recorded_on));
        let leads = |correction: &Correction| {
            self.leading.get(&correction.replaced).is_some_and(|id| *id == correction.id)
        };
        corrections
            .into_iter()
            .min_by_key(|correction| (!leads(correction), correction.recorded_on, correction.id))
    }

    /// What counts instead of a fact that is an end of a clash and does not count.
    pub(super) fn beaten_by(&self, id: FactId) -> Option<FactId> {
        self.beaten.get(&id).copied()
    }
}
