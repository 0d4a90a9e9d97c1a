//! How much of a patch may be cut at all: inside the site, outside its no-take zones.

use std::collections::BTreeSet;
use std::sync::{Arc, OnceLock};

use geo::{BoundingRect, Geometry, MultiPolygon, Point, Rect};
use rstar::RTree;

use super::area::footprint_area;
use super::bounds::{Boxed, boxed, envelope, point_box, turned, widened};
use super::outline::{footprint_outline, with_margin};
use super::region::{Lie, Region};
use super::remnant::Remnant;
use super::shape::HarvestableShape;
use crate::records::{Footprint, Site, Zone};
use crate::units::{Metres, SquareMetres};

/// A site's boundary and no-take zones, made ready to ask about its patches.
#[derive(Debug)]
pub struct SiteGround {
    boundary: Region,
    zones: Vec<NoTake>,
    /// Boxes of the zones, margins included.
    zone_boxes: RTree<Boxed>,
}

/// The ground of a patch, parted into what may be cut and what may not.
///
/// Where zones overlap, the first one takes the ground. The parts add up to the footprint,
/// but for slivers under 0.05 m², which are neither harvestable nor listed.
#[derive(Clone, Debug, PartialEq)]
pub struct Harvestable {
    /// All the ground the patch covers, geodesic; 0 for counted plants.
    pub footprint: SquareMetres,
    /// What of it lies inside the site and outside every no-take zone.
    pub harvestable: SquareMetres,
    /// For counted plants: all of them, or 0 where they stand outside the site or in a zone.
    pub plants: Option<u32>,
    /// What of it lies beyond the site's boundary.
    pub outside_site: SquareMetres,
    /// No-take zones and what each takes (counted plants lose no area).
    pub lost_to: Vec<(Arc<str>, SquareMetres)>,
}

#[derive(Debug)]
struct NoTake {
    name: Arc<str>,
    shape: Geometry,
    margin: Metres,
    /// Made when a patch first comes near: many zones never meet one.
    region: OnceLock<Region>,
}

