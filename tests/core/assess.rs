//! The answer for a patch and for a week, from facts in plain sight.

use crate::holding::{Holding, assessed, ledger};
use jiff::ToSpan;
use jiff::civil::{Date, date};
use stintbook_core::assess::{
    Assessment, Contradicts, Granted, Opening, What, assumptions, contradictions, due, prepare,
    week,
};
use stintbook_core::catalogue::Catalogue;
use stintbook_core::records::{CropField, Ledger, Taken, Want};
use stintbook_core::rules::Verdict;
use stintbook_core::units::Amount;

const SURVEYED: Date = date(2027, 3, 1);
const DAY: Date = date(2027, 3, 20);
const NETTLE: &str = "nettle-tops";

/// Where a full crop stands at the same all year.
fn level() -> Holding {
    Holding::new("plot").overridden(NETTLE, CropField::FullByMonth, "all year")
}

fn nettles() -> Holding {
    level().patch("bank", NETTLE).surveyed(SURVEYED, 100.0)
}

fn only(ledger: &Ledger, day: Date) -> Assessment {
    let mut all = assessed(ledger, day);
    assert_eq!(all.len(), 1);
    all.remove(0)
}

fn standing(ledger: &Ledger, day: Date) -> f64 {
    only(ledger, day).state.unwrap().standing
}

#[test]
fn what_happens_later_is_not_known_earlier() {
    let before = only(&nettles().ledger(), DAY);
    let later = DAY.checked_add(3.days()).unwrap();
    let after = only(&nettles().surveyed(later, 900.0).cut(later, "5kg", 9).ledger(), DAY);
    assert_eq!(before.ruling, after.ruling);
    assert_eq!(before.state, after.state);
}

#[test]
fn an_eye_that_sees_double_is_learnt_from_visits_with_a_survey() {
    let weekly = |week: i64| SURVEYED.checked_sub((7 * (10 - week)).days()).unwrap();
    let learnt = |crop: &str| {
        let mut holding = level().patch("school", crop);
        for week in 0..10 {
            // 314 m² at 100 g each is 31.4 kg; the eye says 62.8 kg.
            holding = holding.surveyed(weekly(week), 100.0).glanced(weekly(week), "62.8kg");
        }
        let bank = holding.patch("bank", NETTLE).surveyed(SURVEYED, 100.0);
        let ledger = bank.glanced(DAY, "62.8kg").ledger();
        assessed(&ledger, DAY).pop().unwrap().state.unwrap().standing
    };
    let from_nettles = learnt(NETTLE);
    let from_another_crop = learnt("chickweed-tops");
    assert!((from_nettles / 31_416.0 - 1.0).abs() < 0.02, "{from_nettles}");
    assert!(from_another_crop > 1.1 * from_nettles, "{from_another_crop}");
}

#[test]
fn a_patchs_own_override_wins_over_the_sites() {
    let site = level().overridden(NETTLE, CropField::Reserve, "0.9");
    let shut = site.patch("bank", NETTLE).surveyed(SURVEYED, 100.0);
    assert_eq!(only(&shut.clone().ledger(), DAY).ruling.verdict, Verdict::Resting);
    let open = shut.overridden(NETTLE, CropField::Reserve, "0.1");
    assert_eq!(only(&open.ledger(), DAY).ruling.verdict, Verdict::Open);
}

#[test]
fn an_override_is_named_where_its_result_is_shown() {
    let ledger = nettles()
        .overridden(NETTLE, CropField::CodeCap, "0.1")
        .overridden(NETTLE, CropField::TakeFraction, "0.05")
        .ledger();
    let prepared = prepare(&ledger, Catalogue::built_in(), DAY).unwrap();
    let granted = assumptions(&prepared[0], None);
    let used = granted.iter().any(|granted| {
        matches!(granted, Granted::Override { field: CropField::CodeCap, value, of_patch: true, .. } if **value == *"0.1")
    });
    let refused = granted.iter().any(|granted| {
        matches!(granted, Granted::RefusedOverride { field: CropField::TakeFraction, problem } if problem.contains("`0.05`"))
    });
    assert!(used && refused, "{granted:?}");
}

#[test]
fn where_nobody_said_how_many_come_one_person_is_taken_for_granted() {
    let ledger = nettles().ledger();
    let prepared = prepare(&ledger, Catalogue::built_in(), DAY).unwrap();
    let is_it = |granted: &Granted| matches!(granted, Granted::OnePerson);
    let one = |people| assumptions(&prepared[0], people).iter().any(is_it);
    assert_eq!([None, Some(1), Some(3)].map(one), [true, false, false]);
}

