//! Places drawn for quadrats: inside the ground, evenly, the same again, in a short order.

use geo::{
    Coord, Distance, Euclidean, Geometry, Intersects, LineString, MultiLineString, MultiPolygon,
    Point, Polygon, coord,
};
use proptest::prelude::*;
use stintbook_core::ground::{LocalMetres, SiteGround, walking_order};
use stintbook_core::records::{Footprint, Zone};
use stintbook_core::sampling::{Design, PlanError, Request, SurveyPlan, plan};
use stintbook_core::units::Metres;

use crate::ground::plot::{
    SPOT, any_number, assert_near, at, disc, laws, line, rectangle, site, site_within, strip, zone,
};

const WIDE: [f64; 4] = [-500.0, -500.0, 500.0, 500.0];
/// Six decimals of a degree are a decimetre; half of it, and a little for rounded corners.
const ROUNDING: f64 = 0.02;

fn request(design: Design, quadrats: usize, seed: u64) -> Request {
    Request { design, quadrats, seed, start: None }
}

fn drawn(zones: &[Zone], footprint: &Footprint, request: Request) -> SurveyPlan {
    plan(&SiteGround::new(&site(WIDE), zones), footprint, request).unwrap()
}

fn metres(plan: &SurveyPlan) -> Vec<Coord> {
    let here = LocalMetres::at(SPOT);
    plan.spots.iter().map(|spot| here.metres(&spot.at).into()).collect()
}

/// An L with a hole, and an island: 900 + 500 − 100 + 100 m².
fn awkward() -> Footprint {
    let here = LocalMetres::at(SPOT);
    let ring = |corners: &[(f64, f64)]| Polygon::new(corners.to_vec().into(), vec![]);
    let hole = vec![(10.0, 5.0), (20.0, 5.0), (20.0, 15.0), (10.0, 15.0), (10.0, 5.0)];
    let ell = Polygon::new(
        vec![
            (0.0, 0.0),
            (50.0, 0.0),
            (50.0, 20.0),
            (30.0, 20.0),
            (30.0, 50.0),
            (20.0, 50.0),
            (20.0, 30.0),
            (0.0, 20.0),
            (0.0, 0.0),
        ]
        .into(),
        vec![hole.into()],
    );
    let island = ring(&[(60.0, 0.0), (70.0, 0.0), (70.0, 10.0), (60.0, 10.0), (60.0, 0.0)]);
    Footprint::Area(here.degrees(&MultiPolygon::new(vec![ell, island])))
}

fn any_design() -> impl Strategy<Value = Design> {
    prop_oneof![Just(Design::Random), Just(Design::Stratified), Just(Design::Systematic)]
}

/// A footprint, and how far a place lies outside it, in metres.
fn any_footprint() -> impl Strategy<Value = Footprint> {
    let number = || -60.0..60.0;
    prop_oneof![
        (number(), number(), 2.0..30.0, 2.0..30.0).prop_map(|(west, south, wide, high)| {
            Footprint::Area(rectangle([west, south, west + wide, south + high]))
        }),
        (number(), number(), 1.0..15.0).prop_map(|(east, north, radius)| disc(east, north, radius)),
        (prop::collection::vec((number(), number()), 2..7), 0.8..4.0)
            .prop_map(|(places, width)| strip(&places, width)),
        Just(awkward()),
    ]
}

fn outside(footprint: &Footprint, place: Point) -> f64 {
    let here = LocalMetres::at(SPOT);
    let at = here.metres(&place);
    match footprint {
        Footprint::Area(ground) => Euclidean.distance(&here.metres(ground), &at),
        Footprint::Disc { centre, radius } => {
            Euclidean.distance(here.metres(centre), at) - radius.0
        }
        Footprint::Strip { line, width } => {
            Euclidean.distance(&here.metres(line), &at) - width.0 / 2.0
        }
        Footprint::Plants { .. } => 0.0,
    }
}

