//! What is near, and what overlaps, against brute force and by hand.

use geo::{Contains, Destination, Distance, Geodesic, LinesIter, Point};
use proptest::prelude::*;
use stintbook_core::ground::{PatchIndex, footprint_area};
use stintbook_core::records::{Footprint, Patch};
use stintbook_core::units::Metres;

use crate::ground::plot::{
    any_number, assert_near, at, disc, drawn, laws, patch, rectangle, rectangle_at, strip,
};

/// A stand by the corner it starts from, in metres, and its size.
type Stand = (f64, f64, f64, f64, u8);

fn stands(many: usize) -> impl Strategy<Value = Vec<Stand>> {
    let stand = (-2000.0..2000.0, -2000.0..2000.0, 2.0..60.0, 2.0..60.0, 0..3_u8);
    proptest::collection::vec(stand, many)
}

fn footprint_at(spot: Point, (east, north, wide, high, kind): Stand) -> Footprint {
    let corner = Geodesic.destination(Geodesic.destination(spot, 90.0, east), 0.0, north);
    match kind {
        0 => Footprint::Area(rectangle_at(corner, [0.0, 0.0, wide, high]).into()),
        1 => Footprint::Disc { centre: corner, radius: Metres(wide / 4.0) },
        _ => Footprint::Plants { centre: corner, count: 3 },
    }
}

/// The least geodesic distance to any of many places on the edge; 0 inside.
fn brute_force(from: Point, footprint: &Footprint) -> f64 {
    match footprint {
        Footprint::Area(polygons) if polygons.contains(&from) => 0.0,
        Footprint::Area(polygons) => polygons
            .lines_iter()
            .flat_map(|edge| (0..=100).map(move |step| edge.start_point() + edge_step(edge, step)))
            .map(|place| Geodesic.distance(from, place))
            .fold(f64::INFINITY, f64::min),
        Footprint::Disc { centre, radius } => {
            (Geodesic.distance(from, *centre) - radius.0).max(0.0)
        }
        Footprint::Plants { centre, .. } => Geodesic.distance(from, *centre),
        Footprint::Strip { .. } => panic!("hedges have a test by hand"),
    }
}

fn edge_step(edge: geo::Line, step: i32) -> Point {
    Point::from(edge.delta()) * (f64::from(step) / 100.0)
}

/// From close to a pole a reach holds every longitude, and a box of it is asked for in each turn of
/// the Earth.
#[test]
fn a_patch_by_the_pole_is_found_once() {
    let by_the_pole = |lon: f64| {
        let centre = Point::new(lon, 89.999);
        patch("one", "nettle-shoot", Footprint::Disc { centre, radius: Metres(5.0) })
    };
    let patches = [0.0, 180.0, -90.0].map(by_the_pole);
    let index = PatchIndex::new(&patches);
    let mut found: Vec<usize> =
        index.near(0.0, 89.999, Metres(500.0)).into_iter().map(|(patch, _)| patch).collect();
    found.sort_unstable();
    assert_eq!(found, [0, 1, 2]);
}

#[test]
fn near_finds_what_brute_force_finds_at_every_latitude_and_over_the_antimeridian() {
    let places =
        [(-5.2, 54.3), (18.0, 78.9), (-70.0, -55.0), (179.99, -17.0), (-179.99, 66.0), (0.0, 0.0)];
    let mut compared = 0;
    for (lon, lat) in places {
        let spot = Point::new(lon, lat);
        let patches: Vec<Patch> = drawn(stands(400))
            .into_iter()
            .map(|stand| patch("one", "nettle-shoot", footprint_at(spot, stand)))
            .collect();
        let index = PatchIndex::new(&patches);
        for within in [50.0, 800.0] {
            let found = index.near(lon, lat, Metres(within));
            let expected: Vec<f64> =
                patches.iter().map(|patch| brute_force(spot, &patch.footprint)).collect();
            assert!(found.is_sorted_by(|(_, a), (_, b)| a <= b));
            for (n, distance) in &found {
                // Discs are polygons of some sixty sides, edges were sampled at 1 %.
                assert_near(distance.0, expected[*n], 0.05 + 1e-4 * within);
            }
            let certain = expected.iter().filter(|&&metres| metres < within - 0.2).count();
            let possible = expected.iter().filter(|&&metres| metres < within + 0.2).count();
            assert!((certain..=possible).contains(&found.len()), "{} at {spot:?}", found.len());
            compared += found.len();
        }
    }
    assert!(compared > 100, "only {compared} patches were near");
}

#[test]
fn a_hedge_is_near_by_its_side() {
    let hedge = patch("hedge", "blackberry", strip(&[(0.0, 0.0), (40.0, 0.0)], 3.0));
    let index = PatchIndex::new([&hedge]);
    let from = at(20.0, 10.0);
    assert_near(index.near(from.x(), from.y(), Metres(20.0))[0].1.0, 8.5, 0.001);
    let inside = at(39.0, -1.4);
    assert_eq!(index.near(inside.x(), inside.y(), Metres(0.0)), [(0, Metres(0.0))]);
}

