//! What is planned for a season: which walks want what, who comes, who surveys when.

use std::sync::Arc;

use jiff::ToSpan;
use jiff::civil::Date;

use crate::assess::Prepared;
use crate::records::PatchName;
use crate::units::{Amount, Measure, Season};

/// A season as someone means to spend it.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    pub season: Season,
    /// The first day that is played: what happened before it is in the book.
    pub from: Date,
    pub demand: Demand,
    /// Groups that come for each walk, spread over its week.
    pub groups: u32,
    /// People in a group; `None` counts as one.
    pub people: Option<u32>,
    pub surveys: Surveys,
    /// Patches that nobody cuts.
    pub rested: Vec<PatchName>,
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
    Walks(Vec<Walk>),
}

/// One walk, or one of several things that it wants.
#[derive(Clone, Debug, PartialEq)]
pub struct Walk {
    pub day: Date,
    pub want: Want,
    /// In the measure of the crops that are wanted.
    pub amount: Amount,
}

/// Crops that would do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Want {
    Crop(Arc<str>),
    /// Any crop with this part in the kitchen.
    Role(Arc<str>),
}

/// When a patch is surveyed anew, in season and with leave to cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Surveys {
    /// On the first walk on which the last one is no longer believed.
    WhenLapsed,
    /// On the first walk after so many days, and whenever the last one has lapsed.
    Every {
        days: i32,
    },
    Never,
}

/// One visit of one group, with the patches that would do.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Errand {
    pub day: Date,
    /// Which walk of the plan it is part of.
    pub walk: usize,
    pub patches: Vec<usize>,
    /// `None` for all that is allowed.
    pub amount: Option<f64>,
}

const WEEK_DAYS: i32 = 7;

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

    /// What a walk's amounts are in; `None` where all that is allowed is taken of every crop.
    pub fn measure_of_walk(&self, walk: usize) -> Option<Measure> {
        match &self.demand {
            Demand::AllAllowed => None,
            Demand::Weekly(amount) => Some(amount.measure),
            Demand::Walks(walks) => walks.get(walk).map(|walk| walk.amount.measure),
        }
    }

    /// The visits, day by day.
    pub(super) fn errands(&self, patches: &[&Prepared]) -> Vec<Errand> {
        let mut errands: Vec<Errand> = Vec::new();
        for (walk, day) in self.walk_days().into_iter().enumerate() {
            let (wanted, amount) = self.wanted(walk, patches);
            for group in 0..self.groups.max(1) {
                let later = WEEK_DAYS * group as i32 / self.groups.max(1) as i32;
                let day = day.checked_add(later.days()).unwrap_or(day);
                if day <= self.season.last_day() {
                    errands.push(Errand { day, walk, patches: wanted.clone(), amount });
                }
            }
        }
        errands.sort_by_key(|errand| (errand.day, errand.walk));
        errands
    }

    fn wanted(&self, walk: usize, patches: &[&Prepared]) -> (Vec<usize>, Option<f64>) {
        let that = |would_do: &dyn Fn(&Prepared) -> bool| {
            let all = patches.iter().enumerate();
            let kept = all.filter(|(_, patch)| would_do(patch) && !self.is_rested(patch));
            kept.map(|(n, _)| n).collect()
        };
        let of_measure = |measure: Measure| move |patch: &Prepared| patch.crop().measure == measure;
        match &self.demand {
            Demand::AllAllowed => (that(&|_| true), None),
            Demand::Weekly(amount) => (that(&of_measure(amount.measure)), Some(amount.value)),
            Demand::Walks(walks) => {
                let Walk { want, amount, .. } = &walks[walk];
                let would_do = |patch: &Prepared| {
                    want.would_do(patch) && patch.crop().measure == amount.measure
                };
                (that(&would_do), Some(amount.value))
            }
        }
    }

    fn is_rested(&self, patch: &Prepared) -> bool {
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

impl Want {
    fn would_do(&self, patch: &Prepared) -> bool {
        match self {
            Self::Crop(name) => patch.crop().name == *name,
            Self::Role(role) => patch.crop().kitchen_role == *role,
        }
    }

    /// `ramsons-leaf`, or the part in the kitchen.
    pub fn name(&self) -> &str {
        match self {
            Self::Crop(name) | Self::Role(name) => name,
        }
    }
}