proptest! {
    #![proptest_config(laws(200))]

    #[test]
    fn no_footprint_out_of_a_bad_file_stops_the_drawing(
        places in prop::collection::vec((any_number(), any_number()), 2..6),
        size in any_number(),
        design in any_design(),
    ) {
        let ring: LineString = places.clone().into();
        let centre = Point::from(places[0]);
        let footprints = [
            Footprint::Area(Polygon::new(ring.clone(), vec![]).into()),
            Footprint::Strip { line: MultiLineString(vec![ring]), width: Metres(size) },
            Footprint::Disc { centre, radius: Metres(size) },
        ];
        for footprint in &footprints {
            let everywhere = site_within(Polygon::new(
                vec![(-180.0, -90.0), (180.0, -90.0), (180.0, 90.0), (-180.0, 90.0)].into(),
                vec![],
            ).into());
            let ground = SiteGround::new(&everywhere, &[]);
            if let Ok(plan) = plan(&ground, footprint, request(design, 5, 1)) {
                prop_assert!(plan.spots.iter().all(|spot| spot.at.x().is_finite()));
            }
        }
    }

    #[test]
    fn every_place_lies_in_the_patch_and_the_site_and_in_no_zone(
        footprint in any_footprint(),
        nest in (-60.0..60.0, -60.0..60.0, 1.0..20.0),
        path in (-60.0..60.0, -60.0..60.0, 0.5..3.0),
        design in any_design(),
        quadrats in 2_usize..30,
        seed in any::<u64>(),
    ) {
        let boundary = [-55.0, -55.0, 55.0, 55.0];
        let zones = [
            zone("nest", at(nest.0, nest.1), nest.2),
            zone("path", line(&[(-100.0, path.0), (100.0, path.1)]), path.2),
        ];
        let ground = SiteGround::new(&site(boundary), &zones);
        match plan(&ground, &footprint, request(design, quadrats, seed)) {
            Err(error) => {
                prop_assert_eq!(error, PlanError::NoGround);
                prop_assert!(ground.harvestable(&footprint).harvestable.0 < 1.0);
            }
            Ok(plan) => {
                prop_assert_eq!(plan.spots.len(), quadrats);
                let here = LocalMetres::at(SPOT);
                for spot in &plan.spots {
                    prop_assert!(outside(&footprint, spot.at) < ROUNDING);
                    prop_assert!(rectangle(boundary).intersects(&spot.at));
                    for zone in &zones {
                        let shape: Geometry = here.metres(&zone.shape);
                        let spot: Geometry = here.metres(&spot.at).into();
                        let away = Euclidean.distance(&shape, &spot);
                        let least = zone.buffer.0 - ROUNDING;
                        prop_assert!(away > least, "{} m from {}", away, zone.name);
                    }
                }
            }
        }
    }

    #[test]
    fn the_ground_drawn_from_is_the_ground_that_is_measured(
        footprint in any_footprint(),
        nest in (-60.0..60.0, -60.0..60.0, 1.0..20.0),
    ) {
        prop_assume!(!matches!(footprint, Footprint::Strip { .. }));
        let ground = SiteGround::new(&site(WIDE), &[zone("nest", at(nest.0, nest.1), nest.2)]);
        let measured = ground.harvestable(&footprint).harvestable.0;
        let shape = ground.harvestable_shape(&footprint).map_or(0.0, |shape| shape.area().0);
        let tolerance = 0.003 * measured + 0.06;
        prop_assert!((shape - measured).abs() < tolerance, "{} and {}", shape, measured);
    }

    #[test]
    fn a_bent_hedge_is_parted_without_loss_or_overlap(
        places in prop::collection::vec((-60.0..60.0, -60.0..60.0), 2..8),
        width in 0.5..4.0,
    ) {
        let hedge = strip(&places, width);
        let Footprint::Strip { line, width } = &hedge else { unreachable!() };
        let shape = SiteGround::new(&site(WIDE), &[]).harvestable_shape(&hedge).unwrap();
        let covered = {
            let here = LocalMetres::at(SPOT);
            let style = geo::buffer::BufferStyle::new(width.0 / 2.0)
                .line_cap(geo::buffer::LineCap::Butt)
                .line_join(geo::buffer::LineJoin::Round(0.1));
            geo::Area::unsigned_area(&geo::Buffer::buffer_with_style(&here.metres(line), style))
        };
        prop_assert!((shape.area().0 - covered).abs() < 0.002 * covered + 0.2);
    }

    #[test]
    fn the_walk_is_the_shortest_one_and_never_longer_than_as_drawn(
        places in prop::collection::vec((-50.0..50.0, -50.0..50.0), 1..8),
        many in prop::collection::vec((-50.0..50.0, -50.0..50.0), 11..40),
        start in prop::option::of((-50.0..50.0, -50.0..50.0)),
    ) {
        let coords = |list: &[(f64, f64)]| -> Vec<Coord> {
            list.iter().map(|&(x, y)| coord! { x: x, y: y }).collect()
        };
        let start = start.map(|(x, y)| coord! { x: x, y: y });
        let places = coords(&places);
        let found = walk(&places, &walking_order(&places, start), start);
        let shortest = all_orders(places.len())
            .into_iter()
            .filter(|order| start.is_some() || order[0] == southernmost(&places))
            .map(|order| walk(&places, &order, start))
            .fold(f64::INFINITY, f64::min);
        prop_assert!((found - shortest).abs() < 1e-9, "{} where {} would do", found, shortest);

        let many = coords(&many);
        let mut order = walking_order(&many, start);
        let found = walk(&many, &order, start);
        let first = if start.is_some() { None } else { Some(southernmost(&many)) };
        let as_drawn: Vec<usize> =
            first.into_iter().chain((0..many.len()).filter(|n| Some(*n) != first)).collect();
        prop_assert!(found <= walk(&many, &as_drawn, start) + 1e-9);
        for from in usize::from(start.is_none())..order.len() {
            for to in from + 1..order.len() {
                let mut turned = order.clone();
                turned[from..=to].reverse();
                let turned = walk(&many, &turned, start);
                prop_assert!(found <= turned + 1e-6, "a run turned round is shorter");
            }
        }
        order.sort();
        prop_assert_eq!(order, (0..many.len()).collect::<Vec<_>>());
    }
}

