//! Footfall: who came in 365 days, on how much ground, against what it bears.

use geo::{LineString, MultiLineString, Point};
use jiff::ToSpan;
use jiff::civil::{Date, date};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use stintbook_core::crop::Extent;
use stintbook_core::pressure::{Footfall, TroddenGround};
use stintbook_core::records::{Footprint, Patch, Taken, Underfoot};
use stintbook_core::regrowth::{Event, History, Seen};
use stintbook_core::units::{Metres, SquareMetres};

const DAY: Date = date(2027, 4, 10);

fn came(day: Date, people: Option<u32>) -> Event {
    let seen = Seen::Cut { amount: 0.0, taken: Taken::ByWeight, people };
    Event { day, by: "Ana".into(), seen }
}

fn ground(footprint: Footprint, area: f64, plants: Option<u32>) -> TroddenGround {
    let extent = Extent::of(&footprint, SquareMetres(area), plants);
    let patch = Patch {
        name: "plot/bank".parse().unwrap(),
        crop: "nettle-tops".into(),
        footprint,
        underfoot: Some(Underfoot::TussockGrass),
        note: None,
    };
    TroddenGround::of(&patch, &extent)
}

fn disc(area: f64) -> TroddenGround {
    ground(Footprint::Disc { centre: Point::new(0.0, 52.0), radius: Metres(5.0) }, area, None)
}

/// Nine people in and out of 150 m² are 12 passes on 100 m²; 360 halve the cover of a tussock
/// grass understorey (Hill and Pickering 2009).
#[test]
fn passes_are_two_a_person_on_each_hundred_square_metres() {
    let history = History::new(vec![came(DAY, Some(9))]);
    let footfall = Footfall::on(DAY, &history, &disc(150.0));
    assert_eq!(footfall.person_visits, 9);
    assert_eq!(footfall.passes_per_100m2, Some(12.0));
    assert!((footfall.part_of_limit.unwrap() - 12.0 / 360.0).abs() < 1e-12);
    assert!(!footfall.is_at_limit());
}

#[test]
fn a_visit_counts_on_its_day_and_for_the_364_days_after() {
    let history = History::new(vec![came(date(2026, 4, 11), Some(3))]);
    let people = |day| Footfall::on(day, &history, &disc(100.0)).person_visits;
    assert_eq!(people(date(2026, 4, 10)), 0);
    assert_eq!(people(date(2026, 4, 11)), 3);
    assert_eq!(people(date(2027, 4, 10)), 3);
    assert_eq!(people(date(2027, 4, 11)), 0);
}

#[test]
fn a_visit_without_a_number_of_people_counts_as_one_and_is_told() {
    let history = History::new(vec![came(DAY, None), came(DAY, Some(4)), came(DAY, None)]);
    let footfall = Footfall::on(DAY, &history, &disc(100.0));
    assert_eq!((footfall.person_visits, footfall.visits_without_people), (6, 2));
}

#[test]
fn what_was_seen_or_measured_is_no_visit() {
    let glance = Event { day: DAY, by: "Ana".into(), seen: Seen::Glance(900.0) };
    let footfall = Footfall::on(DAY, &History::new(vec![glance]), &disc(100.0));
    assert_eq!(footfall.person_visits, 0);
}

#[test]
fn people_stand_beside_a_hedge_and_around_counted_plants() {
    let line = MultiLineString(vec![LineString::from(vec![(0.0, 52.0), (0.001, 52.0)])]);
    let hedge = ground(Footprint::Strip { line, width: Metres(2.5) }, 200.0, None);
    assert_eq!(hedge.area, SquareMetres(80.0));
    assert_eq!(hedge.room(), Some(10));
    let centre = Point::new(0.0, 52.0);
    let trees = |count, left| ground(Footprint::Plants { centre, count }, 0.0, Some(left));
    assert_eq!(trees(6, 6).area, SquareMetres(48.0));
    assert_eq!(trees(6, 6).room(), Some(6));
    // All of them in a no-take zone: no ground, and nothing to count on it.
    let none = Footfall::on(DAY, &History::new(vec![came(DAY, Some(9))]), &trees(6, 0));
    assert_eq!((none.passes_per_100m2, none.part_of_limit), (None, None));
    assert_eq!(trees(6, 0).room(), None);
}

#[test]
fn there_is_room_for_one_on_the_smallest_ground_and_for_any_number_on_bare_ground() {
    assert_eq!(disc(0.3).room(), Some(1));
    assert_eq!(disc(79.0).room(), Some(9));
    let bare = TroddenGround { underfoot: Some(Underfoot::Bare), ..disc(79.0) };
    assert_eq!(bare.room(), None);
}

#[test]
fn the_ends_of_the_calendar_and_grounds_that_are_none_do_no_harm() {
    let crowd = |day| History::new(vec![came(day, Some(u32::MAX)), came(day, Some(u32::MAX))]);
    for day in [Date::MIN, Date::MAX, DAY] {
        for area in [f64::NAN, f64::INFINITY, f64::MIN_POSITIVE, -1.0, 0.0, 1e300] {
            let ground = TroddenGround { area: SquareMetres(area), ..disc(1.0) };
            let footfall = Footfall::on(day, &crowd(day), &ground);
            assert!(footfall.passes_per_100m2.is_none_or(|passes| passes >= 0.0));
            let _ = Footfall::first_day_under_limit(day, &crowd(day), &ground);
            let _ = ground.room();
        }
    }
}

fn laws() -> ProptestConfig {
    ProptestConfig {
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(27),
        ..ProptestConfig::default()
    }
}

fn visits() -> impl Strategy<Value = Vec<Event>> {
    let visit = (0..900_i64, prop::option::of(0..60_u32));
    let event = |(back, people): (i64, Option<u32>)| came(DAY - back.days(), people);
    prop::collection::vec(visit.prop_map(event), 0..30)
}

proptest! {
    #![proptest_config(laws())]

    #[test]
    fn one_more_visit_or_less_ground_never_lowers_the_pressure(
        visits in visits(), more in prop::option::of(0..60_u32), area in 1.0..5000.0_f64
    ) {
        let part = |events: &[Event], area: f64| {
            Footfall::on(DAY, &History::new(events.to_vec()), &disc(area)).part_of_limit.unwrap()
        };
        let before = part(&visits, area);
        let mut again = visits.clone();
        again.push(came(DAY, more));
        prop_assert!(part(&again, area) >= before);
        prop_assert!(part(&visits, 0.9 * area) >= before);
    }

    #[test]
    fn ground_at_its_limit_opens_on_the_first_day_that_it_is_not(
        visits in visits(), area in 20.0..400.0_f64
    ) {
        let (history, ground) = (History::new(visits), disc(area));
        let at_limit = |day| Footfall::on(day, &history, &ground).is_at_limit();
        if at_limit(DAY) {
            let opens = Footfall::first_day_under_limit(DAY, &history, &ground).unwrap();
            prop_assert!(!at_limit(opens));
            let mut shut = DAY.series(1.day()).take_while(|day| *day < opens);
            prop_assert!(shut.all(at_limit), "it would have opened before {opens}");
        }
    }
}
