//! Putting facts where they belong in a ledger.

use std::collections::HashMap;

use super::by_place::ByPlace;
use crate::records::{Fact, Ledger, Patch, PatchFacts, Site, SiteFacts, SiteName};

/// A ledger being filled.
#[derive(Clone, Debug, Default)]
pub(super) struct Arrangement {
    ledger: Ledger,
    site_at: HashMap<SiteName, usize>,
    /// By its number, the site's position and the patch's on it.
    patch_at: ByPlace<(usize, usize)>,
}

impl Arrangement {
    pub(super) fn add_site(&mut self, site: Fact<Site>) {
        let site = SiteFacts {
            site,
            zones: Vec::new(),
            permissions: Vec::new(),
            closures: Vec::new(),
            visits: Vec::new(),
            landmarks: Vec::new(),
            emergencies: Vec::new(),
            overrides: Vec::new(),
            walks: Vec::new(),
            patches: Vec::new(),
        };
        self.site_at.insert(site.site.record.name.clone(), self.ledger.sites.len());
        self.ledger.sites.push(site);
    }

    /// All patches of sites that it has, with their numbers: those of a site together.
    pub(super) fn add_patches(&mut self, patches: Vec<(i64, Fact<Patch>)>) {
        self.patch_at.reserve(patches.len());
        let mut patches = patches.into_iter();
        while let Some((_, first)) = patches.as_slice().first() {
            let name = first.record.name.site().clone();
            let is_of_site = |(_, patch): &&(i64, Fact<Patch>)| *patch.record.name.site() == name;
            let own = patches.as_slice().iter().take_while(is_of_site).count();
            let of_site = patches.by_ref().take(own);
            match self.site_at.get(&name) {
                None => of_site.for_each(drop),
                Some(&at) => {
                    let patches = &mut self.ledger.sites[at].patches;
                    patches.reserve_exact(own);
                    for (place, patch) in of_site {
                        self.patch_at.insert(place, (at, patches.len()));
                        patches.push(PatchFacts::of(patch));
                    }
                }
            }
        }
    }

    /// The patches whose ground changed.
    pub(super) fn redrawn(&mut self) -> impl Iterator<Item = &mut PatchFacts> {
        let patches = self.ledger.sites.iter_mut().flat_map(|site| &mut site.patches);
        patches.filter(|patch| !patch.changes.redraws.is_empty())
    }

    /// Draws each patch as it was drawn last, once all redraws are in.
    pub(super) fn draw_anew(&mut self) {
        for patch in self.redrawn() {
            sort_by_day(&mut patch.changes.redraws);
            let grounds = patch.changes.redraws.iter();
            let last = grounds.rev().find_map(|redraw| redraw.record.ground.clone());
            let now = last.unwrap_or_else(|| patch.patch.record.footprint.clone());
            patch.changes.first = Some(std::mem::replace(&mut patch.patch.record.footprint, now));
        }
    }

    /// `None` for a site that is not in the ledger.
    pub(super) fn site(&mut self, name: &SiteName) -> Option<&mut SiteFacts> {
        self.site_at.get(name).map(|&at| &mut self.ledger.sites[at])
    }

    /// `None` for a patch that is not in the ledger.
    pub(super) fn patch(&mut self, place: i64) -> Option<&mut PatchFacts> {
        self.patch_at.get(&place).map(|&(site, patch)| &mut self.ledger.sites[site].patches[patch])
    }

    pub(super) fn into_ledger(mut self) -> Ledger {
        let sites = &mut self.ledger.sites;
        sites.sort_by(|one, other| one.site.record.name.cmp(&other.site.record.name));
        sites.iter_mut().for_each(sort_site);
        self.ledger
    }
}

fn sort_site(site: &mut SiteFacts) {
    sort_by_day(&mut site.zones);
    sort_by_day(&mut site.permissions);
    sort_by_day(&mut site.closures);
    sort_by_day(&mut site.visits);
    site.landmarks.sort_by(|one, other| one.record.name.cmp(&other.record.name));
    sort_by_day(&mut site.emergencies);
    sort_by_day(&mut site.overrides);
    sort_by_day(&mut site.walks);
    site.patches.sort_by(|one, other| one.patch.record.name.cmp(&other.patch.record.name));
    for patch in &mut site.patches {
        sort_by_day(&mut patch.changes.surveys);
        sort_by_day(&mut patch.surveys);
        sort_by_day(&mut patch.glances);
        sort_by_day(&mut patch.holds);
        sort_by_day(&mut patch.cuts);
        sort_by_day(&mut patch.clippings);
    }
}

/// Facts of one day come in the order of their ids, which is that of their recording.
fn sort_by_day<T>(facts: &mut [Fact<T>]) {
    facts.sort_by_key(|fact| (fact.happened_on, fact.id));
}
