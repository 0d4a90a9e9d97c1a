//! What is planned for a season: which walks want what, who comes, who surveys when.

use jiff::ToSpan;
use jiff::civil::Date;

use crate::assess::Prepared;
use crate::records::{PatchName, Walk, Want};
use crate::units::{Amount, Season};

/// A season as someone means to spend it.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Which season.
    pub season: Season,
    /// The first day that is played: what happened before it is in the book.
    pub from: Date,
    /// What the walks want.
    pub demand: Demand,
    /// Groups that come for each walk, spread over its week.
    pub groups: u32,
    /// People in a group; `None` counts as one, or as the people of the walk.
    pub people: Option<u32>,
    /// When patches are surveyed anew.
    pub surveys: Surveys,
    /// Patches that nobody cuts.
    pub rested: Vec<PatchName>,
    /// Patches that a recovery test of pairs begins on with the first day.
    pub tested: Vec<PatchName>,
    /// How much of every crop stays standing.
    pub kept: Kept,
}

/// How much of each crop always stays standing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kept {
    /// As its profile says.
    AsProfiled,
    /// This theta for every crop, in (0, 1).
    At(f64),
    /// The largest share of each crop, 1 − theta, is multiplied by this, in (0, 1).
    Share(f64),
}

/// What the walks of a season want.
#[derive(Clone, Debug, PartialEq)]
pub enum Demand {
    /// Each week all that the book allows.
    AllAllowed,
    /// Each week so much, of whatever is open.
    Weekly(Amount),
    /// These, in the order of their days, whatever is set aside for them. One that names no want
    /// takes all that it may.
    Walks(Vec<Walk>),
}

/// When a patch is surveyed anew, in season and with leave to cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Surveys {
    /// On the first walk on which the last one is no longer believed.
    WhenLapsed,
    /// On the first walk after so many days, and whenever the last one has lapsed.
    Every {
        /// After so many.
        days: i32,
    },
    /// Nobody surveys.
    Never,
}

pub(super) const WEEK_DAYS: i32 = 7;

impl Plan {
    /// The days on which a week begins, from the first day on, up to the season's last.
    pub fn weeks(&self) -> impl Iterator<Item = Date> {
        let last = self.season.last_day();
        self.from.series(WEEK_DAYS.days()).take_while(move |day| *day <= last)
    }

    /// How many walks there are, and when each is.
    pub fn walk_days(&self) -> Vec<Date> {
        match &self.demand {
            Demand::AllAllowed | Demand::Weekly(_) => self.weeks().collect(),
            Demand::Walks(walks) => walks.iter().map(|walk| walk.day).collect(),
        }
    }

    /// What the n-th walk wants, each on its own; `None` for all that is allowed.
    pub fn wants(&self, walk: usize) -> Vec<Option<Amount>> {
        match &self.demand {
            Demand::AllAllowed => vec![None],
            Demand::Weekly(amount) => vec![Some(*amount)],
            Demand::Walks(walks) if walks[walk].wants.is_empty() => vec![None],
            Demand::Walks(walks) => {
                walks[walk].wants.iter().map(|want| Some(want.amount)).collect()
            }
        }
    }

    /// Whether any walk goes to the patch for what grows on it.
    pub fn asks_for(&self, patch: &Prepared) -> bool {
        let role = &patch.crop().kitchen_role;
        let serves = |want: &Want| {
            (want.what == patch.crop().name || want.what == *role) && is_so_reckoned(want, patch)
        };
        match &self.demand {
            Demand::AllAllowed => true,
            Demand::Weekly(amount) => patch.crop().measure == amount.measure,
            Demand::Walks(walks) => walks.iter().any(|walk| {
                goes_to(walk, patch) && (walk.wants.is_empty() || walk.wants.iter().any(serves))
            }),
        }
    }

    /// The patches that would do for each want of a walk, by position.
    pub(super) fn patches_for(&self, walk: usize, patches: &[&Prepared]) -> Vec<Vec<usize>> {
        let that = |would_do: &dyn Fn(&Prepared) -> bool| {
            let all = patches.iter().enumerate();
            let kept = all.filter(|(_, patch)| would_do(patch) && !self.is_rested(patch));
            kept.map(|(n, _)| n).collect()
        };
        match &self.demand {
            Demand::AllAllowed => vec![that(&|_| true)],
            Demand::Weekly(amount) => {
                vec![that(&|patch| patch.crop().measure == amount.measure)]
            }
            Demand::Walks(walks) => {
                let walk = &walks[walk];
                if walk.wants.is_empty() {
                    return vec![that(&|patch| goes_to(walk, patch))];
                }
                let each = walk.wants.iter().map(|want| {
                    let is_crop = patches.iter().any(|patch| patch.crop().name == want.what);
                    that(&|patch| {
                        let crop = patch.crop();
                        let name = if is_crop { &crop.name } else { &crop.kitchen_role };
                        goes_to(walk, patch) && *name == want.what && is_so_reckoned(want, patch)
                    })
                });
                each.collect()
            }
        }
    }

    pub(super) fn is_tested(&self, patch: &Prepared) -> bool {
        self.tested.contains(&patch.facts.patch.record.name)
    }

    pub(super) fn is_rested(&self, patch: &Prepared) -> bool {
        self.rested.contains(&patch.facts.patch.record.name)
    }
}

impl Kept {
    /// A crop's theta, given that of its profile.
    pub fn theta(self, profiled: f64) -> f64 {
        match self {
            Self::AsProfiled => profiled,
            Self::At(theta) => theta,
            Self::Share(part) => 1.0 - part * (1.0 - profiled),
        }
    }
}

fn goes_to(walk: &Walk, patch: &Prepared) -> bool {
    walk.sites().any(|site| site == patch.facts.patch.record.name.site())
}

fn is_so_reckoned(want: &Want, patch: &Prepared) -> bool {
    patch.crop().measure == want.amount.measure
}
