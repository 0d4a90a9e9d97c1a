//! A cut that is not yet in the book: how it stands to its limit, and what it spends.
//!
//! Whoever brings a cut, its charge is settled here, so that a cut of equal content spends the
//! same whether it was typed, loaded or brought back from a walk.

use std::borrow::Cow;
use std::collections::HashMap;
use std::sync::Arc;

use jiff::civil::Date;

use super::Prepared;
use super::day_ruling::{Basket, DayFigures, day_figures};
use super::prepared::DatedAmounts;
use crate::records::{Taken, WalkName};
use crate::regrowth::{DayByDay, Event, Eyes, Growth, Seen, State, Terms};
use crate::rules::{Case, Ruling, Verdict, rule_on};
use crate::units::is_over;

/// What is known of a cut before it is recorded.
#[derive(Clone, Debug, PartialEq)]
pub struct NewCut<'a> {
    /// When.
    pub day: Date,
    /// In the crop's measure.
    pub amount: f64,
    /// How many cut; `None` where nobody said.
    pub people: Option<u32>,
    /// How they cut; `None` where nobody said.
    pub method: Option<&'a str>,
    /// On which walk, if on one.
    pub walk: Option<&'a WalkName>,
    /// Who cut, for the eyes that looks are told by.
    pub by: &'a str,
    /// What was said of the share; `None` where nothing was.
    pub said: Option<Taken>,
}

/// How a new cut stands to its limits, and how it is to be recorded: figures alone, since a file
/// may bring a million cuts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CutRuling {
    /// Its day, with all that was cut before it and itself: what `verify` and every report will
    /// say of the day, if nothing else comes to light.
    pub day: DayFigures,
    /// What every rule said just before it: after the day's earlier cuts, beside what is set
    /// aside for other walks.
    pub before: Left,
    /// What it spends. Where nothing was said, or that all was taken: what `Ruling::all_taken`
    /// says, if the patch was open and the amount keeps to what was allowed, else by weight.
    /// Whoever said `part` or a count is believed; the state charges a count by weight too if
    /// the basket is over the share's limit.
    pub taken: Taken,
}

/// What all rules together left for a cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Left {
    /// What might be done that day.
    pub verdict: Verdict,
    /// In the crop's measure; 0 unless open, `None` for no upper limit.
    pub most: Option<f64>,
}

/// The ruling of one cut from a patch that was prepared for the cut's day or a later one.
///
/// Not for a fact that was recorded before and comes back from a file under its own id: that
/// one's `taken` was settled when it was first recorded, by what was known then.
pub fn rule_cut(patch: &Prepared, cut: &NewCut) -> CutRuling {
    let earlier = recorded(patch, cut.day);
    rule_after(patch, &mut patch.day_by_day(), cut, earlier)
}

/// The rulings of several new cuts, each by what the ones before it leave; `patch` says of which
/// of `prepared` each is. They are ruled by day, on one day in the order given, and returned in
/// the order given. `prepared` has taken them in afterwards: every patch of their sites must be
/// in it, so that a site's caps are counted over all of them.
pub fn rule_cuts(prepared: &mut [Prepared], cuts: &[(usize, NewCut)]) -> Vec<CutRuling> {
    let mut order: Vec<usize> = (0..cuts.len()).collect();
    order.sort_by_key(|&n| cuts[n].1.day);
    let models: Vec<Model> = prepared.iter().map(Model::of).collect();
    let mut played: Vec<DayByDay> = models.iter().map(Model::day_by_day).collect();
    let mut shared = SharedCuts::taken_from(prepared);
    let mut rulings: Vec<Option<CutRuling>> = vec![None; cuts.len()];
    for (place, &n) in order.iter().enumerate() {
        let (patch, cut) = &cuts[n];
        let earlier_ones = order[..place].iter().map(|&n| &cuts[n]);
        let of_day = earlier_ones.rev().take_while(|(_, earlier)| earlier.day == cut.day);
        let same = of_day.filter(|(other, _)| other == patch);
        let mut new: Vec<Basket> = same.map(|(_, earlier)| earlier.basket()).collect();
        new.reverse();
        let mut earlier = recorded(&prepared[*patch], cut.day);
        earlier.extend(new);
        shared.lend_to(*patch, prepared);
        let ruling = rule_after(&prepared[*patch], &mut played[*patch], cut, earlier);
        let seen = Seen::Cut { amount: cut.amount, taken: ruling.taken, people: cut.people };
        prepared[*patch].history.add(Event { day: cut.day, by: cut.by.into(), seen });
        shared.add(*patch, cut, prepared);
        rulings[n] = Some(ruling);
    }
    shared.give_back(prepared);
    rulings.into_iter().flatten().collect()
}

