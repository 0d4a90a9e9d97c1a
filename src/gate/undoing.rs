//! Taking back the last thing that a hand recorded, and only that hand's.

use super::delivery::Because;
use super::gatekeeper::Gate;
use super::turned::{Question, Turned};
use crate::book::{Act, Decision, Going, Moment, NewFact, Scope};
use crate::records::{Correction, Fact, FactId, HistoryLine, PatchName, Record, Replacement, Walk};
use crate::units::spoken_day;

/// Why a fact no longer counts, or counts again, once its act is undone.
pub const UNDONE: &str = "undone";

/// What one hand recorded last, as far as it still stands.
#[derive(Debug)]
pub struct LastAct {
    /// What it recorded that counts.
    added: Vec<HistoryLine>,
    /// What it put right or took back, and the end of the branch on which that counts again.
    before: Vec<(HistoryLine, FactId)>,
}

/// What became of an act.
#[derive(Clone, Debug, Default)]
pub struct Undone {
    /// What it recorded, and counts no longer.
    pub taken_back: Vec<HistoryLine>,
    /// What counts again as it did.
    pub counts_again: Vec<HistoryLine>,
    /// What parties of a walk were called that is no more.
    pub gone: Vec<String>,
}

impl Gate<'_> {
    /// The last thing that a hand recorded and that was not undone yet.
    ///
    /// # Errors
    /// That there is none.
    pub fn last_act(&self, moment: &Moment, hand: &str) -> Result<LastAct, Turned> {
        for act in moment.acts_of(hand)? {
            let is_undoing = act.corrections.iter().any(|made| &*made.why == UNDONE);
            if is_undoing {
                continue;
            }
            let standing = standing(&act, hand, moment)?;
            if !(standing.added.is_empty() && standing.before.is_empty()) {
                return Ok(standing);
            }
        }
        Err(Turned::Unfit(format!(
            "nothing that `{hand}` typed is left to undo; what came from a file is taken back with \
             `stintbook withdraw` (nothing was recorded)"
        )))
    }

    /// What takes the act back.
    ///
    /// # Errors
    /// That something hangs on it; a question where it was recorded before today.
    pub fn undone(
        &self,
        moment: &Moment,
        act: LastAct,
        hand: &str,
        is_sure: bool,
    ) -> Result<Decision<Undone>, Turned> {
        let newest = act.added.iter().map(|line| line.fact.recorded_on).max();
        if let Some(day) = newest.filter(|day| *day < self.today && !is_sure) {
            return Err(Turned::Questions(vec![Question {
                place: String::new(),
                found: format!(
                    "the last thing that {hand} recorded is of {}: {}",
                    spoken_day(day),
                    act.added.iter().map(told).collect::<Vec<_>>().join("; ")
                ),
                way_out: "say --sure if that is meant".to_owned(),
            }]));
        }
        let because = Because { why: UNDONE, by: hand, recorded_on: None };
        let mut decision = Decision::new(Vec::new(), Vec::new(), Undone::default());
        let mut left: Vec<HistoryLine> = act.added;
        for (line, end) in act.before {
            let fact = self.again(&line);
            let was = left.iter().position(|added| added.fact.id == end);
            let was = was.map(|at| left.remove(at));
            if let Some(was) = &was {
                keeps_its_parties(&was.fact, &line.fact)?;
            }
            decision.corrections.push(self.correction_of(end, fact.fact.id, &line, because));
            decision.answer.taken_back.extend(was);
            decision.answer.counts_again.push(line);
            decision.facts.push(fact);
        }
        let own: Vec<FactId> = left.iter().map(|line| line.fact.id).collect();
        for line in left {
            if let Record::Patch(patch) = &line.fact.record {
                nothing_happened_on(&patch.name, &own, moment)?;
            }
            if let Record::Walk(walk) = &line.fact.record {
                nothing_hangs_on(walk, moment)?;
                let names = moment.attendees(&walk.name)?.into_iter().map(|named| named.name);
                decision.answer.gone.extend(names);
                let walk = walk.name.clone();
                decision.going.push(Going { walk, left: None, on: self.today });
            }
            decision.corrections.push(self.correction(&line.fact, Replacement::Withdrawn, because));
            decision.answer.taken_back.push(line);
        }
        Ok(decision)
    }

    /// The same fact once more, known from today on.
    fn again(&self, line: &HistoryLine) -> NewFact {
        let recorded_on = self.today.max(line.fact.recorded_on);
        let fact = Fact { id: (self.draw)(), recorded_on, ..line.fact.clone() };
        NewFact { key: line.key.clone(), fact }
    }

    fn correction_of(
        &self,
        replaced: FactId,
        by: FactId,
        line: &HistoryLine,
        because: Because,
    ) -> Correction {
        let made = self.correction(&line.fact, Replacement::By(by), because);
        Correction { replaced, ..made }
    }
}

