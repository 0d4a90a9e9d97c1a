//! What the coming fortnight allows on each patch, and what a deed changes of it.

use std::sync::Arc;

use jiff::ToSpan;
use jiff::civil::Date;
use rayon::prelude::*;

use super::{Prepared, UnknownCrop, prepare};
use crate::catalogue::Catalogue;
use crate::records::{Crop, Ledger, PatchName};
use crate::rules::{Case, Promise, Verdict, promises_not_kept, rule_on};

/// How many days are looked at, the first among them.
const DAYS: i64 = 14;

/// What may be cut on each of the coming days, if nothing happens till then but what is promised.
#[derive(Clone, Debug)]
pub struct Outlook {
    first: Date,
    last: Date,
    patches: Vec<PatchAhead>,
}

#[derive(Clone, Debug)]
struct PatchAhead {
    patch: PatchName,
    crop: Arc<Crop>,
    days: Vec<DayAhead>,
    /// Promises that find less than their amount on their day, however far ahead.
    unkept: Vec<Promise>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct DayAhead {
    verdict: Verdict,
    /// In the crop's measure; 0 unless open, `None` for any amount.
    most: Option<f64>,
}

/// What is otherwise on a patch, from a first day to a last one.
#[derive(Clone, Debug, PartialEq)]
pub struct Effect {
    /// Where.
    pub patch: PatchName,
    /// What grows there.
    pub crop: Arc<Crop>,
    /// The first day on which it is otherwise.
    pub first: Date,
    /// The last.
    pub last: Date,
    /// What is otherwise.
    pub what: Shift,
}

/// Amounts are those of the first day, in the crop's measure; `None` for any amount.
#[derive(Clone, Debug, PartialEq)]
pub enum Shift {
    /// It may not be cut, where it might have been.
    Shut {
        /// What keeps it shut.
        verdict: Verdict,
        /// What might be cut.
        was: Option<f64>,
    },
    /// It is a patch no longer, where it might have been cut.
    Gone {
        /// What might be cut.
        was: Option<f64>,
    },
    /// It may be cut, where it might not have been.
    Open {
        /// What kept it shut.
        was: Verdict,
        /// What may be cut.
        most: Option<f64>,
    },
    /// It is a patch that was none before, and may be cut.
    New {
        /// What may be cut.
        most: Option<f64>,
    },
    /// Another amount may be cut.
    Most {
        /// What might be cut.
        was: Option<f64>,
        /// What may be cut.
        is: Option<f64>,
    },
    /// What was promised is no longer found on its day.
    Unkept(Promise),
    /// What was promised is found on its day after all.
    Kept(Promise),
}

/// What a deed changes, and until when was looked.
#[derive(Clone, Debug, PartialEq)]
pub struct Effects {
    /// The first day that was looked at.
    pub first: Date,
    /// The last.
    pub last: Date,
    /// By patch, then by day; empty where nothing is otherwise.
    pub all: Vec<Effect>,
}

impl Outlook {
    /// From `on` on, for every patch of the ledger.
    ///
    /// # Errors
    /// A patch whose crop is not in the catalogue.
    pub fn of(ledger: &Ledger, catalogue: &Catalogue, on: Date) -> Result<Self, UnknownCrop> {
        let prepared = prepare(ledger, catalogue, on)?;
        let days: Vec<Date> = (0..DAYS).filter_map(|n| on.checked_add(n.days()).ok()).collect();
        let last = days.last().copied().unwrap_or(on);
        let patches = prepared.par_iter().map(|patch| PatchAhead::of(patch, &days)).collect();
        Ok(Self { first: on, last, patches })
    }

    /// What is otherwise than in an earlier outlook from the same day.
    pub fn effects_since(&self, before: &Self) -> Effects {
        let now = self.patches.iter();
        let now = now.flat_map(|patch| patch.shifts_since(before.patch(&patch.patch), self.first));
        let gone = before.patches.iter().filter(|patch| self.patch(&patch.patch).is_none());
        let gone = gone.flat_map(|patch| patch.gone(self.first));
        let mut effects: Vec<Effect> = now.chain(gone).collect();
        for patch in &self.patches {
            effects.extend(patch.promises_since(before.patch(&patch.patch)));
        }
        Effects { first: self.first, last: self.last, all: effects }
    }

    fn patch(&self, name: &PatchName) -> Option<&PatchAhead> {
        self.patches.iter().find(|patch| patch.patch == *name)
    }
}

impl PatchAhead {
    fn of(patch: &Prepared, days: &[Date]) -> Self {
        let case = Case { in_words: false, ..patch.case(days[0], None, None) };
        let ahead = |day: &Date| {
            let ruling = rule_on(&case.on(*day));
            DayAhead { verdict: ruling.verdict, most: ruling.most }
        };
        Self {
            patch: patch.facts.patch.record.name.clone(),
            crop: patch.crop().clone(),
            days: days.iter().map(ahead).collect(),
            unkept: unkept(&case),
        }
    }

