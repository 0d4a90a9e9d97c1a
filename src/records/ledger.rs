//! The facts that count, arranged by place: what the book hands to the model.

use jiff::civil::Date;

use std::sync::Arc;

use super::{
    Clipping, Closure, CropOverride, Cut, Fact, Glance, Hold, Patch, Permission, Site,
    SurveySummary, Visit, Walk, WalkName, Zone,
};

/// Live facts, as known on a day. Sites and patches are sorted by name, dated facts by day.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ledger {
    pub sites: Vec<SiteFacts>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct SiteFacts {
    pub site: Fact<Site>,
    pub zones: Vec<Fact<Zone>>,
    pub permissions: Vec<Fact<Permission>>,
    pub closures: Vec<Fact<Closure>>,
    pub overrides: Vec<Fact<CropOverride>>,
    /// To the site and to its patches.
    pub visits: Vec<Fact<Visit>>,
    /// Walks that start on this site.
    pub walks: Vec<Fact<Walk>>,
    pub patches: Vec<PatchFacts>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct PatchFacts {
    pub patch: Fact<Patch>,
    pub surveys: Vec<Fact<SurveySummary>>,
    pub glances: Vec<Fact<Glance>>,
    /// Live ones, whether their day has passed or not.
    pub holds: Vec<Fact<Hold>>,
    /// What was cut from it, with what recovery tests took: those come as cuts under the ids of
    /// their clippings.
    pub cuts: Vec<Fact<Cut>>,
    pub clippings: Vec<Fact<Clipping>>,
}

impl PatchFacts {
    /// Every day on which it was seen or cut, in no order.
    pub fn days_told(&self) -> impl Iterator<Item = Date> {
        let surveys = self.surveys.iter().map(|fact| fact.happened_on);
        let glances = self.glances.iter().map(|fact| fact.happened_on);
        surveys.chain(glances).chain(self.cuts.iter().map(|fact| fact.happened_on))
    }
}

impl Ledger {
    pub fn patches(&self) -> impl Iterator<Item = (&SiteFacts, &PatchFacts)> {
        self.sites.iter().flat_map(|site| site.patches.iter().map(move |patch| (site, patch)))
    }

    pub fn walks(&self) -> impl Iterator<Item = &Fact<Walk>> {
        self.sites.iter().flat_map(|site| &site.walks)
    }

    /// What counts as set aside for a walk.
    pub fn holds_of(&self, walk: &WalkName) -> Vec<&Fact<Hold>> {
        let holds = self.patches().flat_map(|(_, patch)| &patch.holds);
        holds.filter(|hold| hold.record.walk == *walk).collect()
    }

    /// The cuts that a walk was settled with.
    pub fn cuts_of(&self, walk: &WalkName) -> Vec<&Fact<Cut>> {
        let cuts = self.patches().flat_map(|(_, patch)| &patch.cuts);
        cuts.filter(|cut| cut.record.walk.as_ref() == Some(walk)).collect()
    }

    pub fn crops(&self) -> impl Iterator<Item = &Arc<str>> {
        self.patches().map(|(_, patch)| &patch.patch.record.crop)
    }
}
