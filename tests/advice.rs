//! Which patches to survey next, on a plainly synthetic holding.

#![allow(clippy::unwrap_used, reason = "a failed unwrap fails the test")]

mod holding;

use holding::Holding;
use jiff::ToSpan;
use jiff::civil::{Date, date};
use serde_json::Value;
use stintbook::assess::{PatchAdvice, SurveyAdvice, WhySurvey, advise, assess, comeback, prepare};
use stintbook::catalogue::Catalogue;
use stintbook::records::{CropField, Ledger};
use stintbook::report::{stress, survey_advice_csv, survey_advice_document, survey_advice_json};

const ON: Date = date(2027, 4, 1);
/// Fast leaves: a survey is believed for 90 days.
const CROP: &str = "nettle-tops";

fn advice(ledger: &Ledger) -> SurveyAdvice {
    let prepared = prepare(ledger, Catalogue::built_in(), ON).unwrap();
    advise(&prepared, |_| true, ON, 0.2)
}

fn names(advice: &SurveyAdvice) -> Vec<&str> {
    advice.patches.iter().map(|patch| patch.patch.patch()).collect()
}

fn of<'a>(advice: &'a SurveyAdvice, name: &str) -> &'a PatchAdvice {
    advice.patches.iter().find(|patch| patch.patch.patch() == name).unwrap()
}

/// One patch for each thing that can be said.
fn holding() -> Ledger {
    Holding::new("marsh")
        .patch("lapsed", CROP)
        .surveyed(date(2026, 10, 1), 400.0)
        .patch("lapses", CROP)
        .surveyed(date(2027, 2, 1), 800.0)
        .patch("never", CROP)
        .patch("fresh", CROP)
        .surveyed(date(2027, 3, 31), 400.0)
        .patch("out of season", "blackberry")
        .surveyed(date(2026, 9, 1), 400.0)
        .patch("unheard of", "sorrel-leaf")
        .ledger()
}

#[test]
fn each_patch_is_told_why_a_survey_would_help_and_the_rest_are_counted() {
    let advice = advice(&holding());
    assert_eq!(of(&advice, "lapsed").why, WhySurvey::Lapsed(date(2026, 12, 30)));
    assert_eq!(of(&advice, "lapses").why, WhySurvey::Lapses(date(2027, 5, 2)));
    assert_eq!(of(&advice, "lapses").day, date(2027, 5, 3));
    assert_eq!(of(&advice, "never").why, WhySurvey::Never { guessed_from: 3 });
    let unheard = of(&advice, "unheard of");
    assert_eq!((unheard.why, unheard.at_stake), (WhySurvey::Never { guessed_from: 0 }, None));
    assert_eq!(names(&advice).last(), Some(&"unheard of"));
    assert_eq!((advice.well_enough, advice.out_of_reach), (1, 1));
}

#[test]
fn what_gains_most_a_quadrat_comes_first() {
    let advice = advice(&holding());
    let gains: Vec<f64> = advice.patches.iter().filter_map(PatchAdvice::per_quadrat).collect();
    assert!(gains.len() == 3 && gains.is_sorted_by(|a, b| a >= b), "{gains:?}");
    // Twice the crop of the others.
    assert_eq!(names(&advice)[0], "lapses");
}

/// The advice on a lapsed survey, and what `assess` says once that survey has been made.
#[test]
fn what_is_at_stake_is_what_the_survey_then_allows() {
    let before = Holding::new("marsh").patch("bank", CROP).surveyed(date(2026, 12, 1), 400.0);
    let ledger = before.clone().ledger();
    let told = advice(&ledger);
    let told = of(&told, "bank");
    // Nettles stand higher in April than in December.
    let state = prepare(&ledger, Catalogue::built_in(), ON).unwrap()[0].course().state_on(ON);
    let state = state.unwrap();
    let by_now = state.standing / state.last_survey.estimate.best;
    assert!((2.9..3.3).contains(&by_now), "{by_now}");
    let ledger = before.surveyed(ON, 400.0 * by_now).ledger();
    let prepared = prepare(&ledger, Catalogue::built_in(), ON).unwrap();
    let allowed = assess(&prepared[0], ON, None, None).ruling.most.unwrap();
    // Twenty quadrats, where fewer were advised, leave a little less doubt.
    let at_stake = told.at_stake.unwrap();
    assert!(at_stake <= allowed && at_stake > 0.9 * allowed, "{at_stake} of {allowed}");
}

