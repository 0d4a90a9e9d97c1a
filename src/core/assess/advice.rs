//! Which patches to survey next, and what that is worth.
//!
//! What is at stake is the difference a survey makes to the limit of one day, all rules kept:
//! the first day on which the patch could be cut if it were surveyed now, or the day after
//! its last survey lapses, whichever gains more. The survey is taken to find the crop that is
//! believed to stand there.

use std::cmp::Ordering;
use std::collections::BTreeSet;
use std::sync::Arc;

use jiff::ToSpan;
use jiff::civil::Date;
use rayon::prelude::*;

use super::Prepared;
use super::comeback::{gain_of_a_test, waiting};
use super::if_surveyed::{IfSurveyed, limit_on};
use super::peers::{AllPeers, Peers, coefficient_of_variation};
use crate::crop::{Usefulness, quadrats_for_precision};
use crate::estimate::{Estimate, log_variance};
use crate::records::{Crop, PatchName};
use crate::regrowth::{RecoveryTest, State};
use crate::rules::{Case, Verdict, rule_on};
use crate::units::Measure;

/// Patches that could not be cut within this many days may wait.
pub const HORIZON_DAYS: i64 = 60;

/// The precision that surveys are advised for where nobody asks for another.
pub const PRECISION: f64 = 0.2;

/// Fewer quadrats say too little of the spread.
const FEWEST_QUADRATS: usize = 6;
/// To begin with, where no spread is known.
const FIRST_QUADRATS: usize = 12;

/// Pieces are ranked beside grams as if the least that is worth cutting weighed this much.
const USEFUL_GRAMS: f64 = 50.0;

/// The advice on every patch asked about.
#[derive(Clone, Debug)]
pub struct SurveyAdvice {
    /// The day asked about.
    pub on: Date,
    /// The precision asked for, a part of the mean.
    pub precision: f64,
    /// What gains most a quadrat comes first, what nobody can tell last.
    pub patches: Vec<PatchAdvice>,
    /// Patches that a recovery test would help, in the same order.
    pub tests: Vec<PatchAdvice>,
    /// How many patches are surveyed well enough.
    pub well_enough: usize,
    /// How many could not be cut within the horizon, surveyed or not.
    pub out_of_reach: usize,
}

/// One patch that a survey would help.
#[derive(Clone, Debug, PartialEq)]
pub struct PatchAdvice {
    /// Where to survey.
    pub patch: PatchName,
    /// What grows there.
    pub crop: Arc<Crop>,
    /// What is wrong with what is known of it.
    pub why: WhySurvey,
    /// The day whose limit is at stake.
    pub day: Date,
    /// As many as pay: up to the point of no use, or for the precision asked for if those
    /// are fewer.
    pub quadrats: usize,
    /// For the precision asked for, with the Kupper–Hafner correction; `None` where the
    /// spread is not known, or no number would do.
    pub for_precision: Option<usize>,
    /// What the survey adds to the limit of that day, in the crop's measure; `None` where no
    /// patch of the crop was ever surveyed.
    pub at_stake: Option<f64>,
}

/// Why a survey, or a test, would help.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WhySurvey {
    /// From how many patches of the crop its stand is guessed.
    Never {
        /// How many patches; 0 where nothing can be guessed.
        guessed_from: usize,
    },
    /// The last day on which the last survey was believed.
    Lapsed(Date),
    /// The last day on which it will be.
    Lapses(Date),
    /// The part of the best estimate that doubt takes off the limit.
    Doubt {
        /// 0 to 1.
        costs: f64,
    },
    /// Not a survey but a recovery test would help: nobody knows how fast the patch comes back.
    /// When its second cut tells most; what is at stake is the limit of that day, after a visit
    /// that took all a recovery interval before it.
    Untested {
        /// The day.
        second_cut: Date,
    },
}

enum Found {
    Worth(PatchAdvice),
    WellEnough,
    OutOfReach,
}

impl PatchAdvice {
    /// In the crop's measure.
    pub fn per_quadrat(&self) -> Option<f64> {
        Some(self.at_stake? / self.quadrats as f64)
    }

    /// Grams a quadrat, or what stands for them.
    fn rank(&self) -> f64 {
        let grams = match self.crop.measure {
            Measure::Mass => 1.0,
            Measure::Count => USEFUL_GRAMS / self.crop.smallest_useful.value.value,
        };
        self.per_quadrat().map_or(f64::NEG_INFINITY, |amount| amount * grams)
    }
}

