//! What a leader might do otherwise, to be played against the same seasons.

use super::{Demand, Kept, Outcome, Plan, Surveys};
use crate::records::PatchName;

/// One change of a plan.
#[derive(Clone, Debug, PartialEq)]
pub enum Variation {
    /// Survey at other times.
    Survey(Surveys),
    /// Nobody cuts this patch.
    Rest(PatchName),
    /// A recovery test on each begins with the first day.
    Test(Vec<PatchName>),
    /// Walks want half as much.
    AskForHalf,
    /// So many groups for each walk.
    Groups(u32),
    /// Each share a quarter smaller.
    SmallerShares,
}

/// Half of a fast leaf's validity.
const OFTEN_DAYS: i32 = 45;
const SMALLER: f64 = 0.75;
/// A leader has the time for so many tests.
const TESTS: usize = 2;

impl Variation {
    /// Those worth trying on a plan that came to this.
    pub fn of(plan: &Plan, outcome: &Outcome) -> Vec<Self> {
        let surveys = match plan.surveys {
            Surveys::Never => Surveys::WhenLapsed,
            Surveys::WhenLapsed => Surveys::Every { days: OFTEN_DAYS },
            Surveys::Every { days } => Surveys::Every { days: (days / 2).max(1) },
        };
        let weakest = outcome.weakest().filter(|_| outcome.patches.len() > 1);
        let groups = if plan.groups > 1 { plan.groups - 1 } else { 2 };
        let asks_for_so_much = match &plan.demand {
            Demand::AllAllowed => false,
            Demand::Weekly(_) => true,
            Demand::Walks(walks) => walks.iter().any(|walk| !walk.wants.is_empty()),
        };
        let asks = asks_for_so_much.then_some(Self::AskForHalf);
        let rest = weakest.map(|patch| Self::Rest(patch.patch.clone()));
        let tests = tests_worth_most(outcome);
        let test = (!tests.is_empty()).then_some(Self::Test(tests));
        let all = [Some(Self::Survey(surveys)), test, rest, asks];
        let last = [Self::Groups(groups), Self::SmallerShares];
        all.into_iter().flatten().chain(last).collect()
    }

    /// The plan, with this one thing otherwise.
    pub fn applied_to(&self, plan: &Plan) -> Plan {
        let mut plan = plan.clone();
        match self {
            Self::Survey(surveys) => plan.surveys = *surveys,
            Self::Rest(patch) => plan.rested.push(patch.clone()),
            Self::Test(patches) => plan.tested.extend(patches.iter().cloned()),
            Self::AskForHalf => match &mut plan.demand {
                Demand::AllAllowed => {}
                Demand::Weekly(amount) => amount.value /= 2.0,
                Demand::Walks(walks) => {
                    let wants = walks.iter_mut().flat_map(|walk| &mut walk.wants);
                    wants.for_each(|want| want.amount.value /= 2.0);
                }
            },
            Self::Groups(groups) => plan.groups = *groups,
            Self::SmallerShares => {
                plan.kept = match plan.kept {
                    Kept::At(theta) => Kept::At(1.0 - SMALLER * (1.0 - theta)),
                    Kept::Share(part) => Kept::Share(SMALLER * part),
                    Kept::AsProfiled => Kept::Share(SMALLER),
                };
            }
        }
        plan
    }
}

/// The untested patches that give most, in their crops' own measures.
fn tests_worth_most(outcome: &Outcome) -> Vec<PatchName> {
    let untested = outcome
        .patches
        .iter()
        .filter(|patch| patch.may_be_tested && patch.is_cut() && !patch.is_invasive());
    let mut untested: Vec<_> = untested.collect();
    untested.sort_by(|one, other| other.mean_taken.total_cmp(&one.mean_taken));
    untested.iter().take(TESTS).map(|patch| patch.patch.clone()).collect()
}
