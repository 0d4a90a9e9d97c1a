//! What files and typed entries are read against: the book's names, the catalogue, the ground.

use std::collections::HashMap;
use std::sync::Arc;

use geo::{BoundingRect, Rect};

use super::failure::Failure;
use crate::book::{Book, Scope};
use crate::catalogue::Catalogue;
use crate::ground::{PatchIndex, Placing, SiteGround};
use crate::intake::{CropNames, Known, Placed, Placer};
use crate::records::{
    Crop, Directory, Entry, GpsPoint, KnownPatch, Patch, PatchName, Record, Site, SiteName, Zone,
};

/// The places of the book, and of entries read so far.
#[derive(Debug, Default)]
pub struct Places {
    pub names: Directory,
    pub sites: Vec<Site>,
    pub zones: Vec<Zone>,
    pub patches: Vec<Patch>,
}

impl Places {
    pub fn of(book: &Book) -> Result<Self, Failure> {
        let names = book.directory()?;
        let ledger = book.ledger(&Scope::All, None)?;
        let mut places = Self { names, ..Self::default() };
        for site in ledger.sites {
            places.sites.push(site.site.record);
            places.zones.extend(site.zones.into_iter().map(|zone| zone.record));
            places.patches.extend(site.patches.into_iter().map(|patch| patch.patch.record));
        }
        Ok(places)
    }

    /// The names alone, for entries that name their patch.
    pub fn names_of(book: &Book) -> Result<Self, Failure> {
        Ok(Self { names: book.directory()?, ..Self::default() })
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
        self.patches.retain(|old| old.name != patch.name);
        self.patches.push(patch.clone());
        let known = self.names.patches.iter_mut().find(|known| known.name == patch.name);
        match known {
            Some(known) => known.crop = patch.crop.clone(),
            None => self.names.patches.push(KnownPatch {
                name: patch.name.clone(),
                crop: patch.crop.clone(),
                id: None,
            }),
        }
    }

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
    pub fn of(places: &'a Places, catalogue: &'a Catalogue) -> Self {
        let grounds = places.sites.iter().map(|site| (&site.name, places.ground_of(site)));
        Self {
            places,
            index: PatchIndex::new(&places.patches),
            grounds: grounds.collect(),
            crops: Crops(catalogue),
        }
    }

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
        let site = self.places.sites.iter().find(|known| known.name == *site)?;
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
