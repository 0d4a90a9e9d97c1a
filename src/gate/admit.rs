//! The gate itself: from deliveries to recorded facts, or to what stands in the way.

use std::collections::HashSet;

use rayon::prelude::*;

use super::ahead::{ahead, far_off};
use super::arrival::{Arrival, arrive};
use super::delivery::{Answers, Delivery};
use super::doubles::doubles;
use super::fit::unfit;
use super::gatekeeper::Gate;
use super::limits::{Held, MANY, NewCutRuled, hold_against_limits};
use super::making_ids::with_ids_beside;
use super::places::{Places, Surroundings};
use super::plausible::slip;
use super::sorted::{Change, Fresh, Sorted};
use super::sorting::Sorting;
use super::turned::{Question, Turned};
use crate::book::{Attendee, Decision, Going, Moment, NewFact};
use crate::intake::{Amend, Problem, Problems};
use crate::records::{Correction, Entry, FactId, HistoryLine, Kind, Record, Replacement};

/// Problems of one file that are told in full.
const MOST_SHOWN: usize = 5;

/// What was recorded.
#[derive(Debug, Default)]
pub struct Admitted {
    /// One for each delivery, in their order.
    pub sorted: Vec<Sorted>,
    /// The ids of the new facts.
    pub facts: Vec<FactId>,
    /// How each new cut stood to its limit; of many thousands, a few of each site that are over it.
    pub cuts: Vec<NewCutRuled>,
    /// How many more are over it.
    pub more_over: usize,
    /// What parties were called of whom nobody knows any more: those of earlier walks, where a
    /// new one is called like it, and those that a walk has no longer. Their names are deleted.
    pub gone: Vec<String>,
}

impl Admitted {
    /// What people call the new facts, `, ` between them.
    pub fn short_ids(&self) -> String {
        self.facts.iter().map(|id| id.short()).collect::<Vec<_>>().join(", ")
    }
}

