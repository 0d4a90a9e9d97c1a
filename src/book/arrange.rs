//! Putting facts where they belong in a ledger.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use super::by_place::ByPlace;
use super::names::Names;
use crate::records::{EyeTold, Fact, Ledger, PatchFacts, Site, SiteFacts, SiteName};

/// A ledger being filled.
#[derive(Clone, Debug, Default)]
pub(super) struct Arrangement {
    ledger: Ledger,
    site_at: HashMap<SiteName, usize>,
    /// The number of each patch, where the patch is in the ledger.
    places: Vec<Vec<i64>>,
    /// By that number, the site's position and the patch's on it.
    patch_at: ByPlace<(usize, usize)>,
}

impl Arrangement {
    /// How eyes erred on land that is not in it.
    pub(super) fn tell_of_eyes(&mut self, told: Vec<EyeTold>) {
        self.ledger.eyes_elsewhere = told;
    }

    /// As filled so far.
    pub(super) fn ledger(&self) -> &Ledger {
        &self.ledger
    }

    /// The numbers of the patches, in order.
    pub(super) fn places(&self) -> Vec<i64> {
        let mut places = self.places.concat();
        places.sort_unstable();
        places
    }

    /// Tells what the patches are called.
    pub(super) fn name_patches(&self, names: &mut Names) {
        for (site, places) in self.ledger.sites.iter().zip(&self.places) {
            for (patch, &place) in site.patches.iter().zip(places) {
                names.call_patch(place, patch.patch.record.name.clone());
            }
        }
    }

    /// A copy with no other patches, and none of the sites that then have none.
    pub(super) fn only(&self, places: &BTreeSet<i64>) -> Self {
        let mut by_site: BTreeMap<usize, Vec<(i64, usize)>> = BTreeMap::new();
        for place in places {
            if let Some(&(site, patch)) = self.patch_at.get(place) {
                by_site.entry(site).or_default().push((*place, patch));
            }
        }
        let mut copy = Self::default();
        for (site, wanted) in by_site {
            let site = &self.ledger.sites[site];
            let bare = SiteFacts {
                site: site.site.clone(),
                zones: site.zones.clone(),
                permissions: site.permissions.clone(),
                closures: site.closures.clone(),
                visits: site.visits.clone(),
                landmarks: site.landmarks.clone(),
                emergencies: site.emergencies.clone(),
                overrides: site.overrides.clone(),
                walks: site.walks.clone(),
                patches: Vec::new(),
            };
            let copied = |(_, patch): &(i64, usize)| PatchFacts {
                changes: site.patches[*patch].changes.clone(),
                ..PatchFacts::of(site.patches[*patch].patch.clone())
            };
            let patches = wanted.iter().map(copied).collect();
            let places = wanted.iter().map(|(place, _)| *place).collect();
            copy.put_site(SiteFacts { patches, ..bare }, places);
        }
        copy
    }

    /// Parts of whole sites with about so many patches each, sites together whose patches were
    /// numbered together: so the book is read from its beginning to its end.
    pub(super) fn split(self, patches: usize) -> Vec<Self> {
        let mut sites = self.sites_with_places();
        sites.sort_by_cached_key(|(_, places)| places.iter().copied().min());
        in_parts(sites, patches)
    }

    /// The same, sites together whose names follow each other.
    pub(super) fn split_by_name(self, patches: usize) -> Vec<Self> {
        let mut sites = self.sites_with_places();
        sites.sort_by(|(one, _), (other, _)| one.site.record.name.cmp(&other.site.record.name));
        in_parts(sites, patches)
    }

    fn sites_with_places(self) -> Vec<SiteWithPlaces> {
        self.ledger.sites.into_iter().zip(self.places).collect()
    }

    /// A site with its patches, and their numbers.
    fn put_site(&mut self, site: SiteFacts, places: Vec<i64>) {
        let at = self.ledger.sites.len();
        self.site_at.insert(site.site.record.name.clone(), at);
        self.patch_at.extend(places.iter().zip(0..).map(|(place, patch)| (*place, (at, patch))));
        self.ledger.sites.push(site);
        self.places.push(places);
    }

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
        self.put_site(site, Vec::new());
    }

    /// All patches of a site, with their numbers.
    pub(super) fn add_patches(
        &mut self,
        site: &SiteName,
        places: Vec<i64>,
        patches: Vec<PatchFacts>,
    ) {
        let Some(&at) = self.site_at.get(site) else { return };
        self.patch_at.extend(places.iter().zip(0..).map(|(place, patch)| (*place, (at, patch))));
        self.ledger.sites[at].patches = patches;
        self.places[at] = places;
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

    /// Of one site with patches of these numbers.
    #[cfg(test)]
    pub(super) fn of_places(places: impl Iterator<Item = i64>) -> Self {
        Self { places: vec![places.collect()], ..Self::default() }
    }
}

/// A site, and the numbers of its patches.
type SiteWithPlaces = (SiteFacts, Vec<i64>);

fn in_parts(sites: Vec<SiteWithPlaces>, patches: usize) -> Vec<Arrangement> {
    let mut parts: Vec<Arrangement> = Vec::new();
    for (site, places) in sites {
        if parts.last().is_none_or(|part| part.patch_at.len() >= patches) {
            parts.push(Arrangement::default());
        }
        if let Some(part) = parts.last_mut() {
            part.put_site(site, places);
        }
    }
    parts
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