/// Advice on the patches that are `wanted`; all the others help to guess what a patch that
/// was never surveyed carries. `precision` is a part of the mean, 0.2 for ±20 %.
pub fn advise(
    patches: &[Prepared],
    wanted: impl Fn(&Prepared) -> bool + Sync,
    on: Date,
    precision: f64,
) -> SurveyAdvice {
    advise_beside(patches, patches, wanted, on, precision)
}

/// The same where not all of the book's patches are at hand: `others` has every patch of the
/// crops of [`guessed`], the ones asked about among them.
pub fn advise_beside(
    others: &[Prepared],
    patches: &[Prepared],
    wanted: impl Fn(&Prepared) -> bool + Sync,
    on: Date,
    precision: f64,
) -> SurveyAdvice {
    let peers = AllPeers::of(others, on);
    let wanted = |patch: &Prepared| patch.is_kept_on(on) && wanted(patch);
    let mut advice = SurveyAdvice {
        on,
        precision,
        patches: Vec::new(),
        tests: Vec::new(),
        well_enough: 0,
        out_of_reach: 0,
    };
    let found = patches
        .par_iter()
        .filter(|patch| wanted(patch))
        .map(|patch| look_at(patch, peers.of_patch(patch), on, precision));
    let tests =
        patches.par_iter().filter(|patch| wanted(patch)).filter_map(|patch| test(patch, on));
    let tests: Vec<PatchAdvice> = tests.collect();
    for found in found.collect::<Vec<Found>>() {
        match found {
            Found::Worth(found) => advice.patches.push(found),
            Found::WellEnough => advice.well_enough += 1,
            Found::OutOfReach => advice.out_of_reach += 1,
        }
    }
    advice.tests = tests;
    advice.patches.sort_by(by_rank);
    advice.tests.sort_by(by_rank);
    advice
}

/// The crops of which a wanted patch was not surveyed by that day: what it carries is guessed from
/// others of its crop, on whatever site.
pub fn guessed(
    patches: &[Prepared],
    wanted: impl Fn(&Prepared) -> bool,
    on: Date,
) -> BTreeSet<Arc<str>> {
    let unknown = |patch: &&Prepared| {
        patch.is_kept_on(on) && wanted(patch) && patch.course().state_on(on).is_none()
    };
    patches.iter().filter(unknown).map(|patch| patch.crop().name.clone()).collect()
}

fn by_rank(one: &PatchAdvice, other: &PatchAdvice) -> Ordering {
    other.rank().total_cmp(&one.rank()).then_with(|| one.patch.cmp(&other.patch))
}

impl SurveyAdvice {
    /// Surveys and tests together, what gains most a quadrat first.
    pub fn ranked(&self) -> Vec<&PatchAdvice> {
        let mut all: Vec<&PatchAdvice> = self.patches.iter().chain(&self.tests).collect();
        all.sort_by(|one, other| by_rank(one, other));
        all
    }
}

/// The same advice for one patch that was surveyed, if a survey would help it.
pub(super) fn advise_on(patch: &Prepared, on: Date) -> Option<PatchAdvice> {
    patch.course().state_on(on)?;
    match look_at(patch, Peers::default(), on, PRECISION) {
        Found::Worth(advice) => Some(advice),
        Found::WellEnough | Found::OutOfReach => None,
    }
}

fn look_at(patch: &Prepared, peers: Peers, on: Date, precision: f64) -> Found {
    let case = patch.case(on, None, None);
    if case.is_invasive() {
        return Found::WellEnough;
    }
    let known = case.state.map(|state| state.last_survey.estimate);
    match known.or_else(|| peers.estimate(&patch.extent, FIRST_QUADRATS)) {
        Some(expected) => weigh(patch, &case, expected, peers, precision),
        None => without_peers(patch, &case),
    }
}

