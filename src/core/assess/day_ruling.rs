//! The one ruling of a cut's day: what was allowed that morning, and how all that was cut on
//! the day stood to it. Whoever speaks of a cut and its limit has the figures from here.

use std::borrow::Cow;

use jiff::civil::Date;

use super::Prepared;
use crate::pressure::DayTake;
use crate::records::{Cut, Fact};
use crate::regrowth::{Course, DayByDay};
use crate::rules::{Case, Reason, Ruling, Verdict, rule_on};
use crate::units::is_over;

/// How what was cut from one patch on one day stood to what was allowed before anything was
/// cut. What happened later has no part in it, nor what was said of the crop later, nor has what was set aside for other walks: a
/// promise binds who comes before it, and nobody afterwards can tell which promise stood.
#[derive(Clone, Debug, PartialEq)]
pub struct DayRuling {
    /// Which day.
    pub day: Date,
    /// What was taken against what was allowed.
    pub take: DayTake,
    /// Who cut, as far as anyone wrote it down.
    pub people: Option<u32>,
    /// What every rule said that morning.
    pub morning: Ruling,
}

/// A [`DayRuling`] without what each rule said.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayFigures {
    /// Which day.
    pub day: Date,
    /// What was taken against what was allowed.
    pub take: DayTake,
    /// Who cut, as far as anyone wrote it down.
    pub people: Option<u32>,
    /// What became of the patch that morning.
    pub morning: Verdict,
}

impl DayFigures {
    /// Whether the patch might be cut that morning.
    pub fn was_open(&self) -> bool {
        self.morning == Verdict::Open
    }
}

impl DayRuling {
    /// The same without what each rule said.
    pub fn figures(&self) -> DayFigures {
        let Self { day, take, people, ref morning } = *self;
        DayFigures { day, take, people, morning: morning.verdict }
    }

    /// Whether more was cut than the patch could bear that morning. A cut over the day's limit is
    /// so unless the occupier's word alone set a limit that it passed.
    pub fn is_past_bearing(&self) -> bool {
        let passed = |most: Option<f64>| most.is_some_and(|most| is_over(self.take.taken, most));
        self.take.is_over() && (passed(self.morning.bearable()) || !passed(self.morning.agreed()))
    }
}

/// What one party cut, as far as a ruling asks.
#[derive(Clone, Copy, Debug)]
pub(super) struct Basket<'a> {
    /// In the crop's measure.
    pub amount: f64,
    pub people: Option<u32>,
    pub method: Option<&'a str>,
    /// A walk spreads its parties over its patches, so that they come in turns.
    pub on_walk: bool,
}

impl<'a> From<&'a Cut> for Basket<'a> {
    fn from(cut: &'a Cut) -> Self {
        Self {
            amount: cut.amount.value,
            people: cut.people,
            method: cut.method.as_deref(),
            on_walk: cut.walk.is_some(),
        }
    }
}

/// The ruling of every day with a cut among these, which are of one patch and in the order of
/// their days.
pub fn day_rulings(patch: &Prepared, cuts: &[&Fact<Cut>]) -> Vec<DayRuling> {
    let by_day = cuts.chunk_by(|a, b| a.happened_on == b.happened_on);
    let mut played = patch.day_by_day();
    let of_day = |cuts: &[&Fact<Cut>]| {
        let baskets = baskets(cuts.iter().map(|cut| &cut.record));
        day_ruling(patch, &mut played, cuts[0].happened_on, &baskets, true)
    };
    by_day.map(of_day).collect()
}

fn baskets<'a>(cuts: impl Iterator<Item = &'a Cut>) -> Vec<Basket<'a>> {
    cuts.map(Basket::from).collect()
}

/// The figures of a day on which these were cut, and why the patch was shut if it was and something
/// was taken: few days of a book need the rules' reasons, which take longer to word than to find.
pub(super) fn day_with_reason(
    patch: &Prepared,
    played: &mut DayByDay,
    cuts: &[Fact<Cut>],
) -> (DayFigures, Option<Box<Reason>>) {
    let (day, baskets) = (cuts[0].happened_on, baskets(cuts.iter().map(|cut| &cut.record)));
    let figures = day_figures(patch, played, day, &baskets);
    let is_asked = figures.take.is_over() && !figures.was_open();
    let why = is_asked
        .then(|| day_ruling(patch, played, day, &baskets, true).morning.why().clone().into());
    (figures, why)
}

/// The figures of a day on which all of this was cut.
pub(super) fn day_figures(
    patch: &Prepared,
    played: &mut DayByDay,
    day: Date,
    baskets: &[Basket],
) -> DayFigures {
    day_ruling(patch, played, day, baskets, false).figures()
}

/// The ruling of a day on which all of this was cut, with the rules' reasons where someone reads
/// them. `played` is the patch's, for this day or an earlier one.
fn day_ruling(
    patch: &Prepared,
    played: &mut DayByDay,
    day: Date,
    baskets: &[Basket],
    in_words: bool,
) -> DayRuling {
    let then = patch.as_on(day);
    let history = then.history.without_cuts_of(day);
    let state = match &then {
        Cow::Borrowed(_) => played.before_cuts_of(day, &patch.history),
        Cow::Owned(then) => Course { history: &history, ..then.course() }.state_on(day),
    };
    let cut_before = then.site_cuts.partition_point(|(cut, _)| *cut < day);
    let people = baskets.iter().filter_map(|basket| basket.people).reduce(u32::saturating_add);
    let case = Case {
        history: &history,
        site_cuts: &then.site_cuts[..cut_before],
        promises: &[],
        site_promises: &[],
        // What was known then; two books met later.
        contested: None,
        in_turns: baskets.iter().any(|basket| basket.on_walk),
        in_words,
        ..then.case_in(state, day, people, None)
    };
    let morning = strictest(&case, baskets);
    let take = DayTake {
        taken: baskets.iter().map(|basket| basket.amount).sum(),
        allowed: morning.most,
        by_share: case.share().filter(|_| !case.is_invasive()).map(|share| share.most()),
        decided_by: morning.binding_rule(),
    };
    DayRuling { day, take, people, morning }
}

/// Where they cut in several ways, the way that was allowed least.
fn strictest(case: &Case, baskets: &[Basket]) -> Ruling {
    let mut methods: Vec<Option<&str>> = baskets.iter().map(|basket| basket.method).collect();
    methods.sort_unstable();
    methods.dedup();
    let rulings = methods.into_iter().map(|method| rule_on(&Case { method, ..*case }));
    let most = |ruling: &Ruling| ruling.most.unwrap_or(f64::INFINITY);
    let least = rulings.min_by(|a, b| most(a).total_cmp(&most(b)));
    least.unwrap_or_else(|| rule_on(case))
}