#[test]
fn a_crop_that_the_catalogue_lacks_is_named_with_its_nearest() {
    let ledger = Holding::new("plot").patch("bank", "nettel-tops").ledger();
    let error = prepare(&ledger, Catalogue::built_in(), DAY).unwrap_err();
    assert_eq!(
        error.to_string(),
        "`plot/bank` is a patch of `nettel-tops`, which the catalogue does not have; \
         did you mean `nettle-tops`?"
    );
}

/// A walk before the patch opens is told nothing.
#[test]
fn a_patch_that_opens_in_time_for_a_walk_that_wants_it_is_told() {
    let opens = |walk_on: Date, wanted: &str| {
        let mut ledger = nettles()
            .closed(DAY, Some(date(2027, 4, 10)))
            .walk("Spring walk", walk_on, &[], "2")
            .ledger();
        let amount = Amount::grams(100.0);
        ledger.sites[0].walks[0].record.wants = vec![Want { what: wanted.into(), amount }];
        let prepared = prepare(&ledger, Catalogue::built_in(), DAY).unwrap();
        let tasks = due(&ledger, &prepared, DAY, date(2027, 5, 1)).tasks;
        let opens = |what: &What| matches!(what, What::Opens { .. });
        tasks.into_iter().find(|task| opens(&task.what)).map(|task| task.day)
    };
    let first_day = date(2027, 4, 11);
    assert_eq!(opens(first_day, NETTLE), Some(first_day));
    assert_eq!(opens(date(2027, 4, 20), NETTLE), Some(first_day));
    assert_eq!(opens(date(2027, 4, 10), NETTLE), None);
    assert_eq!(opens(date(2027, 4, 20), "chickweed-tops"), None);
}

#[test]
fn a_closed_patch_opens_when_closure_and_season_both_allow() {
    let opening = |ledger: &Ledger, day| only(ledger, day).opening;
    let closed_in_season = nettles().closed(DAY, Some(date(2027, 4, 10))).ledger();
    let expected = Opening {
        day: date(2027, 4, 11),
        needs_survey: false,
        needs_permission: false,
        waits_for: "closure",
    };
    assert_eq!(opening(&closed_in_season, DAY), Some(expected));
    let closed_past_season = nettles().closed(DAY, Some(date(2027, 9, 1))).ledger();
    let expected = Opening {
        day: date(2028, 3, 1),
        needs_survey: true,
        needs_permission: false,
        waits_for: "season",
    };
    assert_eq!(opening(&closed_past_season, DAY), Some(expected));
    let closed_for_good = nettles().closed(DAY, None).ledger();
    assert_eq!(opening(&closed_for_good, DAY), None);
}

#[test]
fn an_opening_after_the_permission_ends_says_that_one_is_needed() {
    let ledger = nettles().permitted(|permission| permission.to = Some(date(2027, 8, 31))).ledger();
    let expected = Opening {
        day: date(2028, 3, 1),
        needs_survey: true,
        needs_permission: true,
        waits_for: "season",
    };
    assert_eq!(only(&ledger, date(2027, 7, 1)).opening, Some(expected));
}

#[test]
fn an_open_patch_says_what_shuts_it_next() {
    let ledger = nettles().closed(date(2027, 4, 20), None).ledger();
    let closing = only(&ledger, DAY).closing.unwrap();
    assert_eq!((closing.day, closing.rule), (date(2027, 4, 19), "closure"));
}

#[test]
fn a_spent_share_refills_as_the_plant_regrows() {
    let most = |day: Date| {
        let lifted = nettles().permitted(|permission| permission.lifts_code_cap = true);
        let ledger = lifted.cut_as(DAY, "1kg", Some(9), Taken::All).ledger();
        only(&ledger, day).ruling.most.unwrap()
    };
    let after = |days: i64| DAY.checked_add(days.days()).unwrap();
    assert_eq!(most(DAY), 0.0);
    assert!(most(after(20)) > 0.0);
    assert!(most(after(40)) > most(after(20)));
}

