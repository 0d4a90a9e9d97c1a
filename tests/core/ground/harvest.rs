//! What may be cut of a patch: cases by hand, and laws.

use geo::orient::{Direction, Orient};
use geo::{Geometry, GeometryCollection, LineString, MultiPolygon, Point, Polygon};
use proptest::prelude::*;
use stintbook_core::ground::{Harvestable, SLIVER, SiteGround, footprint_area};
use stintbook_core::records::{Footprint, Zone};
use stintbook_core::units::{Metres, SquareMetres};

use crate::ground::plot::{
    SPOT, any_number, assert_near, at, disc, laws, line, rectangle, rectangle_at, site,
    site_within, strip, zone,
};

const WIDE: [f64; 4] = [-500.0, -500.0, 500.0, 500.0];

fn area(corners: [f64; 4]) -> Footprint {
    Footprint::Area(rectangle(corners))
}

fn parted(boundary: [f64; 4], zones: &[Zone], footprint: &Footprint) -> Harvestable {
    SiteGround::new(&site(boundary), zones).harvestable(footprint)
}

fn lost(parted: &Harvestable) -> Vec<(&str, f64)> {
    parted.lost_to.iter().map(|(name, area)| (&**name, area.0)).collect()
}

#[test]
fn a_patch_far_from_edges_and_zones_keeps_exactly_its_geodesic_area() {
    let patch = area([0.0, 0.0, 10.0, 10.0]);
    let found = parted(WIDE, &[zone("nest", at(100.0, 0.0), 20.0)], &patch);
    assert_eq!(found.harvestable, footprint_area(&patch));
    assert_eq!(found.footprint, footprint_area(&patch));
    assert_eq!((found.outside_site, found.plants), (SquareMetres(0.0), None));
    assert!(found.lost_to.is_empty());
}

#[test]
fn a_slanting_path_takes_nothing_from_a_patch_it_passes_by() {
    let path = zone("path", line(&[(-40.0, -50.0), (60.0, 50.0)]), 2.0);
    let patch = area([-20.0, 0.0, -10.0, 10.0]);
    assert_eq!(parted(WIDE, &[path], &patch).harvestable, footprint_area(&patch));
}

#[test]
fn a_patch_against_the_boundary_and_a_zone_still_keeps_exactly_its_area() {
    let patch = area([-500.0, 0.0, -490.0, 10.0]);
    let field = zone("field", rectangle([-490.0, -3.0, -480.0, 13.0]), 0.0);
    let found = parted(WIDE, &[field], &patch);
    assert_eq!(found.harvestable, footprint_area(&patch));
    assert!(found.lost_to.is_empty());
    assert_eq!(found.outside_site, SquareMetres(0.0));
}

#[test]
fn a_patch_half_in_a_zone_has_half() {
    let margin = zone("sprayed margin", rectangle([5.0, -20.0, 30.0, 20.0]), 0.0);
    let found = parted(WIDE, &[margin], &area([0.0, 0.0, 10.0, 10.0]));
    assert_near(found.footprint.0, 100.0, 0.001);
    assert_near(found.harvestable.0, 50.0, 0.001);
    assert_eq!(lost(&found)[0].0, "sprayed margin");
    assert_near(lost(&found)[0].1, 50.0, 0.001);
}

#[test]
fn a_hedge_with_a_third_outside_the_site_has_two_thirds() {
    let found = parted([-20.0, -20.0, 20.0, 20.0], &[], &strip(&[(0.0, 0.0), (30.0, 0.0)], 3.0));
    assert_near(found.footprint.0, 90.0, 0.001);
    assert_near(found.harvestable.0, 60.0, 0.001);
    assert_near(found.outside_site.0, 30.0, 0.001);
}

#[test]
fn a_disc_across_the_boundary_through_its_centre_has_half() {
    let found = parted([0.0, -20.0, 20.0, 20.0], &[], &disc(0.0, 0.0, 4.0));
    assert_near(found.footprint.0, std::f64::consts::PI * 16.0, 1e-9);
    assert_near(found.harvestable.0, std::f64::consts::PI * 8.0, 0.05);
}

/// The chord at half the radius cuts off r²·(π/3 − √3/4).
#[test]
fn a_disc_clipped_off_centre_loses_its_segment() {
    let segment = 16.0 * (std::f64::consts::FRAC_PI_3 - 3_f64.sqrt() / 4.0);
    let found = parted([-20.0, -20.0, 2.0, 20.0], &[], &disc(0.0, 0.0, 4.0));
    assert_near(found.outside_site.0, segment, 0.05);
}