/// Twelve places, too many for every order to be looked at. From each to the nearest, then without
/// crossings, the walk would be 309 m.
#[test]
fn a_good_order_is_kept_where_going_to_the_nearest_makes_a_longer_one() {
    let places = [
        (30.0, 0.0),
        (30.0, 10.0),
        (80.0, 10.0),
        (70.0, 20.0),
        (70.0, 30.0),
        (90.0, 40.0),
        (70.0, 50.0),
        (60.0, 60.0),
        (50.0, 90.0),
        (40.0, 60.0),
        (30.0, 60.0),
        (0.0, 60.0),
    ]
    .map(|(x, y)| coord! { x: x, y: y });
    let as_drawn: Vec<usize> = (0..places.len()).collect();
    let found = walk(&places, &walking_order(&places, None), None);
    assert!(found <= walk(&places, &as_drawn, None), "{found}");
}

fn walk(places: &[Coord], order: &[usize], start: Option<Coord>) -> f64 {
    let stops: Vec<Coord> = start.into_iter().chain(order.iter().map(|&n| places[n])).collect();
    stops.windows(2).map(|leg| (leg[0].x - leg[1].x).hypot(leg[0].y - leg[1].y)).sum()
}

fn southernmost(places: &[Coord]) -> usize {
    (0..places.len()).min_by(|&a, &b| places[a].y.total_cmp(&places[b].y)).unwrap()
}

fn all_orders(n: usize) -> Vec<Vec<usize>> {
    if n == 0 {
        return vec![vec![]];
    }
    let shorter = all_orders(n - 1);
    let inserted = |order: &Vec<usize>, at: usize| {
        let mut order = order.clone();
        order.insert(at, n - 1);
        order
    };
    shorter.iter().flat_map(|order| (0..n).map(move |at| inserted(order, at))).collect()
}

#[test]
fn the_same_seed_draws_the_same_places_and_another_others() {
    for design in Design::ALL {
        let first = drawn(&[], &awkward(), request(design, 12, 7));
        assert_eq!(first, drawn(&[], &awkward(), request(design, 12, 7)));
        assert_ne!(first.spots, drawn(&[], &awkward(), request(design, 12, 8)).spots);
    }
}