    fn shifts_since(&self, before: Option<&Self>, first: Date) -> Vec<Effect> {
        let was = |n: usize| before.and_then(|before| before.days.get(n)).copied();
        let shift = |(n, is): (usize, &DayAhead)| self.shift(was(n), *is);
        self.runs(first, self.days.iter().enumerate().map(shift))
    }

    fn gone(&self, first: Date) -> Vec<Effect> {
        let gone = |is: &DayAhead| is.is_open().then_some(Shift::Gone { was: is.most });
        self.runs(first, self.days.iter().map(gone))
    }

    /// What is otherwise on one day, if anything is that people read as a difference.
    fn shift(&self, was: Option<DayAhead>, is: DayAhead) -> Option<Shift> {
        let Some(was) = was else {
            return is.is_open().then_some(Shift::New { most: is.most });
        };
        match (was.is_open(), is.is_open()) {
            (true, false) => Some(Shift::Shut { verdict: is.verdict, was: was.most }),
            (false, true) => Some(Shift::Open { was: was.verdict, most: is.most }),
            (true, true) if self.shown(was.most) != self.shown(is.most) => {
                Some(Shift::Most { was: was.most, is: is.most })
            }
            _ => None,
        }
    }

    fn shown(&self, most: Option<f64>) -> Option<String> {
        most.map(|most| self.crop.show(most))
    }

    /// Days in a row that shift alike, with what the first of them is.
    fn runs(&self, first: Date, shifts: impl Iterator<Item = Option<Shift>>) -> Vec<Effect> {
        let mut runs: Vec<Effect> = Vec::new();
        for (n, what) in (0_i64..).zip(shifts) {
            let (Some(what), Ok(day)) = (what, first.checked_add(n.days())) else { continue };
            match runs.last_mut() {
                Some(run)
                    if run.last.tomorrow().is_ok_and(|next| next == day)
                        && run.what.is_like(&what) =>
                {
                    run.last = day;
                }
                _ => runs.push(Effect {
                    patch: self.patch.clone(),
                    crop: self.crop.clone(),
                    first: day,
                    last: day,
                    what,
                }),
            }
        }
        runs
    }

    fn promises_since(&self, before: Option<&PatchAhead>) -> Vec<Effect> {
        let was = before.map_or(&[][..], |before| &before.unkept);
        let effect = |promise: &Promise, what: fn(Promise) -> Shift| Effect {
            patch: self.patch.clone(),
            crop: self.crop.clone(),
            first: promise.day,
            last: promise.day,
            what: what(promise.clone()),
        };
        let is_among = |all: &[Promise], one: &Promise| {
            all.iter().any(|other| other.walk == one.walk && other.day == one.day)
        };
        let new = self.unkept.iter().filter(|promise| !is_among(was, promise));
        let over = was.iter().filter(|promise| !is_among(&self.unkept, promise));
        new.map(|promise| effect(promise, Shift::Unkept))
            .chain(over.map(|promise| effect(promise, Shift::Kept)))
            .collect()
    }
}

impl DayAhead {
    fn is_open(self) -> bool {
        self.verdict == Verdict::Open
    }
}

impl Shift {
    /// Whether both are told in one sentence: their amounts may differ.
    fn is_like(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Shut { verdict, .. }, Self::Shut { verdict: other, .. }) => verdict == other,
            (Self::Open { was, .. }, Self::Open { was: other, .. }) => was == other,
            (Self::Most { was, is }, Self::Most { was: other_was, is: other_is }) => {
                let is_more = |was: &Option<f64>, is: &Option<f64>| {
                    is.unwrap_or(f64::INFINITY) > was.unwrap_or(f64::INFINITY)
                };
                is_more(was, is) == is_more(other_was, other_is)
            }
            (Self::Gone { .. }, Self::Gone { .. }) | (Self::New { .. }, Self::New { .. }) => true,
            _ => false,
        }
    }
}

/// Promises that find less than their amount on their day, or the patch shut.
pub(super) fn unkept(case: &Case) -> Vec<Promise> {
    let mut unkept = promises_not_kept(case);
    for promise in case.promises_coming() {
        let on_its_day = Case { promises: &[], site_promises: &[], ..case.on(promise.day) };
        let is_shut = match rule_on(&on_its_day).verdict {
            Verdict::Open | Verdict::Resting | Verdict::Held => false,
            Verdict::OutOfSeason | Verdict::NotKnown | Verdict::NoPermission | Verdict::Closed => {
                true
            }
        };
        if is_shut && !unkept.contains(promise) {
            unkept.push(promise.clone());
        }
    }
    unkept
}
