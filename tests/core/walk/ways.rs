//! Ways from patch to patch.

use geo::{Distance, Geodesic, LineString, Point};
use proptest::prelude::*;
use stintbook_core::ground::LocalMetres;
use stintbook_core::units::Metres;
use stintbook_core::walk::{along, way};

use crate::walk::law::laws;

/// On open water.
fn at((east, north): (f64, f64)) -> Point {
    LocalMetres::at(Point::new(-5.2, 54.3)).degrees(&Point::new(east, north))
}

fn length(stops: &[Point]) -> f64 {
    stops.windows(2).map(|leg| Geodesic.distance(leg[0], leg[1])).sum()
}

fn all_orders(n: usize) -> Vec<Vec<usize>> {
    if n == 0 {
        return vec![vec![]];
    }
    let longer =
        |order: Vec<usize>| (0..n).map(move |at| [&order[..at], &[n - 1], &order[at..]].concat());
    all_orders(n - 1).into_iter().flat_map(longer).collect()
}

fn places(many: impl Into<prop::collection::SizeRange>) -> impl Strategy<Value = Vec<Point>> {
    prop::collection::vec((-4000.0..4000.0, -4000.0..4000.0).prop_map(at), many)
}

proptest! {
    #![proptest_config(laws(60))]

    #[test]
    fn the_way_is_the_shortest_that_brute_force_finds(places in places(1..8)) {
        let start = at((0.0, 0.0));
        let found = way(&places, Some(start));
        let walked = |order: &Vec<usize>| {
            let stops: Vec<Point> =
                std::iter::once(start).chain(order.iter().map(|&n| places[n])).collect();
            length(&stops)
        };
        prop_assert!((found.length().0 - walked(&found.order)).abs() < 1e-6);
        let shortest = all_orders(places.len()).iter().map(walked).fold(f64::INFINITY, f64::min);
        // Over 8 km the plane in which the order is sought is off by some parts in 10,000.
        prop_assert!(found.length().0 <= shortest * 1.001, "{:?}, {}", found, shortest);
    }

    #[test]
    fn a_long_way_comes_by_every_place_once(places in places(11..60)) {
        let found = way(&places, None);
        prop_assert_eq!((found.legs[0], found.legs.len()), (Metres(0.0), places.len()));
        let stops: Vec<Point> = found.order.iter().map(|&n| places[n]).collect();
        prop_assert!((found.length().0 - length(&stops)).abs() < 1e-6);
        let mut order = found.order;
        order.sort();
        prop_assert_eq!(order, (0..places.len()).collect::<Vec<_>>());
    }

    #[test]
    fn a_route_passes_what_lies_beside_it(places in places(20), bends in places(2..9)) {
        let route = LineString::from_iter(bends.iter().copied());
        let sampled = |place: &Point| {
            let steps = bends.windows(2).flat_map(|edge| {
                let (from, to) = (edge[0], edge[1]);
                (0..=400).map(move |n| from + (to - from) * (f64::from(n) / 400.0))
            });
            steps.map(|step| Geodesic.distance(step, *place)).fold(f64::INFINITY, f64::min)
        };
        let passed = along(&route, Metres(500.0), &places);
        prop_assert!(passed.is_sorted_by(|a, b| a.along <= b.along));
        for (n, place) in places.iter().enumerate() {
            let nearest = sampled(place);
            match passed.iter().find(|passed| passed.place == n) {
                Some(passed) => {
                    prop_assert!((passed.off.0 - nearest).abs() < 15.0);
                    prop_assert!(passed.along.0 <= length(&bends) + 1e-6);
                }
                None => prop_assert!(nearest > 499.0),
            }
        }
    }
}

#[test]
fn a_place_beside_a_bent_route_is_told_by_how_far_along_and_how_far_off() {
    let route = LineString::from_iter([(0.0, 0.0), (300.0, 0.0), (300.0, 400.0)].map(at));
    let places = [(330.0, 200.0), (100.0, -20.0), (100.0, 60.0), (-30.0, -40.0)].map(at);
    let passed = along(&route, Metres(50.1), &places);
    let told: Vec<_> =
        passed.iter().map(|p| (p.place, p.along.0.round(), p.off.0.round())).collect();
    assert_eq!(told, [(3, 0.0, 50.0), (1, 100.0, 20.0), (0, 500.0, 30.0)]);
}

#[test]
fn no_place_no_route_and_no_place_on_earth_are_no_trouble() {
    assert_eq!(way(&[], None).length(), Metres(0.0));
    assert!(way(&[], Some(at((0.0, 0.0)))).order.is_empty());
    let nowhere = Point::new(f64::NAN, f64::INFINITY);
    assert_eq!(way(&[nowhere; 3], Some(nowhere)).order.len(), 3);
    let bent = LineString::from_iter([at((0.0, 0.0)), nowhere, at((9.0, 0.0))]);
    assert_eq!(along(&bent, Metres(10.0), &[at((1.0, 1.0)), nowhere]), []);
    assert_eq!(along(&LineString::new(vec![]), Metres(10.0), &[at((0.0, 0.0))]), []);
}