#[test]
fn the_week_puts_what_can_be_cut_first_and_then_what_opens_soonest() {
    let ledger = Holding::new("plot")
        .patch("a never surveyed", NETTLE)
        .patch("b out of season", "sloe")
        .patch("c spent", NETTLE)
        .surveyed(SURVEYED, 100.0)
        .cut_as(DAY, "1kg", Some(9), Taken::All)
        .patch("d open", NETTLE)
        .surveyed(SURVEYED, 100.0)
        .ledger();
    let answer = week(DAY, assessed(&ledger, DAY));
    let order: Vec<&str> = answer.patches.iter().map(|patch| patch.patch.patch()).collect();
    assert_eq!(order, ["d open", "c spent", "b out of season", "a never surveyed"]);
    assert_eq!(answer.next_opening().unwrap().0.patch.patch(), "c spent");
}

#[test]
fn a_crops_total_is_no_more_than_its_permission_leaves_on_the_site() {
    let three = |name: &str, east: f64| {
        let cap = |permission: &mut stintbook_core::records::Permission| {
            permission.cap_per_visit = Some(Amount::grams(1000.0));
        };
        ["one", "two", "three"]
            .into_iter()
            .fold(Holding::new(name).east(east).permitted(cap), |site, patch| {
                site.patch(patch, NETTLE).surveyed(SURVEYED, 100.0)
            })
    };
    let both = ledger([three("north", 0.0), three("south", 1.0)]);
    let answer = week(DAY, assessed(&both, DAY));
    assert_eq!(answer.totals.len(), 1);
    assert_eq!(answer.totals[0].open_patches, 6);
    assert_eq!(answer.totals[0].most, Some(2000.0));
}

#[test]
fn a_glance_without_a_survey_that_day_moves_the_crop_some_way() {
    let seen = |amount: &str| standing(&nettles().glanced(DAY, amount).ledger(), DAY);
    let believed = standing(&nettles().ledger(), DAY);
    assert!(seen("10kg") < believed && seen("10kg") > 10_000.0);
    assert!(seen("90kg") > believed && seen("90kg") < 90_000.0);
}

#[test]
fn facts_that_contradict_each_other_are_named() {
    let found = |holding: Holding| {
        let ledger = holding.ledger();
        let prepared = prepare(&ledger, Catalogue::built_in(), Date::MAX).unwrap();
        contradictions(&prepared[0]).into_iter().map(|found| found.what).collect::<Vec<_>>()
    };
    let within = nettles().cut_as(DAY, "1kg", Some(4), Taken::All);
    assert!(found(within.clone()).is_empty());
    let overcut = found(nettles().cut(DAY, "9kg", 4));
    assert!(matches!(&*overcut, [Contradicts::Overcut { ruling, .. }] if ruling.was_open()));
    let impossible = found(nettles().cut(DAY, "90kg", 4));
    assert!(matches!(
        *impossible,
        [Contradicts::Overcut { .. }, Contradicts::CutMoreThanStood { taken: 90_000.0, most, .. }]
            if (31_416.0..90_000.0).contains(&most)
    ));
    let closed = found(within.closed(DAY, None));
    assert!(matches!(
        &*closed,
        [Contradicts::Overcut { ruling, .. }] if ruling.morning == Verdict::Closed
    ));
    let glanced = found(nettles().glanced(SURVEYED, "300kg"));
    assert!(matches!(
        *glanced,
        [Contradicts::Glance { glanced: 300_000.0, surveyed, .. }]
            if (surveyed / 31_416.0 - 1.0).abs() < 0.02
    ));
}

/// A whole stand cut by weight leaves phi at 0.22 − 1; by e^(−0.25) of r, day by day under the
/// guard at 47° N, it is above nothing on 7 May.
#[test]
fn time_that_is_owed_is_waited_for_though_the_survey_has_lapsed() {
    let holding = nettles().cut(date(2027, 10, 1), "31kg", 9);
    let ledger = holding.ledger();
    let asked = date(2027, 12, 1);
    let opening = only(&ledger, asked).opening.unwrap();
    assert!(opening.needs_survey, "{opening:?}");
    let owed = |day: Date| only(&ledger, day).state.unwrap().share_left <= 0.0;
    assert!(owed(date(2028, 3, 1)), "it would open with the season");
    assert_eq!(opening.waits_for, "refilling share");
    assert!(owed(date(2028, 5, 6)) && !owed(date(2028, 5, 8)));
    // Some days later there is enough to be worth a visit.
    assert_eq!(opening.day, date(2028, 5, 13));
}