#[test]
fn a_path_takes_its_margin_on_both_sides() {
    let path = zone("path", line(&[(5.0, -50.0), (5.0, 50.0)]), 2.0);
    let found = parted(WIDE, &[path], &area([0.0, 0.0, 10.0, 10.0]));
    assert_near(found.harvestable.0, 60.0, 0.01);
}

#[test]
fn a_field_with_a_margin_reaches_beyond_its_edge() {
    let field = zone("field", rectangle([10.0, -50.0, 60.0, 50.0]), 3.0);
    let found = parted(WIDE, &[field], &area([0.0, 0.0, 10.0, 10.0]));
    assert_near(found.harvestable.0, 70.0, 0.01);
}

#[test]
fn a_nest_takes_a_round_hole() {
    let found = parted(WIDE, &[zone("nest", at(0.0, 0.0), 5.0)], &area([-20.0, -20.0, 20.0, 20.0]));
    assert_near(lost(&found)[0].1, std::f64::consts::PI * 25.0, 0.25);
}

#[test]
fn points_and_lines_without_a_margin_take_nothing() {
    let patch = area([0.0, 0.0, 10.0, 10.0]);
    let zones =
        [zone("tree", at(5.0, 5.0), 0.0), zone("wall", line(&[(0.0, 5.0), (10.0, 5.0)]), 0.0)];
    assert_eq!(parted(WIDE, &zones, &patch).harvestable, footprint_area(&patch));
}

#[test]
fn ground_under_two_zones_is_lost_once_to_the_first() {
    let zones = [
        zone("first", rectangle([4.0, -5.0, 20.0, 15.0]), 0.0),
        zone("second", rectangle([2.0, -5.0, 20.0, 15.0]), 0.0),
    ];
    let found = parted(WIDE, &zones, &area([0.0, 0.0, 10.0, 10.0]));
    assert_near(found.harvestable.0, 20.0, 0.001);
    let lost = lost(&found);
    assert_eq!((lost[0].0, lost[1].0), ("first", "second"));
    assert_near(lost[0].1, 60.0, 0.001);
    assert_near(lost[1].1, 20.0, 0.001);
}

#[test]
fn overlapping_parts_of_one_zone_do_not_cancel_out() {
    let one = rectangle_at(SPOT, [2.0, -5.0, 20.0, 15.0]);
    let clockwise = rectangle_at(SPOT, [4.0, -5.0, 25.0, 15.0]).orient(Direction::Reversed);
    let collected = Geometry::GeometryCollection(GeometryCollection(vec![
        one.clone().into(),
        clockwise.clone().into(),
        at(-100.0, 0.0).into(),
    ]));
    for parts in [collected, MultiPolygon(vec![one, clockwise]).into()] {
        for (margin, left) in [(0.0, 20.0), (1.0, 10.0)] {
            let spills = zone("two spills", parts.clone(), margin);
            let found = parted(WIDE, &[spills], &area([0.0, 0.0, 10.0, 10.0]));
            assert_near(found.harvestable.0, left, 0.01);
        }
    }
}

#[test]
fn a_patch_in_a_hole_of_the_site_is_outside() {
    let around = rectangle_at(SPOT, WIDE);
    let hole = rectangle_at(SPOT, [-50.0, -50.0, 50.0, 50.0]);
    let ring = Polygon::new(around.exterior().clone(), vec![hole.exterior().clone()]);
    let ground = SiteGround::new(&site_within(ring.into()), []);
    let inner = area([0.0, 0.0, 10.0, 10.0]);
    let found = ground.harvestable(&inner);
    assert_eq!(found.harvestable, SquareMetres(0.0));
    assert_near(found.outside_site.0, 100.0, 0.001);
    assert_eq!(ground.covers_share(&inner), 0.0);
    assert_near(ground.covers_share(&area([40.0, 0.0, 60.0, 10.0])), 0.5, 1e-6);
    assert_eq!(ground.covers_share(&area([60.0, 0.0, 80.0, 10.0])), 1.0);
}

#[test]
fn slivers_left_of_a_patch_are_not_ground() {
    let patch = area([0.0, 0.0, 10.0, 10.0]);
    let cover = zone("cover", rectangle([0.004, -1.0, 10.0, 11.0]), 0.0);
    assert_eq!(parted(WIDE, &[cover], &patch).harvestable, SquareMetres(0.0));
    let edge = zone("edge", rectangle([-5.0, -1.0, 0.004, 11.0]), 0.0);
    assert_eq!(parted(WIDE, &[edge], &patch).harvestable, footprint_area(&patch));
}