#[test]
fn patches_of_one_crop_that_share_ground_are_found_with_how_much() {
    let field = |corners| Footprint::Area(rectangle(corners));
    let patches = [
        patch("bank", "nettle-shoot", field([0.0, 0.0, 10.0, 10.0])),
        patch("dip", "nettle-shoot", field([8.0, 0.0, 20.0, 10.0])),
        patch("beside the dip", "nettle-shoot", field([20.0, 0.0, 30.0, 10.0])),
        patch("another crop", "ramsons-leaf", field([0.0, 0.0, 10.0, 10.0])),
        patch("hedge", "nettle-shoot", strip(&[(5.0, -10.0), (5.0, 4.0)], 2.0)),
        patch("tree", "nettle-shoot", Footprint::Plants { centre: at(5.0, 5.0), count: 1 }),
        patch("far round", "nettle-shoot", disc(90.0, 0.0, 4.0)),
    ];
    let index = PatchIndex::new(&patches);
    let found = index.overlaps();
    assert_eq!(found.iter().map(|&(a, b, _)| (a, b)).collect::<Vec<_>>(), [(0, 1), (0, 4)]);
    assert_near(found[0].2.0, 20.0, 0.001);
    assert_near(found[1].2.0, 8.0, 0.001);
    assert_eq!(index.overlaps_of(4).iter().map(|&(n, _)| n).collect::<Vec<_>>(), [0]);
    assert_eq!(index.overlaps_of(2), []);
}

#[test]
fn patches_share_ground_from_whichever_side_of_the_antimeridian_they_were_written_down() {
    let square = |west: f64| {
        let corners = [(0.0, 0.0), (2e-4, 0.0), (2e-4, 1e-4), (0.0, 1e-4)];
        let ring = geo::LineString::from_iter(corners.map(|(east, lat)| (west + east, lat)));
        Footprint::Area(geo::Polygon::new(ring, vec![]).into())
    };
    for written in [[179.9999, -180.0001], [-180.0001, 179.9999]] {
        let patches = written.map(|west| patch("spit", "sea-beet", square(west)));
        let index = PatchIndex::new(&patches);
        let [(0, 1, shared)] = index.overlaps()[..] else { panic!("they are one ground") };
        assert_near(shared.0, footprint_area(&patches[0].footprint).0, 0.01);
        assert_eq!(index.overlaps_of(1), [(0, shared)]);
    }
}

#[test]
fn overlaps_are_those_of_comparing_every_pair() {
    let stands = drawn(stands(300));
    let corners: Vec<[f64; 4]> = stands
        .iter()
        .map(|&(east, north, wide, high, _)| {
            [east / 5.0, north / 5.0, east / 5.0 + wide, north / 5.0 + high]
        })
        .collect();
    let patches: Vec<Patch> = corners
        .iter()
        .map(|&corners| patch("one", "nettle-shoot", Footprint::Area(rectangle(corners))))
        .collect();
    let shared = |a: [f64; 4], b: [f64; 4]| {
        let wide = a[2].min(b[2]) - a[0].max(b[0]);
        let high = a[3].min(b[3]) - a[1].max(b[1]);
        if wide > 0.0 && high > 0.0 { wide * high } else { 0.0 }
    };
    let mut expected = Vec::new();
    for a in 0..corners.len() {
        for b in a + 1..corners.len() {
            let area = shared(corners[a], corners[b]);
            if area > 0.05 {
                expected.push((a, b, area));
            }
        }
    }
    assert!(expected.len() > 100, "only {} pairs overlap", expected.len());
    let found = PatchIndex::new(&patches).overlaps();
    assert_eq!(found.len(), expected.len());
    for ((a, b, area), (c, d, metres)) in found.into_iter().zip(expected) {
        assert_eq!((a, b), (c, d));
        assert_near(area.0, metres, 0.001 * metres + 0.001);
    }
}

proptest! {
    #![proptest_config(laws(256))]

    #[test]
    fn no_number_makes_it_panic(
        numbers in proptest::collection::vec(any_number(), 8),
        lon in any_number(),
        lat in any_number(),
        within in any_number(),
    ) {
        let places: Vec<(f64, f64)> = numbers.chunks(2).map(|pair| (pair[0], pair[1])).collect();
        let spot = Point::from(places[0]);
        let ring = geo::Polygon::new(geo::LineString::from(places.clone()), vec![]);
        let patches = [
            Footprint::Area(ring.into()),
            Footprint::Strip { line: geo::LineString::from(places).into(), width: Metres(within) },
            Footprint::Disc { centre: spot, radius: Metres(within) },
            Footprint::Plants { centre: spot, count: 1 },
        ]
        .map(|footprint| patch("wild", "nettle-shoot", footprint));
        let index = PatchIndex::new(&patches);
        let found = index.near(lon, lat, Metres(within));
        prop_assert!(found.iter().all(|(_, metres)| metres.0 <= within));
        index.overlaps();
    }
}