fn weigh(patch: &Prepared, case: &Case, expected: Estimate, peers: Peers, precision: f64) -> Found {
    let cv = coefficient_of_variation(&expected);
    let if_surveyed =
        |log_variance| IfSurveyed::of(patch, case, expected, log_variance, HORIZON_DAYS);
    let Some(without_doubt) = if_surveyed(0.0) else { return Found::OutOfReach };
    let usefulness = Usefulness {
        cv,
        z: State::LOW_BOUND_Z,
        limit_without_doubt: without_doubt.limit_on(without_doubt.opens),
        smallest_useful: case.smallest_useful(),
    };
    let for_precision = quadrats_for_precision(cv, precision);
    let enough = usefulness.enough().min(for_precision.unwrap_or(usize::MAX));
    let quadrats = at_most_plants(patch, enough.max(FEWEST_QUADRATS));
    let doubt_left = log_variance(cv / (quadrats as f64).sqrt());
    let Some(surveyed) = if_surveyed(doubt_left) else { return Found::OutOfReach };
    let (day, at_stake) = stake(case, &surveyed);
    if at_stake < case.smallest_useful() {
        return Found::WellEnough;
    }
    Found::Worth(PatchAdvice {
        patch: case.patch.name.clone(),
        crop: patch.crop().clone(),
        why: why(case, day, peers),
        day,
        quadrats,
        for_precision: for_precision.map(|quadrats| at_most_plants(patch, quadrats)),
        at_stake: Some(at_stake),
    })
}

/// A recovery test by pairs, where it would add a useful amount: two visits, and on the second
/// twice as many squares to be cut.
fn test(patch: &Prepared, on: Date) -> Option<PatchAdvice> {
    if waiting(patch, on).next().is_some() {
        return None;
    }
    let case = Case { in_words: false, ..patch.case(on, None, None) };
    let (gain, when) = gain_of_a_test(patch, &case)?;
    if gain < case.smallest_useful() || rule_on(&case).verdict != Verdict::Open {
        return None;
    }
    Some(PatchAdvice {
        patch: case.patch.name.clone(),
        crop: patch.crop().clone(),
        why: WhySurvey::Untested { second_cut: when.best_day },
        day: when.best_day,
        quadrats: 3 * RecoveryTest::ADVISED_SQUARES as usize,
        for_precision: None,
        at_stake: Some(gain),
    })
}

/// The day on which a survey adds most to the limit, and how much.
fn stake(case: &Case, surveyed: &IfSurveyed) -> (Date, f64) {
    let horizon = case.day.checked_add(HORIZON_DAYS.days()).unwrap_or(Date::MAX);
    let lapsed = believed_until(case).and_then(|last| last.tomorrow().ok());
    let after_lapse = lapsed.filter(|day| (surveyed.opens..=horizon).contains(day));
    let gain = |day| surveyed.limit_on(day) - limit_on(case, day);
    let now = (surveyed.opens, gain(surveyed.opens));
    after_lapse.map(|day| (day, gain(day))).filter(|then| then.1 > now.1).unwrap_or(now)
}

fn why(case: &Case, day: Date, peers: Peers) -> WhySurvey {
    match (believed_until(case), case.on(day).state) {
        (Some(last), _) if last < case.day => WhySurvey::Lapsed(last),
        (Some(last), _) if last < day => WhySurvey::Lapses(last),
        (_, Some(state)) => WhySurvey::Doubt { costs: 1.0 - state.low() / state.standing },
        (_, None) => WhySurvey::Never { guessed_from: peers.patches },
    }
}

fn believed_until(case: &Case) -> Option<Date> {
    case.state.map(|state| case.terms.valid_until(state.last_survey.day))
}

/// A first survey of a crop of which nothing at all is known.
fn without_peers(patch: &Prepared, case: &Case) -> Found {
    /// So much that only the rules that know nothing of the crop can keep the patch shut.
    const PLENTY: f64 = 1e9;
    let plenty = Estimate { best: PLENTY, standard_error: 0.0, degrees_of_freedom: 1.0, n: 2 };
    let Some(surveyed) = IfSurveyed::of(patch, case, plenty, 0.0, HORIZON_DAYS) else {
        return Found::OutOfReach;
    };
    Found::Worth(PatchAdvice {
        patch: case.patch.name.clone(),
        crop: patch.crop().clone(),
        why: WhySurvey::Never { guessed_from: 0 },
        day: surveyed.opens,
        quadrats: at_most_plants(patch, FIRST_QUADRATS),
        for_precision: None,
        at_stake: None,
    })
}

fn at_most_plants(patch: &Prepared, quadrats: usize) -> usize {
    patch.extent.plants.map_or(quadrats, |plants| quadrats.min(plants as usize))
}
