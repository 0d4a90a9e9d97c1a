//! Which patch a phone's position belongs to.

use geo::Point;
use stintbook_core::ground::{PatchIndex, Placing};
use stintbook_core::records::{Footprint, GpsPoint, Patch};
use stintbook_core::units::Metres;

use crate::ground::plot::{assert_near, at, drawn, patch, rectangle};

fn gps(place: Point, accuracy: f64) -> GpsPoint {
    GpsPoint { lon: place.x(), lat: place.y(), accuracy: Metres(accuracy) }
}

/// Two banks of nettles 6 m apart, wild garlic over the first, and a bank that shares the
/// last metre of the second.
fn banks() -> [Patch; 4] {
    let field = |corners| Footprint::Area(rectangle(corners));
    [
        patch("west", "nettle-shoot", field([0.0, 0.0, 10.0, 10.0])),
        patch("east", "nettle-shoot", field([16.0, 0.0, 26.0, 10.0])),
        patch("garlic", "ramsons-leaf", field([0.0, 0.0, 10.0, 10.0])),
        patch("far east", "nettle-shoot", field([25.0, 0.0, 40.0, 10.0])),
    ]
}

fn placed(crop: &str, east: f64, north: f64) -> Placing {
    PatchIndex::new(&banks()).place(crop, &gps(at(east, north), 5.0))
}

#[test]
fn a_position_inside_one_patch_of_its_crop_belongs_to_it_whatever_else_is_near() {
    assert_eq!(placed("nettle-shoot", 9.0, 5.0), Placing::Inside(0));
    assert_eq!(placed("ramsons-leaf", 9.0, 5.0), Placing::Inside(2));
}

#[test]
fn the_edge_of_a_patch_belongs_to_it() {
    assert_eq!(placed("nettle-shoot", 10.0, 5.0), Placing::Inside(0));
    assert_eq!(placed("nettle-shoot", 0.0, 0.0), Placing::Inside(0));
}

#[test]
fn a_position_within_its_accuracy_of_one_patch_is_near_it() {
    let Placing::Near(0, distance) = placed("nettle-shoot", -4.0, 5.0) else {
        panic!("{:?}", placed("nettle-shoot", -4.0, 5.0));
    };
    assert_near(distance.0, 4.0, 0.001);
}

#[test]
fn a_position_within_reach_of_two_patches_is_between_them() {
    assert_eq!(placed("nettle-shoot", 12.0, 5.0), Placing::Between(vec![0, 1]));
    assert_eq!(placed("nettle-shoot", 25.5, 5.0), Placing::Between(vec![1, 3]));
}

#[test]
fn a_position_out_of_reach_is_told_the_nearest_patch_of_its_crop() {
    let Placing::Nowhere { nearest: Some((2, distance)) } = placed("ramsons-leaf", 610.0, 5.0)
    else {
        panic!("{:?}", placed("ramsons-leaf", 610.0, 5.0));
    };
    assert_near(distance.0, 600.0, 0.1);
    assert_eq!(placed("hazel-nut", 5.0, 5.0), Placing::Nowhere { nearest: None });
    assert_eq!(placed("nettle-shoot", 90_000.0, 0.0), Placing::Nowhere { nearest: None });
}

/// Plane distance in metres from a place to a square, 0 inside.
fn apart((east, north): (f64, f64), ((west, south), wide): ((f64, f64), f64)) -> f64 {
    let beyond = |at: f64, from: f64| (from - at).max(at - from - wide).max(0.0);
    beyond(east, west).hypot(beyond(north, south))
}

#[test]
fn placings_are_those_of_measuring_to_every_patch() {
    const CROPS: [&str; 2] = ["nettle-shoot", "ramsons-leaf"];
    let corner = || (-300.0..300.0, -300.0..300.0);
    let squares = drawn(proptest::collection::vec((corner(), 5.0..40.0), 150));
    let patches: Vec<Patch> = squares
        .iter()
        .enumerate()
        .map(|(n, &((west, south), wide))| {
            let ground = rectangle([west, south, west + wide, south + wide]);
            patch("one", CROPS[n % 2], Footprint::Area(ground))
        })
        .collect();
    let index = PatchIndex::new(&patches);
    let mut seen = [0; 4];
    for place in drawn(proptest::collection::vec(corner(), 3000)) {
        let nettles = squares.iter().map(|&square| apart(place, square)).enumerate().step_by(2);
        let mut reached: Vec<(usize, f64)> = nettles.filter(|(_, metres)| *metres <= 5.0).collect();
        reached.sort_by(|(_, a), (_, b)| a.total_cmp(b));
        let all: Vec<usize> = reached.iter().map(|(n, _)| *n).collect();
        let inside: Vec<usize> =
            reached.iter().filter(|(_, metres)| *metres == 0.0).map(|(n, _)| *n).collect();
        let placing = index.place("nettle-shoot", &gps(at(place.0, place.1), 5.0));
        let (kind, agrees) = match &placing {
            Placing::Inside(n) => (0, inside == [*n]),
            Placing::Near(n, metres) => {
                (1, all == [*n] && inside.is_empty() && (metres.0 - reached[0].1).abs() < 0.01)
            }
            Placing::Between(among) => {
                (2, among.len() > 1 && *among == if inside.is_empty() { all } else { inside })
            }
            Placing::Nowhere { .. } => (3, all.is_empty()),
        };
        assert!(agrees, "{placing:?} at {place:?}, within reach: {reached:?}");
        seen[kind] += 1;
    }
    assert!(seen.iter().all(|&count| count > 10), "{seen:?}");
}