impl SiteGround {
    /// A site with its no-take zones, ready to be asked about patches.
    pub fn new<'a>(site: &Site, zones: impl IntoIterator<Item = &'a Zone>) -> Self {
        let zones: Vec<NoTake> = zones.into_iter().map(NoTake::new).collect();
        let boxes = zones.iter().enumerate().filter_map(|(n, zone)| boxed(zone.bounds()?, n));
        let zone_boxes = RTree::bulk_load(boxes.collect());
        Self { boundary: Region::new(site.boundary.clone()), zones, zone_boxes }
    }

    /// Parts the ground of a patch. One that lies inside the site and away from zones costs
    /// no overlay.
    pub fn harvestable(&self, footprint: &Footprint) -> Harvestable {
        match footprint {
            Footprint::Plants { centre, count } => self.plants(*centre, *count),
            _ => self.ground(footprint_area(footprint), &footprint_outline(footprint)),
        }
    }

    /// The ground that [`SiteGround::harvestable`] measures; `None` where there is none, and
    /// for counted plants.
    pub fn harvestable_shape(&self, footprint: &Footprint) -> Option<HarvestableShape> {
        let outline = footprint_outline(footprint);
        let bounds = outline.bounding_rect()?;
        let mut rest = Remnant::whole(&outline)?;
        if self.boundary.lie_of(bounds) != Lie::Inside {
            rest.keep(self.boundary.ground());
        }
        for zone in self.zones_reaching(bounds) {
            rest.take_away(zone.region().ground());
        }
        let (metres, left) = rest.into_shape();
        HarvestableShape::of(footprint, metres, left)
    }

    /// How much of one patch's harvestable ground lies on another's, 0 to 1; 0 where it has none.
    pub fn part_on(&self, one: &Footprint, other: &Footprint) -> f64 {
        let outline = footprint_outline(one);
        let (Some(bounds), Some(mut rest)) = (outline.bounding_rect(), Remnant::whole(&outline))
        else {
            return 0.0;
        };
        if self.boundary.lie_of(bounds) != Lie::Inside {
            rest.keep(self.boundary.ground());
        }
        for zone in self.zones_reaching(bounds) {
            rest.take_away(zone.region().ground());
        }
        let all = rest.share_left();
        rest.keep(&footprint_outline(other));
        if all > 0.0 { (rest.share_left() / all).min(1.0) } else { 0.0 }
    }

    /// The share of a patch that lies inside the site, from 0 to 1; counted plants are in or
    /// out. Zones do not matter here.
    pub fn covers_share(&self, footprint: &Footprint) -> f64 {
        if let Footprint::Plants { centre, .. } = footprint {
            return if self.boundary.covers(*centre) { 1.0 } else { 0.0 };
        }
        let outline = footprint_outline(footprint);
        let lie = outline.bounding_rect().map(|bounds| self.boundary.lie_of(bounds));
        match lie {
            Some(Lie::Inside) => 1.0,
            Some(Lie::Across) => Remnant::whole(&outline).map_or(0.0, |mut rest| {
                rest.keep(self.boundary.ground());
                rest.share_left()
            }),
            Some(Lie::Outside) | None => 0.0,
        }
    }

    /// The first no-take zone that holds a place, in degrees; a zone's edge belongs to it.
    pub fn zone_at(&self, lon: f64, lat: f64) -> Option<&str> {
        self.zone_holding(Point::new(lon, lat)).map(|zone| &*zone.name)
    }

    fn plants(&self, centre: Point, count: u32) -> Harvestable {
        let zone = self.zone_holding(centre);
        let may_be_cut = zone.is_none() && self.boundary.covers(centre);
        Harvestable {
            plants: Some(if may_be_cut { count } else { 0 }),
            lost_to: zone.map(|zone| (zone.name.clone(), SquareMetres(0.0))).into_iter().collect(),
            ..Harvestable::none_of(SquareMetres(0.0))
        }
    }

    fn ground(&self, footprint: SquareMetres, outline: &MultiPolygon) -> Harvestable {
        let Some(bounds) = outline.bounding_rect() else {
            return Harvestable::none_of(footprint);
        };
        let inside = self.boundary.lie_of(bounds) == Lie::Inside;
        let zones = self.zones_reaching(bounds);
        if inside && zones.is_empty() {
            return Harvestable::all_of(footprint);
        }
        let boundary = (!inside).then_some(&self.boundary);
        Remnant::whole(outline).map_or_else(
            || Harvestable::none_of(footprint),
            |rest| parted(footprint, rest, boundary, &zones),
        )
    }

    /// The zones that may take ground from a box, in their own order.
    fn zones_reaching(&self, bounds: Rect) -> Vec<&NoTake> {
        self.zones_where(bounds, |region, bounds| region.lie_of(bounds) != Lie::Outside)
    }

    fn zone_holding(&self, place: Point) -> Option<&NoTake> {
        let holding = |region: &Region, bounds: Rect| region.covers(bounds.min().into());
        self.zones_where(point_box(place), holding).first().copied()
    }

    /// The zones that pass, of those whose boxes meet one; only these are ever made.
    fn zones_where(&self, bounds: Rect, passes: impl Fn(&Region, Rect) -> bool) -> Vec<&NoTake> {
        let passing = |bounds: Rect| {
            let boxed = self.zone_boxes.locate_in_envelope_intersecting(&envelope(bounds));
            let passes = &passes;
            boxed.map(|boxed| boxed.data).filter(move |&n| passes(self.zones[n].region(), bounds))
        };
        let positions: BTreeSet<usize> = turned(bounds).flat_map(passing).collect();
        positions.into_iter().map(|n| &self.zones[n]).collect()
    }
}

/// Takes from a patch what lies outside a boundary, if one runs through it, and then what
/// each zone holds.
fn parted(
    footprint: SquareMetres,
    mut rest: Remnant,
    boundary: Option<&Region>,
    zones: &[&NoTake],
) -> Harvestable {
    let sliver = rest.sliver_share();
    let outside = boundary.map_or(0.0, |boundary| rest.keep(boundary.ground()));
    let lost = zones
        .iter()
        .map(|zone| (zone.name.clone(), rest.take_away(zone.region().ground())))
        .filter(|(_, share)| *share >= sliver)
        .map(|(name, share)| (name, footprint * share))
        .collect();
    Harvestable {
        footprint,
        harvestable: footprint * rest.share_left(),
        plants: None,
        outside_site: footprint * if outside >= sliver { outside } else { 0.0 },
        lost_to: lost,
    }
}

impl Harvestable {
    fn all_of(footprint: SquareMetres) -> Self {
        Self { harvestable: footprint, ..Self::none_of(footprint) }
    }

    fn none_of(footprint: SquareMetres) -> Self {
        Self {
            footprint,
            harvestable: SquareMetres(0.0),
            plants: None,
            outside_site: SquareMetres(0.0),
            lost_to: Vec::new(),
        }
    }
}

impl NoTake {
    fn new(zone: &Zone) -> Self {
        Self {
            name: zone.name.clone(),
            shape: zone.shape.clone(),
            margin: zone.buffer,
            region: OnceLock::new(),
        }
    }

    fn region(&self) -> &Region {
        self.region.get_or_init(|| Region::new(with_margin(&self.shape, self.margin)))
    }

    fn bounds(&self) -> Option<Rect> {
        self.shape.bounding_rect().map(|bounds| widened(bounds, self.margin))
    }
}