#[test]
fn a_patch_that_nobody_surveyed_is_guessed_from_others_as_full_as_they_are_by_now() {
    let of_never = |day, per_m2| {
        let holding = Holding::new("marsh").patch("bank", CROP).surveyed(day, per_m2);
        of(&advice(&holding.patch("never", CROP).ledger()), "never").at_stake.unwrap()
    };
    // Nettles stand some three times as high in April as in December.
    let (then, now) = (of_never(date(2026, 12, 1), 400.0), of_never(ON, 400.0));
    assert!((2.5..3.5).contains(&(then / now)), "{then} and {now}");
}

#[test]
fn doubt_is_worth_a_survey_only_where_it_costs_a_useful_amount() {
    let old = ON.checked_sub(60.days()).unwrap();
    let stand = |per_m2| {
        Holding::new("marsh")
            .overridden("alexanders-shoot", CropField::FullByMonth, "all year")
            .patch("bank", "alexanders-shoot")
            .surveyed(old, per_m2)
    };
    let rich = advice(&stand(2000.0).ledger());
    assert!(matches!(of(&rich, "bank").why, WhySurvey::Doubt { costs } if costs > 0.1));
    let poor = advice(&stand(5.0).ledger());
    assert_eq!((poor.patches.len(), poor.well_enough), (0, 1));
    let said = survey_advice_document(&poor).text(80);
    assert!(said.starts_with("No survey is worth its while on Thu 1 Apr 2027.\n"), "{said}");
    assert!(said.contains("1 patch is surveyed well enough."), "{said}");
}

#[test]
fn a_test_of_recovery_is_advised_where_nobody_made_one_by_what_it_adds_on_average() {
    let ledger =
        Holding::new("marsh").patch("bank", CROP).surveyed(date(2027, 3, 31), 2000.0).ledger();
    let prepared = prepare(&ledger, Catalogue::built_in(), ON).unwrap();
    let worth = comeback(&prepared[0], ON).worth.unwrap();
    let gain = worth.by_a_test.unwrap().on_average - worth.now;
    let tests = advice(&ledger).tests;
    assert!(gain > 50.0, "{worth:?}");
    assert_eq!(tests.iter().map(|test| test.at_stake).collect::<Vec<_>>(), [Some(gain)]);
}

#[test]
fn a_wider_precision_never_asks_for_more() {
    let ledger = holding();
    let prepared = prepare(&ledger, Catalogue::built_in(), ON).unwrap();
    let mut before = usize::MAX;
    for precision in [0.05, 0.1, 0.2, 0.5, 1.0] {
        let advice = advise(&prepared, |_| true, ON, precision);
        let needed = of(&advice, "lapsed").for_precision.unwrap();
        assert!(needed <= before, "{needed} for {precision}");
        before = needed;
    }
}

#[test]
fn the_table_keeps_to_its_width_and_says_why() {
    let advice = advice(&holding());
    for width in [60, 80, 120] {
        let table = stress::plain(&survey_advice_document(&advice).text(width));
        let widest = table.lines().map(|line| line.chars().count()).max().unwrap();
        assert!(widest <= width, "{widest} cells in {width}:\n{table}");
        let flowing = table.split_whitespace().collect::<Vec<_>>().join(" ");
        for said in ["expired on 30 Dec 2026", "expires on 2 May 2027", "never surveyed"] {
            assert!(flowing.contains(said), "no `{said}` in\n{table}");
        }
    }
}

#[test]
fn json_and_csv_say_what_the_table_says() {
    let advice = advice(&holding());
    let json: Value = serde_json::from_str(&survey_advice_json(&advice)).unwrap();
    assert_eq!(json["schema"], "stintbook.survey-advice/1");
    let first = &json["patches"][0];
    assert_eq!((&first["patch"], &first["why"]), (&"lapses".into(), &"expires".into()));
    assert_eq!(first["believed_until"], "2027-05-02");
    let at_stake = advice.patches[0].at_stake.unwrap();
    assert!((first["at_stake_g"].as_f64().unwrap() - at_stake).abs() < 1e-3);
    let csv = survey_advice_csv(&advice).unwrap();
    let mut rows = csv::Reader::from_reader(csv.as_bytes());
    let headings = rows.headers().unwrap().clone();
    let quadrats = headings.iter().position(|name| name == "quadrats").unwrap();
    let read: Vec<String> = rows.records().map(|row| row.unwrap()[quadrats].to_owned()).collect();
    let told: Vec<String> = advice.ranked().iter().map(|p| p.quadrats.to_string()).collect();
    assert_eq!(read, told);
}