/// What stood on a patch on a day, by what is recorded of it so far: of each pair of a patch's
/// position and a day. `None` before its first survey.
pub fn stood_before(
    prepared: &[Prepared],
    asked: impl Iterator<Item = (usize, Date)>,
) -> Vec<Option<State>> {
    let asked: Vec<(usize, Date)> = asked.collect();
    let mut order: Vec<usize> = (0..asked.len()).collect();
    // A history is played once for all the days that are asked about in their order.
    order.sort_unstable_by_key(|&n| asked[n]);
    let mut stood = vec![None; asked.len()];
    for of_patch in order.chunk_by(|&one, &other| asked[one].0 == asked[other].0) {
        let patch = &prepared[asked[of_patch[0]].0];
        let mut played = patch.day_by_day();
        for &n in of_patch {
            stood[n] = played.state_on(asked[n].1, &patch.history);
        }
    }
    stood
}

impl<'a> NewCut<'a> {
    fn basket(&self) -> Basket<'a> {
        Basket {
            amount: self.amount,
            people: self.people,
            method: self.method,
            on_walk: self.walk.is_some(),
        }
    }

    fn taken(&self, before: &Ruling) -> Taken {
        let most = before.most.unwrap_or(f64::INFINITY);
        let is_open = before.verdict == Verdict::Open;
        let keeps = is_open && self.amount > 0.0 && !is_over(self.amount, most);
        match self.said {
            Some(said @ (Taken::ByWeight | Taken::OneIn(_))) => said,
            Some(Taken::All) | None if keeps => before.all_taken(),
            Some(Taken::All) | None => Taken::ByWeight,
        }
    }
}

/// What a patch's history is played by, apart from the patch, whose history grows meanwhile.
struct Model {
    terms: Terms,
    growth: Arc<Growth>,
    eyes: Arc<Eyes>,
}

impl Model {
    fn of(patch: &Prepared) -> Self {
        Self { terms: patch.terms, growth: patch.growth.clone(), eyes: patch.eyes.clone() }
    }

    fn day_by_day(&self) -> DayByDay<'_> {
        DayByDay::new(&self.terms, &self.growth, &self.eyes)
    }
}

/// What the book has of the same day.
fn recorded<'a>(patch: &Prepared<'a>, day: Date) -> Vec<Basket<'a>> {
    let cuts = &patch.facts.cuts;
    let since = cuts.partition_point(|cut| cut.happened_on < day);
    let of_day = cuts[since..].iter().take_while(|cut| cut.happened_on == day);
    of_day.map(|cut| Basket::from(&cut.record)).collect()
}

fn rule_after<'a>(
    patch: &Prepared,
    played: &mut DayByDay,
    cut: &NewCut<'a>,
    mut baskets: Vec<Basket<'a>>,
) -> CutRuling {
    let then = patch.as_on(cut.day);
    let state = match &then {
        Cow::Borrowed(_) => played.state_on(cut.day, &patch.history),
        Cow::Owned(then) => then.course().state_on(cut.day),
    };
    let case = then.case_in(state, cut.day, cut.people, cut.method);
    let before = rule_on(&Case { in_turns: cut.walk.is_some(), in_words: false, ..case });
    baskets.push(cut.basket());
    CutRuling {
        day: day_figures(patch, played, cut.day, &baskets),
        taken: cut.taken(&before),
        before: Left { verdict: before.verdict, most: before.most },
    }
}

/// The cuts that the patches of one crop on one site share. They are lent to the patch that is
/// ruled alone: a table may bring a hundred thousand, and a list that others hold too would have to
/// be copied for each.
struct SharedCuts {
    lists: Vec<DatedAmounts>,
    /// By the patch's position.
    list_of: Vec<usize>,
}

impl SharedCuts {
    fn taken_from(prepared: &mut [Prepared]) -> Self {
        let mut at = HashMap::new();
        let (mut lists, mut list_of) = (Vec::new(), Vec::with_capacity(prepared.len()));
        let none = DatedAmounts::default();
        for patch in prepared {
            let (site, crop) = (patch.site.site.record.name.clone(), patch.crop().name.clone());
            let cuts = std::mem::replace(&mut patch.site_cuts, none.clone());
            list_of.push(*at.entry((site, crop)).or_insert_with(|| {
                lists.push(cuts);
                lists.len() - 1
            }));
        }
        Self { lists, list_of }
    }

    fn lend_to(&self, patch: usize, prepared: &mut [Prepared]) {
        prepared[patch].site_cuts = self.lists[self.list_of[patch]].clone();
    }

    /// Takes back what was lent to the patch, with a cut that is about to be recorded.
    fn add(&mut self, patch: usize, cut: &NewCut, prepared: &mut [Prepared]) {
        prepared[patch].site_cuts = DatedAmounts::default();
        let cuts = Arc::make_mut(&mut self.lists[self.list_of[patch]]);
        cuts.insert(cuts.partition_point(|(day, _)| *day <= cut.day), (cut.day, cut.amount));
    }

    fn give_back(self, prepared: &mut [Prepared]) {
        (0..prepared.len()).for_each(|patch| self.lend_to(patch, prepared));
    }
}