/// Twelve cells of 10 m lie wholly in the awkward patch; each should get one part in as many
/// as its share of the ground. The bound is five standard deviations of chi-square.
#[test]
fn places_are_spread_evenly_over_an_awkward_patch() {
    let cells: [(f64, f64); 12] = [
        (0.0, 0.0),
        (0.0, 10.0),
        (20.0, 0.0),
        (20.0, 10.0),
        (30.0, 0.0),
        (30.0, 10.0),
        (40.0, 0.0),
        (40.0, 10.0),
        (20.0, 20.0),
        (20.0, 30.0),
        (20.0, 40.0),
        (60.0, 0.0),
    ];
    for design in Design::ALL {
        let mut counts = [0_u32; 12];
        for seed in 0..400 {
            for place in metres(&drawn(&[], &awkward(), request(design, 25, seed))) {
                let inside = |cell: &(f64, f64)| {
                    (cell.0..cell.0 + 10.0).contains(&place.x)
                        && (cell.1..cell.1 + 10.0).contains(&place.y)
                };
                if let Some(cell) = cells.iter().position(inside) {
                    counts[cell] += 1;
                }
            }
        }
        let expected = f64::from(counts.iter().sum::<u32>()) / 12.0;
        let chi_square: f64 =
            counts.iter().map(|&n| (f64::from(n) - expected).powi(2) / expected).sum();
        assert!(expected > 500.0, "{counts:?}");
        assert!(chi_square < 11.0 + 5.0 * 22_f64.sqrt(), "{design}: {chi_square}, {counts:?}");
    }
}

/// The half of a wedge towards its tip has a quarter of the ground. Five standard deviations.
#[test]
fn the_thin_end_of_a_wedge_gets_no_more_than_its_ground() {
    let wedge = vec![(0.0, -5.0), (80.0, 0.0), (0.0, 5.0), (0.0, -5.0)];
    let wedge = LocalMetres::at(SPOT).degrees(&Polygon::new(wedge.into(), vec![]));
    for design in Design::ALL {
        let places: Vec<Coord> = (0..40)
            .flat_map(|seed| {
                let asked = request(design, 50, seed);
                metres(&drawn(&[], &Footprint::Area(wedge.clone().into()), asked))
            })
            .collect();
        let in_tip = places.iter().filter(|place| place.x > 40.0).count();
        assert_eq!(places.len(), 2000);
        assert!((400..600).contains(&in_tip), "{design}: {in_tip} of 2000, not some 500");
    }
}

#[test]
fn each_of_twelve_equal_parts_of_a_field_has_its_place() {
    let field = Footprint::Area(rectangle([0.0, 0.0, 60.0, 20.0]));
    for (design, seed) in [(Design::Stratified, 3), (Design::Systematic, 4)] {
        let mut cells: Vec<(i64, i64)> = metres(&drawn(&[], &field, request(design, 12, seed)))
            .iter()
            .map(|place| ((place.x / 10.0).floor() as i64, (place.y / 10.0).floor() as i64))
            .collect();
        cells.sort();
        let all: Vec<_> = (0..6).flat_map(|x| (0..2).map(move |y| (x, y))).collect();
        assert_eq!(cells, all, "{design}");
    }
}

#[test]
fn systematic_places_are_equally_far_apart() {
    let verge = Footprint::Area(rectangle([0.0, 0.0, 50.0, 2.0]));
    let mut east: Vec<f64> = metres(&drawn(&[], &verge, request(Design::Systematic, 5, 1)))
        .iter()
        .map(|p| p.x)
        .collect();
    east.sort_by(f64::total_cmp);
    for step in east.windows(2) {
        assert_near(step[1] - step[0], 10.0, 0.15);
    }
}

