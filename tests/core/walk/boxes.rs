//! Boxes promised for a month.

use jiff::civil::{Date, date};
use proptest::prelude::*;
use stintbook_core::walk::{
    boxes_by, laid_out, level, month_demand, subscriber_at, wanted_next, weeks_of_month,
};

use crate::walk::law::laws;

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
    assert_eq!(month_demand(30, 12), 360);
    let wanted_next = |delivered: &[u64]| wanted_next(30, 12, 4, delivered);
    assert_eq!(wanted_next(&[]), 90);
    assert_eq!(wanted_next(&[90]), 90);
    assert_eq!(wanted_next(&[40]), 140);
    assert_eq!(wanted_next(&[40, 200]), 30);
    assert_eq!(wanted_next(&[40, 200, 0]), 120);
    assert_eq!(wanted_next(&[40, 200, 0, 100]), 20);
    assert_eq!(wanted_next(&[400]), 0);
}

proptest! {
    #![proptest_config(laws(300))]

    #[test]
    fn a_month_that_delivers_what_is_wanted_delivers_the_demand(
        each in 0..1_000_000_u64, boxes in 0..500_u32, weeks in 0..7_usize, share in 0..=4_u64,
    ) {
        let demand = month_demand(each, boxes);
        let mut delivered = Vec::new();
        for _ in 0..weeks.max(1) {
            let wanted = wanted_next(each, boxes, weeks, &delivered);
            let had: u64 = delivered.iter().sum();
            prop_assert!(wanted <= demand - had);
            let last = delivered.len() + 1 >= weeks;
            delivered.push(if last { wanted } else { wanted / 4 * share });
        }
        prop_assert_eq!(delivered.iter().sum::<u64>(), demand);
    }
}

/// A week's boxes are whole boxes: 7 over 4 weeks are packed 2, 2, 2 and 1.
#[test]
fn each_week_packs_whole_boxes() {
    let by = |week| boxes_by(7, 4, week);
    assert_eq!([by(0), by(1), by(2), by(3), by(9)], [2, 4, 6, 7, 7]);
    assert_eq!(wanted_next(100, 7, 4, &[]), 200);
    assert_eq!(wanted_next(100, 7, 4, &[200, 150]), 250);
}

#[test]
fn no_subscriber_has_the_last_week_each_month() {
    for boxes in [1, 4, 7, 24, 25] {
        let mut last = vec![0; boxes as usize];
        for month in 0..120 {
            let mut seen: Vec<u32> = (0..boxes).map(|at| subscriber_at(at, boxes, month)).collect();
            last[seen[boxes as usize - 1] as usize] += 1;
            seen.sort_unstable();
            assert_eq!(seen, (0..boxes).collect::<Vec<_>>(), "everyone has one box");
        }
        // With 24 boxes those of one week change places with those of another, and among
        // themselves the order does not matter: all of a week are packed alike.
        let most = *last.iter().max().unwrap();
        assert!(boxes < 2 || most <= 120 / 2, "{boxes}: {last:?}");
    }
}

proptest! {
    #![proptest_config(laws(300))]

    #[test]
    fn boxes_are_filled_level_and_never_over_what_they_are_due(
        had in proptest::collection::vec(0..50_u64, 0..12), due in 0..50_u64, units in 0..900_u64,
    ) {
        let given = level(&had, due, units);
        let room: u64 = had.iter().map(|had| due.saturating_sub(*had)).sum();
        prop_assert_eq!(given.iter().sum::<u64>(), units.min(room));
        let now: Vec<u64> = had.iter().zip(&given).map(|(had, given)| had + given).collect();
        for (at, now_has) in now.iter().enumerate() {
            prop_assert!(given[at] == 0 || *now_has <= due);
            // Whoever was given something has at most one more than anyone still in want.
            let poorest = now.iter().filter(|other| **other < due).min();
            prop_assert!(given[at] == 0 || poorest.is_none_or(|least| *now_has <= least + 1));
        }
    }

    #[test]
    fn crops_are_laid_into_boxes_within_a_unit_of_each_and_never_over(
        boxes in proptest::collection::vec(0..40_u64, 1..12),
        crops in proptest::collection::vec(0..200_u64, 1..5),
    ) {
        let whole: u64 = crops.iter().sum();
        let mut boxes = boxes;
        // No more is packed than there is.
        while boxes.iter().sum::<u64>() > whole {
            boxes.pop();
        }
        let rows = laid_out(&boxes, &crops);
        for (row, holds) in rows.iter().zip(&boxes) {
            let packed: u64 = row.iter().sum();
            prop_assert!(packed.abs_diff(*holds) <= crops.len() as u64, "{:?} of {}", row, holds);
        }
        for (n, units) in crops.iter().enumerate() {
            let laid: u64 = rows.iter().map(|row| row[n]).sum();
            prop_assert!(laid <= *units);
            let is_all = boxes.iter().sum::<u64>() == whole;
            prop_assert!(!is_all || laid == *units);
        }
    }
}
