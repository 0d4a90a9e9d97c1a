//! What files and typed entries are read against: the book's names, the catalogue, the ground.

use std::collections::HashMap;
use std::sync::Arc;

use geo::{BoundingRect, Rect};

use crate::catalogue::Catalogue;
use crate::ground::{PatchIndex, Placing, SiteGround};
use crate::intake::{CropNames, Known, Placed, Placer};
use crate::records::{
    Crop, Directory, Entry, GpsPoint, KnownPatch, Ledger, Patch, PatchName, Record, Redraw, Site,
    SiteName, Zone,
};
use crate::units::Measure;

/// The places of the book, and of entries read so far.
#[derive(Clone, Debug, Default)]
pub struct Places {
    /// What sites and patches are called.
    pub names: Directory,
    sites: Vec<Site>,
    zones: Vec<Zone>,
    patches: Vec<Patch>,
    /// Where each patch stands in `patches`, and in `names`.
    at: HashMap<PatchName, usize>,
    named_at: HashMap<PatchName, usize>,
}

impl Places {
    /// All places of a book.
    pub fn of(names: Directory, ledger: Ledger) -> Self {
        let mut places = Self::named(names);
        for site in ledger.sites {
            places.sites.push(site.site.record);
            places.zones.extend(site.zones.into_iter().map(|zone| zone.record));
            // What is a patch no longer keeps its name; its ground may be another's by now.
            let kept = site.patches.into_iter().filter(|patch| patch.retired().is_none());
            for patch in kept {
                places.put(patch.patch.record);
            }
        }
        places
    }

    /// The names alone, for entries that name their patch.
    pub fn named(names: Directory) -> Self {
        let at = names.patches.iter().enumerate().map(|(n, known)| (known.name.clone(), n));
        Self { named_at: at.collect(), names, ..Self::default() }
    }

    /// One patch alone, for an entry about it.
    pub fn only(patch: KnownPatch) -> Self {
        let sites = vec![patch.name.site().clone()];
        Self::named(Directory { sites, patches: vec![patch], ..Directory::default() })
    }

    /// Every site, in the order in which they came.
    pub fn sites(&self) -> impl Iterator<Item = &Site> {
        self.sites.iter()
    }

    /// Every patch whose shape is known.
    pub fn patches(&self) -> &[Patch] {
        &self.patches
    }

    /// The patch of that name, as far as its shape is known.
    pub fn patch(&self, name: &PatchName) -> Option<&Patch> {
        self.patch_at(name).map(|at| &self.patches[at])
    }

    pub(super) fn patch_at(&self, name: &PatchName) -> Option<usize> {
        self.at.get(name).copied()
    }

    /// Where the patch stands among the names.
    pub(super) fn patch_number(&self, name: &PatchName) -> Option<usize> {
        self.named_at.get(name).copied()
    }

    /// Takes in the places among new entries; one with a known name replaces the old.
    pub fn learn(&mut self, entries: &[Entry]) {
        for entry in entries {
            match &entry.record {
                Record::Site(site) => self.learn_site(site),
                Record::Zone(zone) => {
                    self.zones.retain(|old| (&old.site, &old.name) != (&zone.site, &zone.name));
                    self.zones.push(zone.clone());
                }
                Record::Patch(patch) => self.learn_patch(patch),
                Record::Redraw(redraw) => self.learn_redraw(redraw),
                _ => {}
            }
        }
    }

    fn learn_site(&mut self, site: &Site) {
        self.sites.retain(|old| old.name != site.name);
        self.sites.push(site.clone());
        if !self.names.sites.contains(&site.name) {
            self.names.sites.push(site.name.clone());
        }
    }

    fn learn_patch(&mut self, patch: &Patch) {
        self.put(patch.clone());
        match self.named_at.get(&patch.name) {
            Some(&n) => self.names.patches[n].crop = patch.crop.clone(),
            None => {
                self.named_at.insert(patch.name.clone(), self.names.patches.len());
                self.names.patches.push(KnownPatch {
                    name: patch.name.clone(),
                    crop: patch.crop.clone(),
                    id: None,
                });
            }
        }
    }