impl LastAct {
    /// The sites that it is about.
    pub fn scope(&self) -> Scope {
        let lines = self.added.iter().chain(self.before.iter().map(|(line, _)| line));
        let mut sites: Vec<_> = lines.map(|line| line.fact.record.site().clone()).collect();
        sites.sort();
        sites.dedup();
        Scope::Sites(sites)
    }
}

/// `the cut 9f3a01c7 of 14 Mar 2027: 650 g …`.
pub fn told(line: &HistoryLine) -> String {
    let fact = &line.fact;
    format!(
        "the {} {} of {}: {}",
        fact.record.kind().name(),
        fact.id.short(),
        spoken_day(fact.happened_on),
        fact.record.gist()
    )
}

/// What of an act still counts, and what it made count no longer.
fn standing(act: &Act, hand: &str, moment: &Moment) -> Result<LastAct, Turned> {
    let mut found = LastAct { added: Vec::new(), before: Vec::new() };
    for id in &act.facts {
        found.added.extend(standing_as(*id, hand, moment)?);
    }
    for made in &act.corrections {
        let end = match made.replacement {
            Replacement::By(id) => standing_as(id, hand, moment)?.map(|line| line.fact.id),
            Replacement::Withdrawn => {
                moment.after_withdrawal(made.id)?.is_none().then_some(made.id)
            }
        };
        if let (Some(end), Some(line)) = (end, moment.fact_of(made.replaced)?) {
            found.before.push((line, end));
        }
    }
    Ok(found)
}

/// The fact itself where it counts, or what an undoing made count again in its place; `None`
/// where it was undone.
fn standing_as(id: FactId, hand: &str, moment: &Moment) -> Result<Option<HistoryLine>, Turned> {
    let Some(first) = moment.fact_of(id)? else { return Ok(None) };
    let mut line = first.clone();
    while !line.counts() {
        let made = line.correction.as_ref();
        let is_undone = made.is_some_and(|made| &*made.why == UNDONE);
        if is_undone && line.fact.id == id {
            return Ok(None);
        }
        let next = match made.map(|made| (made.replacement, made.id)) {
            Some((Replacement::By(next), _)) => moment.fact_of(next)?,
            Some((Replacement::Withdrawn, withdrawal)) => moment.after_withdrawal(withdrawal)?,
            None => None,
        };
        match next {
            Some(next) => line = next,
            None if is_undone => return Ok(None),
            None => return Err(put_right_since(&first, hand, made)),
        }
    }
    if line.fact.record != first.fact.record {
        return Err(put_right_since(&first, hand, first.correction.as_ref()));
    }
    Ok(Some(line))
}

/// What another hand did to the last thing that this one recorded.
fn put_right_since(line: &HistoryLine, hand: &str, made: Option<&Correction>) -> Turned {
    let by = made.map_or("another book".to_owned(), |made| made.by.to_string());
    Turned::Unfit(format!(
        "the last thing that {hand} recorded was put right since, by {by}: {}; `stintbook correct` \
         or `withdraw` says what is so now (nothing was recorded)",
        told(line)
    ))
}

/// Names of parties go by their numbers, and do not come back with them.
fn keeps_its_parties(was: &Fact<Record>, is: &Fact<Record>) -> Result<(), Turned> {
    match (&was.record, &is.record) {
        (Record::Walk(was), Record::Walk(is)) if was.parties != is.parties => {
            Err(Turned::Unfit(format!(
                "`stintbook walk join` or `stintbook walk leave` puts right who comes to `{}`: \
                 names of parties go by their numbers (nothing was recorded)",
                was.name
            )))
        }
        _ => Ok(()),
    }
}

fn nothing_hangs_on(walk: &Walk, moment: &Moment) -> Result<(), Turned> {
    let ledger = moment.ledger(&Scope::Walk(walk.name.to_string()))?;
    if ledger.holds_of(&walk.name).is_empty() && ledger.cuts_of(&walk.name).is_empty() {
        return Ok(());
    }
    Err(Turned::Unfit(format!(
        "something is set aside for `{name}`, or was cut on it; `stintbook walk cancel \"{name}\"` \
         gives up both (nothing was recorded)",
        name = walk.name
    )))
}

/// Beside what is taken back with it, nothing is recorded of the patch.
fn nothing_happened_on(patch: &PatchName, own: &[FactId], moment: &Moment) -> Result<(), Turned> {
    let ledger = moment.ledger(&Scope::Patch(patch.clone()))?;
    let facts = ledger.patches().find(|(_, facts)| facts.patch.record.name == *patch);
    let Some((_, facts)) = facts else { return Ok(()) };
    let redraws = facts.changes.redraws.iter().map(|fact| fact.id);
    let holds = facts.holds.iter().map(|fact| fact.id);
    let mut others = redraws.chain(holds).filter(|id| !own.contains(id));
    if facts.days_told().next().is_none() && others.next().is_none() {
        return Ok(());
    }
    Err(Turned::Unfit(format!(
        "something was recorded of `{patch}` since; take that back first, or `stintbook retire` it \
         (nothing was recorded)"
    )))
}
