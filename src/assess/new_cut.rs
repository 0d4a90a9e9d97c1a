//! A cut that is not yet in the book: how it stands to its limit, and what it spends.
//!
//! Whoever brings a cut, its charge is settled here, so that a cut of equal content spends the
//! same whether it was typed, loaded or brought back from a walk.

use std::borrow::Cow;
use std::sync::Arc;

use jiff::civil::Date;

use super::Prepared;
use super::day_ruling::{Basket, DayFigures, day_figures};
use super::prepared::DatedAmounts;
use crate::records::{SiteFacts, Taken, WalkName};
use crate::regrowth::{DayByDay, Event, Eyes, Growth, Seen, Terms};
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
        let ruling = rule_after(&prepared[*patch], &mut played[*patch], cut, earlier);
        take_in(prepared, *patch, cut, ruling.taken);
        rulings[n] = Some(ruling);
    }
    rulings.into_iter().flatten().collect()
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

/// Lets the patch, and the rest of its site, know of a cut that is about to be recorded.
fn take_in(prepared: &mut [Prepared], at: usize, cut: &NewCut, taken: Taken) {
    let seen = Seen::Cut { amount: cut.amount, taken, people: cut.people };
    prepared[at].history.add(Event { day: cut.day, by: cut.by.into(), seen });
    let (site, crop) = (prepared[at].site, prepared[at].crop().name.clone());
    let is_of_site = |other: &SiteFacts| {
        std::ptr::eq(other, site) || other.site.record.name == site.site.record.name
    };
    // Each of them lets go of the list first, so that it need not be copied for one more cut: a
    // table may bring a hundred thousand.
    let mut on_site = prepared[at].site_cuts.clone();
    let none = DatedAmounts::default();
    let share = |prepared: &mut [Prepared], cuts: &DatedAmounts| {
        let sharing =
            prepared.iter_mut().filter(|it| is_of_site(it.site) && it.crop().name == crop);
        sharing.for_each(|patch| patch.site_cuts = cuts.clone());
    };
    share(prepared, &none);
    let cuts = Arc::make_mut(&mut on_site);
    cuts.insert(cuts.partition_point(|(day, _)| *day <= cut.day), (cut.day, cut.amount));
    share(prepared, &on_site);
}