impl Gate<'_> {
    /// What records these things that were typed, for those who record them with others.
    ///
    /// # Errors
    /// Why nothing can be recorded, with the way out.
    pub fn decision(
        &self,
        moment: &Moment,
        answers: &Answers,
        places: Places,
        entries: Vec<Entry>,
    ) -> Result<Decision<Admitted>, Turned> {
        let typed = entries.into_iter().map(Delivery::typed).collect();
        self.decide(moment, answers, places, typed, Tables::none())
    }

    /// What is to be recorded of deliveries of maps, or typed, which were read against `read`, and
    /// of those of tables, which are taken in once the places among the others are recorded.
    pub(super) fn decide(
        &self,
        moment: &Moment,
        answers: &Answers,
        read: Places,
        mut deliveries: Vec<Delivery>,
        tables: Tables,
    ) -> Result<Decision<Admitted>, Turned> {
        let mut questions = Vec::new();
        let mut names = self.first_look(&mut deliveries, &read, moment, answers, &mut questions)?;
        let mut told = told(&mut deliveries, moment, answers)?;
        // Outlive what borrows them.
        let (places_since, surroundings_since);
        let surroundings = Surroundings::of(&read, self.catalogue);
        let mut sorting = Sorting::new(self, answers, moment, &surroundings)?;
        let is_told = told.iter().any(|(new, _)| *new > 0);
        let Tables { mut ahead, anew } = tables;
        let arrive = || arrive(deliveries, &read, is_told, &mut sorting);
        let arrived = match &mut ahead {
            Some(Ok(ahead)) => with_ids_beside(ahead, &surroundings, arrive),
            _ => arrive(),
        };
        let Arrival { mut sorted, places } = arrived?;
        let is_as_read = places.is_none();
        let places = match places {
            None => &read,
            Some(since) => {
                places_since = since;
                surroundings_since = Surroundings::of(&places_since, self.catalogue);
                sorting.surroundings = &surroundings_since;
                &places_since
            }
        };
        let mut deliveries = match ahead {
            Some(ahead) if is_as_read => ahead?,
            _ => anew(places)?,
        };
        names.extend(self.first_look(&mut deliveries, places, moment, answers, &mut questions)?);
        for delivery in &mut deliveries {
            let number = sorted.len();
            let (file, remarks) = (delivery.file.clone(), std::mem::take(&mut delivery.remarks));
            let digest = delivery.digest;
            let mut of_file = Sorted { file, digest, remarks, ..Sorted::default() };
            sorting.sort(number, delivery, &|_| true, &mut of_file)?;
            sorted.push(of_file);
            told.push((0, 0));
        }
        self.may_be(&sorted, places, answers, &mut questions)?;
        let is_empty = sorting.is_empty;
        questions.append(&mut sorting.questions);
        // What it remembers of a million facts is needed no more.
        drop((sorting, deliveries));
        if answers.replace.is_none() {
            unchanged(&mut sorted)?;
        }
        if !answers.again {
            questions.extend(doubles(&sorted, moment, is_empty)?);
        }
        if !questions.is_empty() {
            return Err(Turned::Questions(questions));
        }
        for (sorted, (told, known)) in sorted.iter_mut().zip(told) {
            sorted.told = told;
            sorted.known += known;
        }
        let (going, gone) = self.names_that_go(&sorted, moment)?;
        let decision = self.record(moment, answers, sorted)?;
        let answer = Admitted { gone, ..decision.answer };
        Ok(Decision {
            going,
            names,
            facts: decision.facts,
            corrections: decision.corrections,
            answer,
        })
    }

    /// What can be seen of deliveries before they are held against the book. Gives the names of
    /// parties among them.
    fn first_look(
        &self,
        deliveries: &mut [Delivery],
        places: &Places,
        moment: &Moment,
        answers: &Answers,
        questions: &mut Vec<Question>,
    ) -> Result<Vec<Attendee>, Turned> {
        let cannot_be = self.problems(deliveries, places);
        if !cannot_be.is_empty() {
            return Err(Turned::Problems(cannot_be));
        }
        if !answers.sure {
            questions.extend(far_off(deliveries, self, moment)?);
        }
        Ok(deliveries.iter_mut().flat_map(|delivery| delivery.names.drain(..)).collect())
    }

    /// A new walk inherits no names of an earlier one that was called like it and withdrawn, and
    /// one that was put right keeps none of parties that it has no longer. Gives the names too.
    fn names_that_go(
        &self,
        sorted: &[Sorted],
        moment: &Moment,
    ) -> Result<(Vec<Going>, Vec<String>), Turned> {
        let (mut all, mut names) = (Vec::new(), Vec::new());
        for fresh in sorted.iter().flat_map(|sorted| &sorted.facts) {
            let Record::Walk(walk) = &fresh.fact.fact.record else { continue };
            let is_new = !fresh.replaces
                && !moment.is_put_right_by(fresh.fact.fact.id)?
                && moment.named(Kind::Walk, walk.name.as_str())?.is_empty();
            let (going, gone) = if is_new {
                let gone = moment.attendees(&walk.name)?.into_iter().map(|named| named.name);
                let going = Going { walk: walk.name.clone(), left: None, on: self.today };
                (vec![going], gone.collect())
            } else {
                self.names_beyond(moment, walk)?
            };
            all.extend(going);
            names.extend(gone);
        }
        Ok((all, names))
    }

    /// Places first, so that the limits of cuts are looked up with all that comes with them.
    fn record(
        &self,
        moment: &Moment,
        answers: &Answers,
        mut sorted: Vec<Sorted>,
    ) -> Result<Decision<Admitted>, Turned> {
        let (cuts, others) = apart(&mut sorted);
        let ids: Vec<FactId> = others.iter().chain(&cuts).map(|fresh| fresh.fact.fact.id).collect();
        let corrections = sorted.iter_mut().flat_map(|sorted| sorted.corrections.drain(..));
        let replacing = cuts.iter().filter(|cut| cut.replaces);
        let replacing: HashSet<FactId> = replacing.map(|cut| cut.fact.fact.id).collect();
        let replaces_cut = |made: &Correction| match made.replacement {
            Replacement::By(id) => replacing.contains(&id),
            Replacement::Withdrawn => false,
        };
        let (of_cuts, of_others): (Vec<Correction>, Vec<Correction>) =
            corrections.partition(replaces_cut);
        let others = others.into_iter().filter(|fresh| !fresh.is_recorded);
        let others: Vec<NewFact> = others.map(|fresh| fresh.fact).collect();
        if cuts.is_empty() {
            let answer = Admitted { sorted, facts: ids, ..Admitted::default() };
            return Ok(Decision::new(others, of_others, answer));
        }
        if others.len() > MANY && of_others.is_empty() {
            moment.expects_many(Kind::Survey)?;
        }
        moment.record(&others, &of_others)?;
        drop(others);
        let Held { facts, cuts, more_over } =
            hold_against_limits(cuts, &of_cuts, moment, self, answers)?;
        let answer = Admitted { sorted, facts: ids, cuts, more_over, gone: Vec::new() };
        Ok(Decision::new(facts, of_cuts, answer))
    }

    fn problems(&self, deliveries: &[Delivery], places: &Places) -> Vec<Problems> {
        let catalogue = self.catalogue;
        let of_delivery = |delivery: &Delivery| {
            let entries = delivery.entries.par_iter();
            let mut problems: Vec<Problem> =
                entries.filter_map(|entry| unfit(entry, places, catalogue)).collect();
            let more = problems.len().saturating_sub(MOST_SHOWN);
            problems.truncate(MOST_SHOWN);
            let file = delivery.file.as_deref().unwrap_or_default().to_owned();
            (!problems.is_empty()).then_some(Problems { file, problems, more, gave_up: false })
        };
        deliveries.iter().filter_map(of_delivery).collect()
    }

    /// Asks only about what is new: what the book has, it was asked about before.
    fn may_be(
        &self,
        all: &[Sorted],
        places: &Places,
        answers: &Answers,
        questions: &mut Vec<Question>,
    ) -> Result<(), Turned> {
        let mut cannot_be = Vec::new();
        let (last, catalogue) = (self.last_day(), self.catalogue);
        for sorted in all {
            let file = sorted.file.as_deref().unwrap_or_default();
            let mut problems = Vec::new();
            let look = |fresh: &Fresh| {
                let NewFact { key, fact } = &fresh.fact;
                let problem = ahead(fact.record.kind(), key, fact.happened_on, last);
                let is_asked = !(answers.sure || fresh.sure);
                let asked = is_asked.then(|| slip(&fact.record, key, places, catalogue)).flatten();
                (problem.is_some() || asked.is_some()).then_some((problem, asked))
            };
            let found: Vec<_> = sorted.facts.par_iter().filter_map(look).collect();
            for (problem, asked) in found {
                problems.extend(problem);
                questions.extend(asked.map(|asked| Question { place: file.into(), ..asked }));
            }
            if !problems.is_empty() {
                let more = problems.len().saturating_sub(MOST_SHOWN);
                problems.truncate(MOST_SHOWN);
                cannot_be.push(Problems { file: file.into(), problems, more, gave_up: false });
            }
        }
        if cannot_be.is_empty() { Ok(()) } else { Err(Turned::Problems(cannot_be)) }
    }
}