#[test]
fn each_tenth_of_a_bent_hedge_has_its_place() {
    let hedge = strip(&[(0.0, 0.0), (60.0, 0.0), (60.0, 40.0)], 2.0);
    for seed in 0..20 {
        let plan = drawn(&[], &hedge, request(Design::Stratified, 10, seed));
        let along = |place: &Coord| if place.x < 59.0 { place.x } else { 60.0 + place.y };
        let mut tenths: Vec<f64> = metres(&plan).iter().map(along).collect();
        tenths.sort_by(f64::total_cmp);
        for (n, along) in tenths.iter().enumerate() {
            let from = 10.0 * n as f64;
            // The bend makes up to two metres of difference.
            assert!((from - 2.1..from + 12.1).contains(along), "seed {seed}: {tenths:?}");
        }
    }
}

#[test]
fn plants_are_drawn_by_number_each_once() {
    let plants = Footprint::Plants { centre: at(0.0, 0.0), count: 12 };
    let ground = SiteGround::new(&site(WIDE), &[]);
    let mut times = [0_u32; 12];
    for seed in 0..600 {
        for design in [Design::Random, Design::Systematic] {
            let plan = plan(&ground, &plants, request(design, 5, seed)).unwrap();
            let numbers: Vec<u32> = plan.spots.iter().filter_map(|spot| spot.plant).collect();
            assert!(numbers.len() == 5 && numbers.windows(2).all(|pair| pair[0] < pair[1]));
            numbers.iter().for_each(|&number| times[number as usize - 1] += 1);
        }
    }
    // 500 each; five standard deviations.
    assert!(times.iter().all(|&n| (400..600).contains(&n)), "{times:?}");
}

#[test]
fn what_cannot_be_drawn_is_refused_with_the_way_out() {
    let plants = Footprint::Plants { centre: at(0.0, 0.0), count: 12 };
    let field = Footprint::Area(rectangle([0.0, 0.0, 60.0, 20.0]));
    let all_of_it = zone("all", at(0.0, 0.0), 200.0);
    let open = SiteGround::new(&site(WIDE), &[]);
    let shut = SiteGround::new(&site(WIDE), &[all_of_it]);
    let refused = |ground, footprint, design, quadrats| {
        plan(ground, footprint, request(design, quadrats, 1)).unwrap_err()
    };
    assert_eq!(
        refused(&open, &plants, Design::Random, 13),
        PlanError::FewPlants { has: 12, asked: 13 }
    );
    assert_eq!(refused(&open, &plants, Design::Stratified, 5), PlanError::NoParts);
    assert_eq!(refused(&shut, &plants, Design::Random, 5), PlanError::NoGround);
    assert_eq!(refused(&shut, &field, Design::Random, 5), PlanError::NoGround);
    assert_eq!(refused(&open, &field, Design::Random, 1), PlanError::Number(1));
    assert_eq!(refused(&open, &field, Design::Random, 1001), PlanError::Number(1001));
}

#[test]
fn the_walk_begins_near_where_one_comes_from() {
    let field = Footprint::Area(rectangle([0.0, 0.0, 60.0, 20.0]));
    let north_east = at(60.0, 25.0);
    let asked = Request { start: Some(north_east), ..request(Design::Stratified, 8, 2) };
    let plan = drawn(&[], &field, asked);
    let first = metres(&plan)[0];
    let here: Coord = LocalMetres::at(SPOT).metres(&north_east).into();
    let leg = (first.x - here.x).hypot(first.y - here.y);
    assert_near(plan.to_first.unwrap().0, leg, 0.01);
    assert_eq!(plan.spots.last().unwrap().to_next, None);
    assert!(plan.walk().0 > leg);
}

/// A hedge walked with a phone that wrote a place each metre, a little off each time.
#[test]
fn a_hedge_of_a_thousand_shaky_places_is_parted_by_its_length() {
    let places: Vec<(f64, f64)> =
        (0..1000).map(|n| (f64::from(n) * 0.45, if n % 2 == 0 { 0.2 } else { -0.2 })).collect();
    let plan = drawn(&[], &strip(&places, 2.0), request(Design::Systematic, 9, 5));
    let mut east: Vec<f64> = metres(&plan).iter().map(|place| place.x).collect();
    east.sort_by(f64::total_cmp);
    for step in east.windows(2) {
        assert_near(step[1] - step[0], 50.0, 1.0);
    }
}
