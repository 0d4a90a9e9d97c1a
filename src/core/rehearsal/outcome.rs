//! What many runs of a plan come to.

use std::ops::Range;
use std::sync::Arc;

use jiff::civil::Date;

use super::Odds;
use super::run::{CoarseShare, Run, Script};
use crate::records::{Crop, PatchName, Status};
use crate::rules::Verdict;
use crate::units::Measure;

/// Quantiles of a fan: the middle, half of all runs, and eight in ten.
pub const FAN: [f64; 5] = [0.10, 0.25, 0.50, 0.75, 0.90];

/// A plan played many times.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// How often it was played.
    pub runs: u64,
    /// The last day of each week that was played.
    pub weeks: Vec<Date>,
    /// In the order of their names; only those that were ever surveyed.
    pub patches: Vec<PatchOutcome>,
    /// In the order of the plan.
    pub walks: Vec<WalkOutcome>,
    /// Every walk found all that it wanted.
    pub all_found: Odds,
    /// At least one patch dipped.
    pub any_dip: Odds,
}

/// What many runs come to for one patch.
#[derive(Clone, Debug)]
pub struct PatchOutcome {
    /// Which patch.
    pub patch: PatchName,
    /// With the overrides of site and patch.
    pub crop: Arc<Crop>,
    /// It fell under half of what it would carry undisturbed.
    pub dips: Odds,
    /// What the season takes, in the crop's measure: [`FAN`].
    pub taken: [f64; FAN.len()],
    /// What the season takes on average, in the crop's measure.
    pub mean_taken: f64,
    /// A season.
    pub mean_visits: f64,
    /// A season.
    pub mean_surveys: f64,
    /// The part of its undisturbed twin that stands at the end of each week: [`FAN`].
    pub fan: Vec<[f64; FAN.len()]>,
    /// What most often kept it shut, and on which part of the days on which it was wanted.
    pub mostly_shut: Option<(Verdict, f64)>,
    /// Nobody has tested how fast it comes back, nor means to, and a test would end in time to
    /// tell.
    pub may_be_tested: bool,
}

/// What many runs come to for one walk, or one week.
#[derive(Clone, Debug)]
pub struct WalkOutcome {
    /// When.
    pub day: Date,
    /// All that it wanted.
    pub found_all: Odds,
    /// In the order of the plan; one for a walk that takes all that it may.
    pub wants: Vec<WantOutcome>,
}

/// What many runs come to for one thing that a walk wants.
#[derive(Clone, Debug)]
pub struct WantOutcome {
    /// Patches that would do.
    pub patches: usize,
    /// All of it.
    pub found_all: Odds,
    /// What is found, in the measure of what was wanted: [`FAN`].
    pub found: [f64; FAN.len()],
    /// What most often kept a patch shut where not all was found.
    pub mostly_shut: Option<Verdict>,
}

impl Outcome {
    pub(super) fn of(script: &Script, runs: &[Run]) -> Self {
        let cast = script.cast;
        let patches = (0..cast.roles.len()).map(|n| PatchOutcome::of(script, runs, n)).collect();
        let mut first = 0;
        let days = script.plan.walk_days().into_iter().enumerate();
        let walks = days.map(|(walk, day)| {
            let wants = first..first + script.plan.wants(walk).len();
            first = wants.end;
            WalkOutcome::of(script, runs, day, wants)
        });
        let walks = walks.collect();
        let weeks = script.weeks[1..].iter().map(|end| end.yesterday().unwrap_or(*end)).collect();
        Self {
            runs: runs.len() as u64,
            weeks,
            patches,
            walks,
            all_found: Odds::of(runs.iter().map(|run| run.wants.iter().all(|want| want.satisfied))),
            any_dip: Odds::of(runs.iter().map(|run| run.patches.iter().any(|fate| fate.dips))),
        }
    }

    /// The patch that dips most often; of those that never do, the one that stands lowest.
    pub fn weakest(&self) -> Option<&PatchOutcome> {
        let counts = |patch: &&PatchOutcome| patch.is_cut() && !patch.is_invasive();
        let used = self.patches.iter().filter(counts);
        used.max_by(|a, b| {
            let low = |patch: &PatchOutcome| -patch.lowest();
            (a.dips.hits.cmp(&b.dips.hits)).then(low(a).total_cmp(&low(b)))
        })
    }

    /// The part of all walks, over all runs, that found what they wanted.
    pub fn walks_found(&self) -> f64 {
        let parts: f64 = self.walks.iter().map(|walk| walk.found_all.part()).sum();
        if self.walks.is_empty() { 0.0 } else { parts / self.walks.len() as f64 }
    }