/// Deliveries of tables.
pub(super) struct Tables<'a> {
    /// As they read against the places that maps were read against and brought.
    pub ahead: Option<Result<Vec<Delivery>, Turned>>,
    /// Reads them against the places as they are, where these are others.
    pub anew: &'a dyn Fn(&Places) -> Result<Vec<Delivery>, Turned>,
}

impl Tables<'_> {
    pub fn none() -> Self {
        Self { ahead: None, anew: &|_| Ok(Vec::new()) }
    }
}

/// What was sorted, the cuts and the rest. A file may bring a million of one kind, so that what it
/// brought is handed on as it is where it can be.
fn apart(sorted: &mut [Sorted]) -> (Vec<Fresh>, Vec<Fresh>) {
    let (mut cuts, mut others) = (Vec::new(), Vec::new());
    for sorted in sorted {
        let facts = std::mem::take(&mut sorted.facts);
        if cuts.is_empty() && facts.iter().all(Fresh::is_cut) {
            cuts = facts;
        } else if others.is_empty() && !facts.iter().any(Fresh::is_cut) {
            others = facts;
        } else {
            for fresh in facts {
                if fresh.is_cut() { cuts.push(fresh) } else { others.push(fresh) }
            }
        }
    }
    (cuts, others)
}

/// Lets the book know what others put right, before anything is held against it; gives how many
/// such corrections each delivery brought that were new, and how many were known.
fn told(
    deliveries: &mut [Delivery],
    moment: &Moment,
    answers: &Answers,
) -> Result<Vec<(usize, usize)>, Turned> {
    if answers.replace.is_none() {
        let mut changes = Vec::new();
        for delivery in &*deliveries {
            let amends = delivery.amends.iter();
            let of_file: Result<Vec<Option<Change>>, Turned> =
                amends.map(|amend| change_told(amend, moment)).collect();
            let of_file: Vec<Change> = of_file?.into_iter().flatten().collect();
            if !of_file.is_empty() {
                changes.push((delivery.file.clone().unwrap_or_default(), of_file));
            }
        }
        if !changes.is_empty() {
            return Err(Turned::Changes(changes));
        }
    }
    let tell = |delivery: &mut Delivery| {
        let amends = std::mem::take(&mut delivery.amends);
        let new = moment.tell(&amends)?;
        Ok((new, amends.len() - new))
    };
    deliveries.iter_mut().map(tell).collect()
}

/// What a correction would change of what counts in the book, if anything.
fn change_told((kind, made): &Amend, moment: &Moment) -> Result<Option<Change>, Turned> {
    let Some(line) = moment.fact_of(made.replaced)?.filter(HistoryLine::counts) else {
        return Ok(None);
    };
    let what = match made.replacement {
        Replacement::By(id) => format!("replaced by {}: {}", id.short(), made.why),
        Replacement::Withdrawn => format!("withdrawn: {}", made.why),
    };
    Ok(Some(Change { kind: *kind, key: line.key, what: vec![what] }))
}

/// Turns back what would change the book without a word that it shall.
fn unchanged(sorted: &mut [Sorted]) -> Result<(), Turned> {
    if sorted.iter().all(|sorted| sorted.changed.is_empty()) {
        return Ok(());
    }
    let changes = sorted.iter_mut().filter(|sorted| !sorted.changed.is_empty());
    let of_file = |sorted: &mut Sorted| {
        (sorted.file.clone().unwrap_or_default(), std::mem::take(&mut sorted.changed))
    };
    Err(Turned::Changes(changes.map(of_file).collect()))
}
