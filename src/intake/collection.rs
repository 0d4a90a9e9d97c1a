//! A GeoJSON file (RFC 7946): a collection of sites, no-take zones and patches.

use std::collections::{HashMap, HashSet};

use geo::{BoundingRect, Geometry, Intersects, Rect};
use serde_json::{Map, Value};

use super::column::columns;
use super::feature::Feature;
use super::fields::Fields;
use super::kinds::{may_lack_shape, read_feature};
use super::known::Gazetteer;
use super::problem::{Finding, Place, quoted};
use super::sheet::entry;
use super::tally::{Reported, Tally};
use super::{shape, value};
use crate::records::{
    Directory, Entry, Kind, KnownPatch, Land, PatchName, Record, SiteName, folded,
};

const EXPECTED: &str = "an object of type `FeatureCollection` with a list `features`";

/// Of GeoJSON of other kinds.
const BRING: &str = "an object of type `FeatureCollection` with a list `features`; `stintbook bring` takes \
    a single feature or geometry, and asks what it is";

/// RFC 7946, 1.4: what GeoJSON is made of but for collections of features.
const BARE: [&str; 8] = [
    "Feature",
    "Point",
    "MultiPoint",
    "LineString",
    "MultiLineString",
    "Polygon",
    "MultiPolygon",
    "GeometryCollection",
];

/// The names of WGS84 longitude and latitude, the only system that RFC 7946 knows.
const WGS84: [&str; 3] = ["CRS84", "EPSG:4326", "EPSG::4326"];

pub(super) fn read(text: &str, known: &Gazetteer<'_>, tally: &mut Tally) -> Vec<Entry> {
    let value = match serde_json::from_str::<Value>(text) {
        Ok(value) => value,
        Err(error) => {
            tally.report(&Place::Line(error.line() as u64), None, not_json(text, &error));
            return Vec::new();
        }
    };
    match features(&value) {
        Ok((collection, features)) => read_features(collection, features, known, tally),
        Err(finding) => {
            tally.report(&Place::WholeFile, None, finding);
            Vec::new()
        }
    }
}

fn not_json(text: &str, error: &serde_json::Error) -> Finding {
    if error.to_string().starts_with("number out of range") {
        return Finding::new("a number is too large for any computer", "degrees and metres");
    }
    if error.is_eof() {
        return Finding::new("it ends in the middle", "a whole file, to its last bracket");
    }
    let line = text.lines().nth(error.line().saturating_sub(1)).unwrap_or_default();
    let before = line.get(..error.column().saturating_sub(1)).unwrap_or_default();
    let from = before.rfind([',', '[', '{', ':']).map_or(0, |at| at + 1);
    let near = quoted(line.get(from..).unwrap_or_default().trim());
    Finding::new(
        format!("this is not JSON at {near}"),
        "JSON; a number in it is plain digits with a point, `NaN` is none",
    )
}

fn features(value: &Value) -> Result<(&Map<String, Value>, &[Value]), Finding> {
    let kind = value.get("type").and_then(Value::as_str).unwrap_or_default();
    let (Some(collection), Some(features)) =
        (value.as_object(), value.get("features").and_then(Value::as_array))
    else {
        return Err(Finding::new(
            format!("{} is no collection of features", quoted(&value.to_string())),
            if BARE.contains(&kind) { BRING } else { EXPECTED },
        ));
    };
    if kind != "FeatureCollection" {
        return Err(Finding::new(
            format!("the type {} is none that can be read", quoted(kind)),
            EXPECTED,
        ));
    }
    match collection.get("crs").filter(|crs| !crs.is_null()).map(Value::to_string) {
        Some(crs) if !WGS84.iter().any(|name| crs.contains(name)) => Err(Finding::new(
            format!("its positions are in another system: {}", quoted(&crs)),
            "WGS84 longitude and latitude (EPSG:4326), as RFC 7946 has it",
        )),
        _ => Ok((collection, features)),
    }
}