#[test]
fn even_a_patch_smaller_than_a_sliver_can_lie_in_a_zone() {
    let seedling = disc(0.0, 0.0, 0.1);
    assert!(footprint_area(&seedling) < SLIVER);
    let found = parted(WIDE, &[zone("nest", at(0.0, 0.0), 5.0)], &seedling);
    assert_eq!(found.harvestable, SquareMetres(0.0));
}

#[test]
fn counted_plants_are_all_there_or_not_at_all() {
    let zones = [zone("nest", at(50.0, 0.0), 5.0)];
    let trees = |east| Footprint::Plants { centre: at(east, 0.0), count: 7 };
    for (east, left, reason) in
        [(0.0, 7, vec![]), (52.0, 0, vec![("nest", 0.0)]), (600.0, 0, vec![])]
    {
        let found = parted(WIDE, &zones, &trees(east));
        assert_eq!(found.plants, Some(left), "{east} m east");
        assert_eq!(lost(&found), reason);
        assert_eq!(found.harvestable, SquareMetres(0.0));
    }
    let ground = SiteGround::new(&site(WIDE), &zones);
    assert_eq!(ground.covers_share(&trees(52.0)), 1.0);
    assert_eq!(ground.covers_share(&trees(600.0)), 0.0);
}

/// The collection is the example of RFC 7946, appendix A.7.
#[test]
fn a_zone_of_mixed_shapes_holds_what_is_within_its_margin() {
    let mixed = Geometry::GeometryCollection(GeometryCollection(vec![
        Geometry::Point(Point::new(100.0, 0.0)),
        Geometry::LineString(LineString::from(vec![(101.0, 0.0), (102.0, 1.0)])),
    ]));
    let ground = SiteGround::new(&site(WIDE), &[zone("mixed", mixed, 1000.0)]);
    assert_eq!(ground.zone_at(100.008, 0.0), Some("mixed"));
    assert_eq!(ground.zone_at(101.5, 0.505), Some("mixed"));
    assert_eq!(ground.zone_at(100.5, 0.0), None);
    assert_eq!(ground.zone_at(f64::NAN, 0.0), None);
}

#[test]
fn a_zone_by_the_antimeridian_reaches_over_it() {
    let spot = Point::new(179.9999, -17.0);
    let strait = MultiPolygon(vec![
        rectangle_at(spot, [-200.0, -200.0, 10.0, 200.0]),
        rectangle_at(Point::new(-179.9999, -17.0), [-10.0, -200.0, 200.0, 200.0]),
    ]);
    let ground = SiteGround::new(&site_within(strait), &[zone("nest", spot, 50.0)]);
    assert_eq!(ground.zone_at(-179.9999, -17.0), Some("nest"));
    assert_eq!(ground.zone_at(-179.99, -17.0), None);

    let beyond = Point::new(-179.9999, -17.0);
    let eastern = rectangle_at(beyond, [-5.0, -5.0, 5.0, 5.0]);
    let found = ground.harvestable(&Footprint::Area(eastern.into()));
    assert_eq!(found.harvestable, SquareMetres(0.0));
}

#[test]
fn a_patch_cut_at_the_antimeridian_is_parted_like_any_other() {
    let west = |south: f64, north: f64| {
        Polygon::new(
            LineString::from(vec![
                (179.999, south),
                (180.0, south),
                (180.0, north),
                (179.999, north),
            ]),
            vec![],
        )
    };
    let east = |south: f64, north: f64| {
        Polygon::new(
            LineString::from(vec![
                (-180.0, south),
                (-179.999, south),
                (-179.999, north),
                (-180.0, north),
            ]),
            vec![],
        )
    };
    let both = |south, north| MultiPolygon(vec![west(south, north), east(south, north)]);
    let patch = Footprint::Area(both(-17.0, -16.999));
    let ground = SiteGround::new(
        &site_within(both(-17.5, -16.5)),
        &[zone("eastern half", east(-17.2, -16.8), 0.0)],
    );
    let found = ground.harvestable(&patch);
    assert_near(found.harvestable.0 / found.footprint.0, 0.5, 1e-6);
    assert_eq!(found.outside_site, SquareMetres(0.0));
}

