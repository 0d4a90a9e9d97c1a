//! The week's answer: every patch asked about, what can be cut first.

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::civil::Date;

use super::{Assessment, Opening};
use crate::records::{Crop, PatchName, SiteName};
use crate::rules::Verdict;
use crate::units::Week;

/// Every patch of a question, sorted, with what the open ones come to.
#[derive(Clone, Debug)]
pub struct WeekAnswer {
    /// Which week.
    pub week: Week,
    /// The day as of which it is answered.
    pub on: Date,
    /// Open patches first, then those that open soonest.
    pub patches: Vec<Assessment>,
    /// One for each crop with an open patch, by name.
    pub totals: Vec<CropTotal>,
}

/// Where a patch stands in a week's answer.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct WeekPlace {
    verdict: Verdict,
    opens: Date,
    /// Whole metres.
    distance: u64,
    patch: PatchName,
}

impl WeekPlace {
    /// Where a patch stands in that order.
    pub fn of(patch: &Assessment) -> Self {
        Self {
            verdict: patch.ruling.verdict,
            opens: patch.opening.map_or(Date::MAX, |opening| opening.day),
            distance: patch.distance.map_or(0, |distance| distance.0 as u64),
            patch: patch.patch.clone(),
        }
    }
}

/// What the open patches of one crop allow together.
#[derive(Clone, Debug)]
pub struct CropTotal {
    /// Which crop.
    pub crop: Arc<Crop>,
    /// How many patches of it are open.
    pub open_patches: usize,
    /// In the crop's measure; `None` for no upper limit.
    pub most: Option<f64>,
}

/// Puts the assessments of a day in the week's order.
pub fn week(on: Date, mut patches: Vec<Assessment>) -> WeekAnswer {
    patches.sort_by_cached_key(WeekPlace::of);
    let totals = totals(&patches);
    WeekAnswer { week: Week::containing(on), on, patches, totals }
}

impl WeekAnswer {
    /// The open patches, in order.
    pub fn open(&self) -> impl Iterator<Item = &Assessment> {
        self.patches.iter().filter(|patch| patch.is_open())
    }

    /// How many patches have each verdict that occurs.
    pub fn verdict_counts(&self) -> Vec<(Verdict, usize)> {
        let count =
            |verdict| self.patches.iter().filter(|patch| patch.ruling.verdict == verdict).count();
        let all = Verdict::ALL.into_iter().map(|verdict| (verdict, count(verdict)));
        all.filter(|(_, count)| *count > 0).collect()
    }

    /// The patch that opens first of those that are now shut, and when.
    pub fn next_opening(&self) -> Option<(&Assessment, Opening)> {
        let shut = self.patches.iter().filter_map(|patch| Some((patch, patch.opening?)));
        shut.min_by_key(|(_, opening)| opening.day)
    }
}

fn totals(patches: &[Assessment]) -> Vec<CropTotal> {
    let mut by_crop: BTreeMap<&str, Vec<&Assessment>> = BTreeMap::new();
    for patch in patches.iter().filter(|patch| patch.is_open()) {
        by_crop.entry(&patch.crop.name).or_default().push(patch);
    }
    let total = |open: Vec<&Assessment>| CropTotal {
        crop: open[0].crop.clone(),
        open_patches: open.len(),
        most: crop_total(&open),
    };
    by_crop.into_values().map(total).collect()
}

fn crop_total(open: &[&Assessment]) -> Option<f64> {
    together(open.iter().map(|patch| (patch.patch.site(), patch.ruling.most, patch.room_on_site)))
}

/// What patches of one crop allow together, each with its site, the most that it allows, and
/// what the permission leaves of the crop there: on each site no more than that, however many
/// patches. `None` for no upper limit.
pub(super) fn together<'a>(
    patches: impl IntoIterator<Item = (&'a SiteName, Option<f64>, f64)>,
) -> Option<f64> {
    let mut by_site: BTreeMap<&SiteName, (Option<f64>, f64)> = BTreeMap::new();
    for (site, most, room) in patches {
        let (sum, widest) = by_site.entry(site).or_insert((Some(0.0), 0.0));
        *sum = sum.zip(most).map(|(sum, most)| sum + most);
        *widest = widest.max(room);
    }
    let site_total = |(sum, room): (Option<f64>, f64)| -> Option<f64> {
        sum.into_iter().chain(Some(room).filter(|room| room.is_finite())).reduce(f64::min)
    };
    by_site.into_values().map(site_total).sum()
}
