//! Plots of land pegged out in metres around a spot in the sea, and what lies on them.

use geo::{Geometry, LineString, MultiLineString, MultiPolygon, Point, Polygon, Rect, coord};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{RngSeed, TestRunner};
use stintbook_core::ground::LocalMetres;
use stintbook_core::records::{Footprint, Patch, Site, SiteName, Zone};
use stintbook_core::units::Metres;

pub const SPOT: Point = Point(coord! { x: -5.2, y: 54.3 });

/// Fixed seed, nothing written to disk.
pub fn laws(cases: u32) -> ProptestConfig {
    ProptestConfig {
        cases,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(54),
        ..ProptestConfig::default()
    }
}

/// One draw from a strategy, the same every time.
pub fn drawn<T: std::fmt::Debug>(strategy: impl Strategy<Value = T>) -> T {
    strategy.new_tree(&mut TestRunner::deterministic()).unwrap().current()
}

/// A number out of a bad file: anything at all, a degree, or one a hair from another.
pub fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![
        any::<f64>(),
        -180.0..180.0,
        -90.0..90.0,
        (-9.0..9.0).prop_map(|power| 10_f64.powf(power)),
        prop_oneof![Just(0.0), Just(1e-12), Just(90.0), Just(-180.0), Just(180.0), Just(f64::NAN)],
    ]
}

/// From (west, south) to (east, north), in metres from the spot.
pub fn rectangle_at(spot: Point, [west, south, east, north]: [f64; 4]) -> Polygon {
    let box_in_metres = Rect::new(coord! { x: west, y: south }, coord! { x: east, y: north });
    LocalMetres::at(spot).degrees(&box_in_metres.to_polygon())
}

pub fn rectangle(corners: [f64; 4]) -> MultiPolygon {
    rectangle_at(SPOT, corners).into()
}

pub fn at(east: f64, north: f64) -> Point {
    LocalMetres::at(SPOT).degrees(&Point::new(east, north))
}

pub fn line(places: &[(f64, f64)]) -> LineString {
    LocalMetres::at(SPOT).degrees(&LineString::from(places.to_vec()))
}

pub fn strip(places: &[(f64, f64)], width: f64) -> Footprint {
    Footprint::Strip { line: MultiLineString(vec![line(places)]), width: Metres(width) }
}

pub fn disc(east: f64, north: f64, radius: f64) -> Footprint {
    Footprint::Disc { centre: at(east, north), radius: Metres(radius) }
}

pub fn site_within(boundary: MultiPolygon) -> Site {
    Site {
        name: SiteName::new("sandbank").unwrap(),
        boundary,
        occupier: None,
        protected: None,
        cautions: None,
    }
}

pub fn site(corners: [f64; 4]) -> Site {
    site_within(rectangle(corners))
}

pub fn zone(name: &str, shape: impl Into<Geometry>, buffer: f64) -> Zone {
    Zone {
        site: SiteName::new("sandbank").unwrap(),
        name: name.into(),
        shape: shape.into(),
        buffer: Metres(buffer),
        reason: None,
    }
}

pub fn patch(name: &str, crop: &str, footprint: Footprint) -> Patch {
    Patch {
        name: format!("sandbank/{name}").parse().unwrap(),
        crop: crop.into(),
        footprint,
        underfoot: None,
        note: None,
    }
}

pub fn assert_near(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{found} is not {expected} ± {tolerance}");
}
