//! Putting facts where they belong in a ledger.

use std::collections::HashMap;

use super::by_place::ByPlace;
use crate::records::{Fact, Ledger, Patch, PatchFacts, Site, SiteFacts, SiteName};

/// A ledger being filled.
#[derive(Debug, Default)]
pub(super) struct Arrangement {
    sites: Vec<SiteFacts>,
    site_at: HashMap<SiteName, usize>,
    /// By the place's number, the site's position and the patch's on it.
    patch_at: ByPlace<(usize, usize)>,
}

impl Arrangement {
    pub(super) fn add_site(&mut self, site: Fact<Site>) {
        self.site_at.insert(site.record.name.clone(), self.sites.len());
        self.sites.push(SiteFacts {
            site,
            zones: Vec::new(),
            permissions: Vec::new(),
            closures: Vec::new(),
            overrides: Vec::new(),
            walks: Vec::new(),
            patches: Vec::new(),
        });
    }

    pub(super) fn add_patch(&mut self, place: i64, patch: Fact<Patch>) {
        let Some(&at) = self.site_at.get(patch.record.name.site()) else { return };
        let patches = &mut self.sites[at].patches;
        self.patch_at.insert(place, (at, patches.len()));
        patches.push(PatchFacts {
            patch,
            surveys: Vec::new(),
            glances: Vec::new(),
            holds: Vec::new(),
            cuts: Vec::new(),
        });
    }

    /// `None` for a site that is not in the ledger.
    pub(super) fn site(&mut self, name: &SiteName) -> Option<&mut SiteFacts> {
        self.site_at.get(name).map(|&at| &mut self.sites[at])
    }

    /// `None` for a patch that is not in the ledger.
    pub(super) fn patch(&mut self, place: i64) -> Option<&mut PatchFacts> {
        self.patch_at.get(&place).map(|&(site, patch)| &mut self.sites[site].patches[patch])
    }

    pub(super) fn into_ledger(mut self) -> Ledger {
        self.sites.sort_by(|one, other| one.site.record.name.cmp(&other.site.record.name));
        self.sites.iter_mut().for_each(sort_site);
        Ledger { sites: self.sites }
    }
}

fn sort_site(site: &mut SiteFacts) {
    sort_by_day(&mut site.zones);
    sort_by_day(&mut site.permissions);
    sort_by_day(&mut site.closures);
    sort_by_day(&mut site.overrides);
    sort_by_day(&mut site.walks);
    site.patches.sort_by(|one, other| one.patch.record.name.cmp(&other.patch.record.name));
    for patch in &mut site.patches {
        sort_by_day(&mut patch.surveys);
        sort_by_day(&mut patch.glances);
        sort_by_day(&mut patch.holds);
        sort_by_day(&mut patch.cuts);
    }
}

/// Facts of one day come in the order of their ids, which is that of their recording.
fn sort_by_day<T>(facts: &mut [Fact<T>]) {
    facts.sort_by_key(|fact| (fact.happened_on, fact.id));
}