    fn learn_redraw(&mut self, redraw: &Redraw) {
        let Some(at) = self.patch_at(&redraw.patch) else { return };
        match &redraw.ground {
            Some(ground) => self.patches[at].footprint = ground.clone(),
            None => {
                self.patches.remove(at);
                self.at.remove(&redraw.patch);
                self.at.values_mut().filter(|other| **other > at).for_each(|other| *other -= 1);
            }
        }
    }

    fn put(&mut self, patch: Patch) {
        match self.at.get(&patch.name) {
            Some(&at) => self.patches[at] = patch,
            None => {
                self.at.insert(patch.name.clone(), self.patches.len());
                self.patches.push(patch);
            }
        }
    }

    /// The site of that name.
    pub fn site(&self, name: &SiteName) -> Option<&Site> {
        self.sites.iter().find(|site| site.name == *name)
    }

    /// The site's ground, with its no-take zones.
    pub fn ground_of(&self, site: &Site) -> SiteGround {
        SiteGround::new(site, self.zones.iter().filter(|zone| zone.site == site.name))
    }
}

/// Places, made ready to place positions among them.
#[derive(Debug)]
pub struct Surroundings<'a> {
    places: &'a Places,
    index: PatchIndex<'a>,
    grounds: HashMap<&'a SiteName, SiteGround>,
    crops: Crops<'a>,
}

impl<'a> Surroundings<'a> {
    /// The places, with the crops that may grow there.
    pub fn of(places: &'a Places, catalogue: &'a Catalogue) -> Self {
        let grounds = places.sites.iter().map(|site| (&site.name, places.ground_of(site)));
        Self {
            places,
            index: PatchIndex::new(places.patches()),
            grounds: grounds.collect(),
            crops: Crops(catalogue),
        }
    }

    /// What a survey's crop is reckoned in; grams for other records, which say it themselves.
    pub fn measure_of(&self, record: &Record) -> Measure {
        let Record::Survey(survey) = record else { return Measure::Mass };
        let number = self.places.patch_number(&survey.patch);
        let crop = number.and_then(|n| self.crops.crop(&self.places.names.patches[n].crop));
        crop.map_or(Measure::Mass, |crop| crop.measure)
    }

    /// What a reader of files asks.
    pub fn known(&self) -> Known<'_> {
        Known { names: &self.places.names, crops: &self.crops, placer: self }
    }

    fn name(&self, position: usize) -> PatchName {
        self.index.patch(position).name.clone()
    }

    fn zone_at(&self, patch: &PatchName, at: &GpsPoint) -> Option<Arc<str>> {
        let ground = self.grounds.get(patch.site())?;
        ground.zone_at(at.lon, at.lat).map(Arc::from)
    }
}

impl Placer for Surroundings<'_> {
    fn place(&self, crop: &str, at: &GpsPoint) -> Placed {
        match self.index.place(crop, at) {
            Placing::Inside(position) => {
                let patch = self.name(position);
                match self.zone_at(&patch, at) {
                    Some(zone) => Placed::NoTake { patch, zone },
                    None => Placed::In(patch),
                }
            }
            Placing::Near(position, distance) => Placed::Near(self.name(position), distance),
            Placing::Between(positions) => {
                Placed::Between(positions.into_iter().map(|position| self.name(position)).collect())
            }
            Placing::Nowhere { nearest } => Placed::Nowhere {
                nearest: nearest.map(|(position, distance)| (self.name(position), distance)),
            },
        }
    }

    fn site_bounds(&self, site: &SiteName) -> Option<Rect> {
        let site = self.places.site(site)?;
        site.boundary.bounding_rect()
    }
}

#[derive(Debug)]
struct Crops<'a>(&'a Catalogue);

impl CropNames for Crops<'_> {
    fn crop(&self, name: &str) -> Option<&Crop> {
        self.0.crop(name).map(Arc::as_ref)
    }

    fn near(&self, name: &str) -> Option<String> {
        self.0.nearest(name)
    }
}