    /// What the season takes on average of all crops of a measure.
    pub fn mean_taken(&self, measure: Measure) -> f64 {
        let of_measure = self.patches.iter().filter(|patch| patch.crop.measure == measure);
        of_measure.map(|patch| patch.mean_taken).sum()
    }
}

impl PatchOutcome {
    fn of(script: &Script, runs: &[Run], n: usize) -> Self {
        let patch = script.cast.patches[n];
        let fates = || runs.iter().map(|run| &run.patches[n]);
        let mean = |sum: f64| sum / runs.len().max(1) as f64;
        let mut shut = [0.0; Verdict::ALL.len()];
        for fate in fates() {
            for (sum, count) in shut.iter_mut().zip(fate.shut) {
                *sum += f64::from(count);
            }
        }
        let visits: f64 = fates().map(|fate| f64::from(fate.visits)).sum();
        let asked = visits + shut.iter().sum::<f64>();
        let most = Verdict::ALL.into_iter().zip(shut).max_by(|a, b| a.1.total_cmp(&b.1));
        let week = |week: usize| fan_of(fates().map(|fate| fate.weeks[week]).collect());
        Self {
            patch: patch.facts.patch.record.name.clone(),
            crop: patch.crop().clone(),
            dips: Odds::of(fates().map(|fate| fate.dips)),
            taken: quantiles(fates().map(|fate| fate.taken).collect()),
            mean_taken: mean(fates().map(|fate| fate.taken).sum()),
            mean_visits: mean(visits),
            mean_surveys: mean(fates().map(|fate| f64::from(fate.surveys)).sum()),
            fan: (0..script.weeks.len() - 1).map(week).collect(),
            mostly_shut: most
                .filter(|(_, times)| *times > 0.0)
                .map(|(v, times)| (v, times / asked)),
            may_be_tested: script.cast.roles[n].may_be_tested,
        }
    }

    /// Whether it was cut in any run.
    pub fn is_cut(&self) -> bool {
        self.mean_visits > 0.0
    }

    /// An invasive crop may be cut back without limit, so nothing is said of its dips.
    pub fn is_invasive(&self) -> bool {
        matches!(self.crop.status, Status::Invasive(_))
    }

    /// The lowest point of the fan's lower edge.
    pub fn lowest(&self) -> f64 {
        self.fan.iter().map(|fan| fan[0]).fold(f64::INFINITY, f64::min)
    }
}

impl WalkOutcome {
    fn of(script: &Script, runs: &[Run], day: Date, wants: Range<usize>) -> Self {
        let all = |run: &Run| run.wants[wants.clone()].iter().all(|want| want.satisfied);
        Self {
            day,
            found_all: Odds::of(runs.iter().map(all)),
            wants: wants.clone().map(|want| WantOutcome::of(script, runs, want)).collect(),
        }
    }
}

impl WantOutcome {
    fn of(script: &Script, runs: &[Run], want: usize) -> Self {
        let mut asks = script.errands.iter().flat_map(|errand| &errand.asks);
        let ask = asks.find(|ask| ask.want == Some(want));
        let catches = || runs.iter().map(|run| run.wants[want]);
        let short = || catches().filter(|catch| !catch.satisfied);
        let times = |verdict| short().filter(|catch| catch.shut == Some(verdict)).count();
        let most = Verdict::ALL.into_iter().map(|verdict| (verdict, times(verdict)));
        let most = most.max_by_key(|(_, times)| *times).filter(|(_, times)| *times > 0);
        Self {
            patches: ask.map_or(0, |ask| ask.patches.len()),
            found_all: Odds::of(catches().map(|catch| catch.satisfied)),
            found: quantiles(catches().map(|catch| catch.found).collect()),
            mostly_shut: most.map(|(verdict, _)| verdict),
        }
    }
}

fn quantiles(mut values: Vec<f64>) -> [f64; FAN.len()] {
    values.sort_by(f64::total_cmp);
    FAN.map(|part| values.get(place(part, values.len())).copied().unwrap_or(0.0))
}

fn fan_of(mut parts: Vec<CoarseShare>) -> [f64; FAN.len()] {
    parts.sort_unstable();
    FAN.map(|part| parts.get(place(part, parts.len())).map_or(0.0, |part| part.value()))
}

/// The nearest rank.
fn place(part: f64, n: usize) -> usize {
    (part * n.saturating_sub(1) as f64).round() as usize
}