fn read_features(
    collection: &Map<String, Value>,
    features: &[Value],
    known: &Gazetteer<'_>,
    tally: &mut Tally,
) -> Vec<Entry> {
    if features.is_empty() {
        tally.remark("nothing in it yet: no features".to_owned());
    }
    let read = features.iter().enumerate();
    let read = read.map(|(at, feature)| Feature::read(at + 1, feature, collection, tally));
    // Sites first, since zones and patches refer to them.
    let mut features: Vec<Feature<'_>> = read.filter_map(Result::ok).collect();
    features.sort_by_key(|feature| feature.kind != Kind::Site);
    let is_place = |feature: &Feature<'_>| feature.kind.land() != Land::Patch;
    let (places, about_patches): (Vec<Feature<'_>>, _) = features.into_iter().partition(is_place);
    let mut gathering = Gathering { known, sites: HashMap::new(), seen: HashMap::new() };
    let mut entries = gathering.all(&places, tally);
    if !about_patches.is_empty() {
        // They may be about patches of this very file.
        let names = with_patches_of(&entries, known.directory());
        let known = known.knowing(&names);
        let Gathering { sites, seen, .. } = gathering;
        let mut gathering = Gathering { known: &known, sites, seen };
        entries.extend(gathering.all(&about_patches, tally));
        gathering.known.said().iter().for_each(|said| tally.remark(said.clone()));
    }
    entries
}

/// The names, with those of patches among the entries.
fn with_patches_of(entries: &[Entry], names: &Directory) -> Directory {
    let known: HashSet<&PatchName> = names.patches.iter().map(|known| &known.name).collect();
    let new = entries.iter().filter_map(|entry| match &entry.record {
        Record::Patch(patch) if !known.contains(&patch.name) => {
            let (name, crop) = (patch.name.clone(), patch.crop.clone());
            Some(KnownPatch { name, crop, id: None })
        }
        _ => None,
    });
    let patches = names.patches.iter().cloned().chain(new).collect();
    Directory { patches, ..names.clone() }
}

/// Reads the one feature of a place that is being corrected.
pub(super) fn read_one(
    feature: &Value,
    known: &Gazetteer<'_>,
    tally: &mut Tally,
) -> Result<Entry, Reported> {
    let feature = Feature::read(1, feature, &Map::new(), tally)?;
    Gathering { known, sites: HashMap::new(), seen: HashMap::new() }.entry(&feature, tally)
}

/// What the features read so far have told.
struct Gathering<'g, 'a> {
    known: &'g Gazetteer<'a>,
    /// The sites of this file, by their folded names.
    sites: HashMap<String, (SiteName, Option<Rect>)>,
    /// Where each key was first met.
    seen: HashMap<(Kind, String), Place>,
}

impl Gathering<'_, '_> {
    fn all(&mut self, features: &[Feature<'_>], tally: &mut Tally) -> Vec<Entry> {
        let mut entries = Vec::new();
        for feature in features {
            entries.extend(self.entry(feature, tally));
            if tally.has_enough() {
                break;
            }
        }
        entries
    }

    fn entry(&mut self, feature: &Feature<'_>, tally: &mut Tally) -> Result<Entry, Reported> {
        let place = &feature.place;
        let is_missing = feature.geometry.is_null() && may_lack_shape(feature.kind);
        let shape = (!is_missing).then(|| {
            shape::read(feature.geometry)
                .map_err(|finding| tally.report(place, Some("geometry"), finding))
        });
        let mut fields = Fields::new(columns(feature.kind), feature.values(), place, tally)?;
        let fields = &mut fields;
        let set_down = value::day(fields.raw("recorded_on")).ok();
        let signature = fields.signature(set_down);
        let record = match feature.kind {
            Kind::Site => self.site(fields, shape)?,
            kind if kind.land() == Land::Patch => {
                read_feature(kind, fields, self.known, None, shape)?
            }
            kind => {
                let site = self.site_of(fields);
                let shape = match (kind, shape) {
                    (Kind::Patch, Some(shape)) => {
                        Some(shape.and_then(|shape| self.near_site(fields, &site, shape)))
                    }
                    (_, shape) => shape,
                };
                read_feature(kind, fields, self.known, Some(site), shape)?
            }
        };
        let entry = entry(record, signature?, 1);
        self.told_once(&entry, fields)?;
        Ok(entry)
    }

    fn site(
        &mut self,
        fields: &mut Fields<'_>,
        shape: Option<Result<Geometry, Reported>>,
    ) -> Result<Record, Reported> {
        let name = fields.raw("name");
        if let Ok(site) = SiteName::new(name) {
            // Even a faulty site is known, so that its patches are not called homeless.
            let drawn = shape.as_ref().and_then(|shape| shape.as_ref().ok());
            let bounds = drawn.and_then(|shape| shape.bounding_rect());
            self.sites.entry(folded(name)).or_insert((site, bounds));
        }
        let record = read_feature(Kind::Site, fields, self.known, None, shape)?;
        let name = record.site();
        if let Some((known, _)) = self.sites.get_mut(&folded(name.as_str())) {
            *known = name.clone();
        }
        Ok(record)
    }

    fn site_of(&self, fields: &mut Fields<'_>) -> Result<SiteName, Reported> {
        match self.sites.get(&folded(fields.raw("site"))) {
            Some((site, _)) => Ok(site.clone()),
            None => fields.site(self.known),
        }
    }

    /// Refuses a patch that lies off its site, but on it once its axes are swapped.
    fn near_site(
        &self,
        fields: &mut Fields<'_>,
        site: &Result<SiteName, Reported>,
        shape: Geometry,
    ) -> Result<Geometry, Reported> {
        let Ok(site) = site else { return Ok(shape) };
        let bounds = match self.sites.get(&folded(site.as_str())) {
            Some((_, bounds)) => *bounds,
            None => self.known.site_bounds(site),
        };
        let (Some(bounds), Some(patch)) = (bounds, shape.bounding_rect()) else {
            return Ok(shape);
        };
        let swap = |corner: geo::Coord| geo::Coord { x: corner.y, y: corner.x };
        let swapped = Rect::new(swap(patch.min()), swap(patch.max()));
        if patch.intersects(&bounds) || !swapped.intersects(&bounds) {
            return Ok(shape);
        }
        let found = format!("it lies far from `{site}`, yet on it with its axes swapped");
        Err(fields.refuse("geometry", Finding::new(found, "longitude first, then latitude")))
    }

    fn told_once(&mut self, entry: &Entry, fields: &mut Fields<'_>) -> Result<(), Reported> {
        let key = (entry.record.kind(), folded(&entry.key));
        if let Some(earlier) = self.seen.get(&key) {
            let found = format!("{earlier} already has this name");
            return Err(fields.refuse("name", found));
        }
        self.seen.insert(key, fields.place().clone());
        Ok(())
    }
}