fn any_corners() -> impl Strategy<Value = [f64; 4]> {
    (-60.0..50.0, -60.0..50.0, 0.5..60.0, 0.5..60.0)
        .prop_map(|(west, south, wide, high)| [west, south, west + wide, south + high])
}

fn any_footprint() -> impl Strategy<Value = Footprint> {
    let place = || (-50.0..50.0, -50.0..50.0);
    prop_oneof![
        any_corners().prop_map(area),
        (proptest::collection::vec(place(), 2..5), 0.5..8.0)
            .prop_map(|(places, width)| strip(&places, width)),
        (place(), 0.5..20.0).prop_map(|((east, north), radius)| disc(east, north, radius)),
    ]
}

fn any_zone() -> impl Strategy<Value = Zone> {
    let place = || (-50.0..50.0, -50.0..50.0);
    prop_oneof![
        (any_corners(), 0.0..5.0).prop_map(|(corners, by)| zone("field", rectangle(corners), by)),
        (proptest::collection::vec(place(), 2..5), 0.0..5.0).prop_map(|(places, by)| zone(
            "path",
            line(&places),
            by
        )),
        (place(), 0.0..20.0).prop_map(|((east, north), by)| zone("nest", at(east, north), by)),
    ]
}

proptest! {
    #![proptest_config(laws(256))]

    #[test]
    fn the_parts_add_up_and_none_is_negative(
        boundary in any_corners(),
        zones in proptest::collection::vec(any_zone(), 0..4),
        footprint in any_footprint(),
    ) {
        let found = parted(boundary, &zones, &footprint);
        let taken: f64 = found.lost_to.iter().map(|(_, area)| area.0).sum();
        prop_assert!(found.harvestable.0 >= 0.0 && found.outside_site.0 >= 0.0);
        prop_assert!(found.lost_to.iter().all(|(_, area)| area.0 > 0.0));
        prop_assert!(found.harvestable <= found.footprint);
        let sum = found.harvestable.0 + found.outside_site.0 + taken;
        let slivers = 10.0 * SLIVER.0;
        prop_assert!((sum - found.footprint.0).abs() < slivers, "{sum} of {found:?}");
    }

    #[test]
    fn one_more_zone_never_adds_ground(
        zones in proptest::collection::vec(any_zone(), 0..4),
        more in any_zone(),
        first in any::<bool>(),
        footprint in any_footprint(),
    ) {
        let before = parted(WIDE, &zones, &footprint).harvestable;
        let mut with_more = zones;
        with_more.insert(if first { 0 } else { with_more.len() }, more);
        let after = parted(WIDE, &with_more, &footprint).harvestable;
        // The overlay's grid may shift an edge by some micrometres.
        prop_assert!(after.0 <= before.0 + 1e-3, "{after} after {before}");
    }

    #[test]
    fn a_patch_wholly_in_a_zone_has_nothing(footprint in any_footprint()) {
        let found = parted(WIDE, &[zone("reserve", rectangle([-99.0, -99.0, 150.0, 150.0]), 0.0)], &footprint);
        prop_assert_eq!(found.harvestable, SquareMetres(0.0));
        prop_assert!((lost(&found)[0].1 / found.footprint.0 - 1.0).abs() < 1e-6);
    }

    #[test]
    fn no_number_makes_it_panic(
        numbers in proptest::collection::vec(any_number(), 8),
        reach in any_number(),
        margin in any_number(),
    ) {
        let places: Vec<(f64, f64)> = numbers.chunks(2).map(|pair| (pair[0], pair[1])).collect();
        let ring = MultiPolygon(vec![Polygon::new(LineString::from(places.clone()), vec![])]);
        let wild = LineString::from(places.clone());
        let spot = Point::from(places[0]);
        let ground = SiteGround::new(
            &site_within(ring.clone()),
            &[zone("ring", ring.clone(), margin), zone("line", wild.clone(), margin), zone("spot", spot, margin)],
        );
        ground.zone_at(spot.x(), spot.y());
        for footprint in [
            Footprint::Area(ring),
            Footprint::Strip { line: wild.into(), width: Metres(reach) },
            Footprint::Disc { centre: spot, radius: Metres(reach) },
            Footprint::Plants { centre: spot, count: 1 },
            area([0.0, 0.0, 10.0, 10.0]),
        ] {
            let found = ground.harvestable(&footprint);
            prop_assert!(found.harvestable.0 >= 0.0);
            prop_assert!((0.0..=1.0).contains(&ground.covers_share(&footprint)));
        }
    }
}
