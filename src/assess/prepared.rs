//! Every patch of a ledger made ready for the model: ground, profile, growth, history, eyes.

use std::collections::HashMap;
use std::sync::Arc;

use geo::Point;
use jiff::civil::Date;
use rayon::prelude::*;

use super::Profile;
use crate::catalogue::Catalogue;
use crate::crop::Extent;
use crate::ground::{Harvestable, SiteGround, centre, site_centre};
use crate::records::{Crop, Ledger, PatchFacts, PatchName, SiteFacts};
use crate::regrowth::{Course, Event, Eyes, Growth, History, Seen, Terms};
use crate::rules::Case;

/// One patch with all that the model asks of it, from what happened up to a day.
#[derive(Clone, Debug)]
pub struct Prepared<'a> {
    pub site: &'a SiteFacts,
    pub facts: &'a PatchFacts,
    pub profile: Profile,
    pub ground: Harvestable,
    pub extent: Extent,
    pub terms: Terms,
    pub growth: Arc<Growth>,
    pub eyes: Arc<Eyes>,
    pub history: History,
    /// Every cut of this crop on this site: day, and amount in the crop's measure.
    pub site_cuts: Arc<[(Date, f64)]>,
}

#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{patch}` is a patch of `{crop}`, which the catalogue does not have{}",
    .near.as_ref().map(|name| format!("; did you mean `{name}`?")).unwrap_or_default()
)]
pub struct UnknownCrop {
    pub patch: PatchName,
    pub crop: Arc<str>,
    pub near: Option<String>,
}

impl Prepared<'_> {
    pub fn crop(&self) -> &Arc<Crop> {
        &self.profile.crop
    }

    /// `None` for a footprint without any position.
    pub fn centre(&self) -> Option<Point> {
        centre(&self.facts.patch.record.footprint)
    }

    pub fn course(&self) -> Course<'_> {
        Course {
            terms: &self.terms,
            growth: &self.growth,
            eyes: &self.eyes,
            history: &self.history,
        }
    }

    pub fn case<'b>(&'b self, day: Date, people: Option<u32>, method: Option<&'b str>) -> Case<'b> {
        Case {
            day,
            people,
            method,
            site: self.site,
            patch: &self.facts.patch.record,
            crop: &self.profile.crop,
            extent: self.extent,
            terms: &self.terms,
            growth: &self.growth,
            state: self.course().state_on(day),
            history: &self.history,
            site_cuts: &self.site_cuts,
            in_words: true,
        }
    }
}

/// Makes every patch of the ledger ready. What happened after `until` is left out.
///
/// # Errors
/// A patch whose crop is not in the catalogue.
pub fn prepare<'a>(
    ledger: &'a Ledger,
    catalogue: &Catalogue,
    until: Date,
) -> Result<Vec<Prepared<'a>>, UnknownCrop> {
    let by_site: Result<Vec<Vec<Prepared>>, UnknownCrop> =
        ledger.sites.par_iter().map(|site| prepare_site(site, catalogue, until)).collect();
    let mut prepared: Vec<Prepared> = by_site?.into_iter().flatten().collect();
    let mut eyes: HashMap<Arc<str>, Eyes> = HashMap::new();
    for patch in &prepared {
        let crop_eyes = eyes.entry(patch.profile.crop.name.clone()).or_default();
        learn_eyes(crop_eyes, patch.history.events());
    }
    let eyes: HashMap<_, _> = eyes.into_iter().map(|(crop, eyes)| (crop, Arc::new(eyes))).collect();
    for patch in &mut prepared {
        if let Some(learnt) = eyes.get(&patch.profile.crop.name) {
            patch.eyes = learnt.clone();
        }
    }
    Ok(prepared)
}

fn prepare_site<'a>(
    site: &'a SiteFacts,
    catalogue: &Catalogue,
    until: Date,
) -> Result<Vec<Prepared<'a>>, UnknownCrop> {
    let site_ground =
        SiteGround::new(&site.site.record, site.zones.iter().map(|zone| &zone.record));
    let latitude = site_centre(&site.site.record).map_or(0.0, |centre| centre.y());
    let mut growths = SiteGrowths::new(latitude);
    let mut prepared = Vec::with_capacity(site.patches.len());
    for facts in &site.patches {
        let patch = &facts.patch.record;
        let catalogued = catalogue.crop(&patch.crop).ok_or_else(|| UnknownCrop {
            patch: patch.name.clone(),
            crop: patch.crop.clone(),
            near: catalogue.nearest(&patch.crop),
        })?;
        let profile = Profile::of(catalogued, catalogue.own_file(&patch.crop), site, facts);
        let ground = site_ground.harvestable(&patch.footprint);
        let extent = Extent::of(&patch.footprint, ground.harvestable, ground.plants);
        let terms = Terms::of(&profile.crop);
        let growth = growths.of(&profile.crop, &terms);
        let history = History::of(facts, &extent).known_until(until);
        prepared.push(Prepared {
            site,
            facts,
            profile,
            ground,
            extent,
            terms,
            growth,
            eyes: Arc::default(),
            history,
            site_cuts: Arc::new([]),
        });
    }
    share_site_cuts(&mut prepared);
    Ok(prepared)
}

fn share_site_cuts(patches: &mut [Prepared<'_>]) {
    let mut cuts: HashMap<Arc<str>, Vec<(Date, f64)>> = HashMap::new();
    for patch in patches.iter() {
        cuts.entry(patch.profile.crop.name.clone()).or_default().extend(patch.history.cuts());
    }
    let cuts: HashMap<Arc<str>, Arc<[(Date, f64)]>> =
        cuts.into_iter().map(|(crop, cuts)| (crop, cuts.into())).collect();
    for patch in patches {
        if let Some(of_crop) = cuts.get(&patch.profile.crop.name) {
            patch.site_cuts = of_crop.clone();
        }
    }
}

/// A visit with both a glance and a survey teaches how that observer's eye errs.
fn learn_eyes(eyes: &mut Eyes, events: &[Event]) {
    for day in events.chunk_by(|a, b| a.day == b.day) {
        let surveyed = day.iter().find_map(|event| match &event.seen {
            Seen::Survey(estimate) => Some(estimate.best),
            _ => None,
        });
        let Some(surveyed) = surveyed else { continue };
        for event in day {
            if let Seen::Glance(glanced) = event.seen {
                eyes.learn(&event.by, event.day, glanced, surveyed);
            }
        }
    }
}

/// The growth seasons met on one site, each worked out once.
struct SiteGrowths {
    latitude_degrees: f64,
    guard: Option<Arc<Growth>>,
    by_month: Vec<([f64; 12], Arc<Growth>)>,
}

impl SiteGrowths {
    fn new(latitude_degrees: f64) -> Self {
        Self { latitude_degrees, guard: None, by_month: Vec::new() }
    }

    fn of(&mut self, crop: &Crop, terms: &Terms) -> Arc<Growth> {
        if terms.counts_whole_years() {
            self.months([1.0; 12])
        } else if let Some(months) = &crop.growth_by_month {
            self.months(months.value)
        } else {
            let latitude = self.latitude_degrees;
            self.guard.get_or_insert_with(|| Arc::new(Growth::winter_guard(latitude))).clone()
        }
    }

    fn months(&mut self, months: [f64; 12]) -> Arc<Growth> {
        if let Some((_, known)) = self.by_month.iter().find(|(other, _)| *other == months) {
            return known.clone();
        }
        let growth = Arc::new(Growth::by_month(months));
        self.by_month.push((months, growth.clone()));
        growth
    }
}
