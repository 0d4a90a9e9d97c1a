//! Boxes promised for a month.

use jiff::civil::{Date, date};
use proptest::prelude::*;
use stintbook::walk::{month_demand, wanted_next, weeks_of_month};

use crate::law::laws;

fn weeks(day: Date) -> Vec<String> {
    weeks_of_month(day).iter().map(ToString::to_string).collect()
}

/// ISO 8601: 2026 has 53 weeks, and 1 January 2027 is a Friday.
#[test]
fn a_month_has_the_weeks_whose_thursday_is_in_it() {
    assert_eq!(
        weeks(date(2026, 12, 9)),
        ["2026-W49", "2026-W50", "2026-W51", "2026-W52", "2026-W53"]
    );
    assert_eq!(weeks(date(2027, 1, 31)), ["2027-W01", "2027-W02", "2027-W03", "2027-W04"]);
    assert_eq!(weeks(date(2027, 2, 28)).len(), 4);
}

#[test]
fn the_months_of_a_year_share_out_all_its_weeks() {
    for year in [2015, 2020, 2026, 2027, 2032] {
        let of_year = |n| weeks(date(year, n, 1));
        let all: Vec<String> = (1..=12).flat_map(of_year).collect();
        let last = date(year, 12, 28).iso_week_date().week();
        let expected: Vec<String> = (1..=last).map(|n| format!("{year}-W{n:02}")).collect();
        assert_eq!(all, expected);
    }
}

#[test]
fn the_ends_of_the_calendar_have_weeks() {
    assert!((4..=5).contains(&weeks_of_month(Date::MIN).len()));
    assert!((4..=5).contains(&weeks_of_month(Date::MAX).len()));
}

/// 12 boxes of 150 g, 30 units of 5 g each.
#[test]
fn what_fell_short_is_carried_forward_and_what_was_too_much_is_spared() {
    let demand = month_demand(30, 12);
    assert_eq!(demand, 360);
    assert_eq!(wanted_next(demand, 4, &[]), 90);
    assert_eq!(wanted_next(demand, 4, &[90]), 90);
    assert_eq!(wanted_next(demand, 4, &[40]), 140);
    assert_eq!(wanted_next(demand, 4, &[40, 200]), 30);
    assert_eq!(wanted_next(demand, 4, &[40, 200, 0]), 120);
    assert_eq!(wanted_next(demand, 4, &[40, 200, 0, 100]), 20);
    assert_eq!(wanted_next(demand, 4, &[400]), 0);
}

proptest! {
    #![proptest_config(laws(300))]

    #[test]
    fn a_month_that_delivers_what_is_wanted_delivers_the_demand(
        demand: u64, weeks in 0..7_usize, share in 0..=4_u64,
    ) {
        let mut delivered = Vec::new();
        for _ in 0..weeks.max(1) {
            let wanted = wanted_next(demand, weeks, &delivered);
            let had: u64 = delivered.iter().sum();
            prop_assert!(wanted <= demand - had);
            let last = delivered.len() + 1 >= weeks;
            delivered.push(if last { wanted } else { wanted / 4 * share });
        }
        prop_assert_eq!(delivered.iter().sum::<u64>(), demand);
    }
}
