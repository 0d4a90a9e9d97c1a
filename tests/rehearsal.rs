//! The proof keeps what the project claims, and a rehearsal is what its parts say.

#![allow(clippy::unwrap_used, reason = "a failed unwrap fails the test")]

use jiff::civil::{Date, date};
use stintbook::assess::prepare;
use stintbook::catalogue::Catalogue;
use stintbook::records::{Habit, Ledger, PatchName, Recovery, Taken, Walk};
use stintbook::regrowth::growth_rate;
use stintbook::rehearsal::proof::{
    BY_THE_BOOK, Cell, Edition, Effort, Known, Plots, Practice, Score, Squares, Strain, Swing,
    Testing, at_equal_yield,
};
use stintbook::rehearsal::{
    Demand, Draws, EyeErrors, Kept, Outcome, Plan, Quadrats, Repeats, Stand, Surveys, rehearse,
};
use stintbook::report::Named as _;
use stintbook::units::{Amount, Season};

mod holding;
use holding::Holding;

const LEAVES: [Habit; 2] = [Habit::FastLeaf, Habit::SlowLeaf];
const EFFORT: Effort = Effort { patches: 1500, seed: 1 };

fn scored(habit: Habit, strain: Strain) -> [Score; 2] {
    let plots = Plots::new();
    BY_THE_BOOK.map(|way| Cell { strain, ..Cell::new(habit, way) }.score(&plots, EFFORT))
}

#[track_caller]
fn dips_at_most(habit: Habit, strain: Strain, most: f64) {
    for score in scored(habit, strain) {
        let found = score.dips.value;
        assert!(found <= most, "{}, {}: {found}", habit.name(), strain.name());
    }
}

/// The yields are those of `reports/rehearsal-proof.md` for patches that nobody tests, without and
/// with glances, less 0.02.
#[test]
fn usual_errors_harm_three_patch_seasons_in_a_thousand_at_most_at_the_yield_that_doubt_leaves() {
    for (habit, yields) in [
        (Habit::FastLeaf, [0.31, 0.32]),
        (Habit::SlowLeaf, [0.36, 0.37]),
        (Habit::OnceAYear, [0.36, 0.37]),
    ] {
        dips_at_most(habit, Strain::None, 0.003);
        for (score, least) in scored(habit, Strain::None).iter().zip(yields) {
            let found = score.yielded.value;
            assert!(found >= least, "{}: {found}", habit.name());
        }
    }
}

#[test]
fn recovery_half_as_fast_as_believed_harms_few() {
    dips_at_most(Habit::FastLeaf, Strain::HalfRate, 0.04);
    dips_at_most(Habit::SlowLeaf, Strain::HalfRate, 0.025);
}

#[test]
fn all_errors_at_once_harm_few() {
    dips_at_most(Habit::FastLeaf, Strain::AllAtOnce, 0.02);
    dips_at_most(Habit::SlowLeaf, Strain::AllAtOnce, 0.01);
}

#[test]
fn the_winter_guard_keeps_patches_that_nobody_said_sleep() {
    for habit in LEAVES {
        dips_at_most(habit, Strain::WinterGuarded, 0.005);
    }
}

/// A share above the careful one, so that there is something to compare.
#[test]
fn at_equal_yield_no_leaf_is_worse_off_than_by_one_in_n_tuned_in_hindsight() {
    let plots = Plots::new();
    let effort = Effort { patches: 1000, ..EFFORT };
    for (habit, yielded) in [(Habit::FastLeaf, 0.45), (Habit::SlowLeaf, 0.49)] {
        let [thumb, ours @ ..] = at_equal_yield(&plots, habit, yielded, EyeErrors::NONE, effort);
        assert!((thumb.score.yielded.value - yielded).abs() < 0.01);
        for tuned in ours {
            assert!((tuned.score.yielded.value - yielded).abs() < 0.015, "{tuned:?}");
            assert!(tuned.score.dips.value <= thumb.score.dips.value, "{tuned:?} and {thumb:?}");
        }
    }
}

#[test]
fn rules_of_thumb_that_take_a_tenth_or_rest_harm_many() {
    let plots = Plots::new();
    let few = Effort { patches: 300, ..EFFORT };
    for (habit, way, least) in [
        (Habit::FastLeaf, Practice::Fraction(1.0 / 3.0), 0.9),
        (Habit::SlowLeaf, Practice::Fraction(0.1), 0.7),
        (Habit::FastLeaf, Practice::ThenRest(0.5), 0.8),
    ] {
        let found = Cell::new(habit, way).score(&plots, few).dips.value;
        assert!(found > least, "{}, {}: {found}", habit.name(), way.name());
    }
}

#[test]
fn eyes_that_see_more_from_year_to_year_take_more() {
    let plots = Plots::new();
    let taken = |drift_a_year| {
        let counting = EyeErrors { drift_a_year, ..EyeErrors::NONE };
        let cell = Cell { counting, ..Cell::new(Habit::FastLeaf, Practice::Fraction(0.01)) };
        cell.score(&plots, Effort { patches: 50, ..EFFORT }).yielded.value
    };
    let [same, more] = [0.0, 1.5_f64.ln()].map(taken);
    assert!(more > 1.2 * same, "{more} and {same}");
}

/// What a yearly test is worth where a crop recovers half as fast as
/// its profile says.
#[test]
fn tests_of_recovery_spare_patches_that_are_slower_than_believed_at_no_less_yield_elsewhere() {
    let plots = Plots::new();
    let few = Effort { patches: 600, ..EFFORT };
    let [plain, _] = BY_THE_BOOK;
    for habit in [Habit::FastLeaf, Habit::SlowLeaf, Habit::OnceAYear] {
        let scored = |edition: Edition, strain| {
            edition.cell(Cell { strain, ..Cell::new(habit, plain) }).score(&plots, few)
        };
        let tested = Edition::Tested(Squares::Pairs);
        let editions = [Edition::ByProfile, Edition::Untested, tested];
        let [by_profile, untested, by_pairs] =
            editions.map(|edition| scored(edition, Strain::HalfRate).dips.value);
        let dips = [by_profile, untested, by_pairs];
        assert!(by_profile > 0.02 && by_pairs < 0.25 * by_profile, "{}: {dips:?}", habit.name());
        assert!(untested < 0.9 * by_profile, "{}: {dips:?}", habit.name());
        let [by_profile, _, by_pairs] =
            editions.map(|edition| scored(edition, Strain::None).yielded.value);
        assert!(by_pairs > 0.96 * by_profile, "{}: {by_profile}, {by_pairs}", habit.name());
    }
}

/// Sloppy squares that come back faster than the patch tell too much, yet more than no test.
#[test]
fn tests_done_badly_still_spare_more_patches_than_none() {
    let plots = Plots::new();
    let few = Effort { patches: 600, ..EFFORT };
    let [plain, _] = BY_THE_BOOK;
    let cell = Cell { strain: Strain::HalfRate, ..Cell::new(Habit::FastLeaf, plain) };
    let dips = |cell: Cell| cell.score(&plots, few).dips.value;
    let untested = dips(cell);
    for badly in [
        Testing { squares: 4, sloppy: 1.5, ..Testing::PAIRS },
        Testing { faster: 1.28, ..Testing::PAIRS },
        Testing { yearly: false, ..Testing::PAIRS },
    ] {
        let found = dips(Cell { testing: Some(badly), ..cell });
        assert!(found < 0.75 * untested, "{badly:?}: {found} of {untested}");
    }
}

#[test]
fn parties_that_stop_short_and_say_all_shut_few_patches_that_are_glanced_at() {
    let plots = Plots::new();
    let few = Effort { patches: 600, ..EFFORT };
    for habit in LEAVES {
        let [plain, glances] = BY_THE_BOOK.map(|way| {
            let cell = Cell { strain: Strain::StopsShort, ..Cell::new(habit, way) };
            cell.score(&plots, few)
        });
        // Without glances a third and more were sent away while no survey could tell otherwise.
        assert!(plain.refused.value < 0.27, "{plain:?}");
        assert!(glances.refused.value < 0.02, "{glances:?}");
    }
}

#[test]
fn a_curve_of_the_season_sends_fewer_away_from_full_patches_even_if_it_is_four_weeks_late() {
    let plots = Plots::new();
    let few = Effort { patches: 400, ..EFFORT };
    for way in BY_THE_BOOK {
        let refused = |edition: Edition, known| {
            let swing = Some(Swing { deep: 5.0, known });
            let cell = Cell { swing, ..Cell::new(Habit::SlowLeaf, way) };
            edition.cell(cell).score(&plots, few).refused.value
        };
        let flat = refused(Edition::Untested, Known::Nothing);
        for known in [Known::Right, Known::Late] {
            let seasonal = refused(Edition::Tested(Squares::Pairs), known);
            assert!(seasonal < 0.75 * flat, "{known:?}: {seasonal} of {flat}");
        }
    }
}

#[test]
fn a_stand_dips_where_less_than_half_of_what_would_be_there_stands() {
    let dips = |standing| {
        let (full, undisturbed, store) = (1.0, 1.0, 1.0);
        Stand { full, rate_per_day: 0.1, standing, undisturbed, slow_from_few: 0.0, store }.dips()
    };
    assert_eq!([0.5, 0.499].map(dips), [false, true]);
}

/// Share h every T days, E = e^(rT): peak ((1−h)E − 1)/((1−h)(E − 1)), trough
/// ((1−h)E − 1)/(E − 1); the fast leaf at T = 7.
#[test]
fn without_chance_a_stand_settles_where_the_closed_form_says() {
    let rate = growth_rate(Recovery { take_fraction: 1.0 / 3.0, days: 28.0 });
    for (share, peak, trough) in
        [(0.05, 0.930_347, 0.883_829), (0.10, 0.852_954, 0.767_659), (0.20, 0.669_147, 0.535_317)]
    {
        let mut stand = Stand {
            full: 1.0,
            rate_per_day: rate,
            standing: 1.0,
            undisturbed: 1.0,
            slow_from_few: 0.0,
            store: 1.0,
        };
        for _ in 0..600 {
            stand.cut(share * stand.standing);
            stand.grow(7.0, 1.0);
        }
        assert!((stand.standing - peak).abs() < 1e-6, "{share}: {stand:?}");
        stand.cut(share * stand.standing);
        assert!((stand.standing - trough).abs() < 1e-6, "{share}: {stand:?}");
        assert_eq!(stand.undisturbed, 1.0);
    }
}

/// Extinct if h ≥ 1 − e^(−rT).
#[test]
fn without_chance_a_stand_that_is_cut_too_hard_dies_out() {
    let rate = growth_rate(Recovery { take_fraction: 1.0 / 3.0, days: 28.0 });
    let limit = -(-rate * 7.0_f64).exp_m1();
    for (share, dies) in [(limit - 0.05, false), (limit + 0.05, true)] {
        let mut stand = Stand {
            full: 1.0,
            rate_per_day: rate,
            standing: 1.0,
            undisturbed: 1.0,
            slow_from_few: 0.0,
            store: 1.0,
        };
        for _ in 0..600 {
            stand.cut(share * stand.standing);
            stand.grow(7.0, 1.0);
        }
        assert_eq!(stand.standing < 1e-6, dies, "{share}: {stand:?}");
    }
}

#[test]
fn drawn_surveys_find_the_crop_on_average_and_own_to_their_error() {
    let ledger = Holding::new("hill").patch("bank", "nettle-tops").ledger();
    let prepared = prepare(&ledger, Catalogue::built_in(), START).unwrap();
    let quadrats = Quadrats { n: 12, cv: 0.8, factor: 1.0 };
    let mut draws = Draws::stream(1, 0, 0);
    let found: Vec<_> = (0..4000)
        .map(|_| quadrats.survey(5000.0, &prepared[0].extent, &mut draws).unwrap())
        .collect();
    let mean = found.iter().map(|survey| survey.best).sum::<f64>() / 4000.0;
    assert!((mean / 5000.0 - 1.0).abs() < 0.02, "{mean}");
    let held = found.iter().filter(|survey| {
        let (low, high) = survey.interval(0.95).unwrap();
        (low..=high).contains(&5000.0)
    });
    // Gamma quadrats are skewed, so that t intervals hold a little less than they promise.
    let held = held.count() as f64 / 4000.0;
    assert!((0.88..0.97).contains(&held), "{held}");
}

const START: Date = date(2027, 3, 15);

/// Two patches of nettles, of which one was never surveyed, and one of ramsons.
fn hill() -> Ledger {
    Holding::new("hill")
        .permitted(|permission| permission.lifts_code_cap = true)
        .patch("bank", "nettle-tops")
        .surveyed(date(2027, 3, 1), 200.0)
        .patch("field", "nettle-tops")
        .patch("wood", "ramsons-leaf")
        .surveyed(date(2027, 3, 1), 300.0)
        .ledger()
}

fn plan(demand: Demand) -> Plan {
    Plan {
        season: Season::containing(START),
        from: START,
        demand,
        groups: 1,
        people: None,
        surveys: Surveys::WhenLapsed,
        rested: Vec::new(),
        tested: Vec::new(),
        kept: Kept::AsProfiled,
    }
}

fn played(plan: &Plan, runs: u64) -> Outcome {
    let ledger = hill();
    let prepared = prepare(&ledger, Catalogue::built_in(), START).unwrap();
    rehearse(&prepared, plan, Repeats { runs, seed: 3 }, || ())
}

fn grams(weekly: f64) -> Demand {
    Demand::Weekly(Amount::grams(weekly))
}

#[test]
fn the_same_seed_gives_the_same_outcome_on_any_number_of_threads() {
    let plan = plan(Demand::AllAllowed);
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| format!("{:?}", played(&plan, 60)))
    };
    assert_eq!(on(1), on(3));
}

#[test]
fn patches_that_nobody_surveyed_play_no_part() {
    let outcome = played(&plan(Demand::AllAllowed), 10);
    let names: Vec<&str> = outcome.patches.iter().map(|patch| patch.patch.patch()).collect();
    assert_eq!(names, ["bank", "wood"]);
}

#[test]
fn who_asks_for_less_finds_it_more_often() {
    let found = [50.0, 2_000.0, 8_000.0].map(|weekly| played(&plan(grams(weekly)), 40));
    let parts = found.each_ref().map(Outcome::walks_found);
    assert!(parts[0] >= parts[1] && parts[1] > parts[2], "{parts:?}");
    assert!(found[0].any_dip.part() <= found[2].any_dip.part());
    // What is found of the most goes up from the worst of seasons to the best.
    let wants = || found[2].walks.iter().flat_map(|walk| &walk.wants);
    assert!(wants().all(|want| want.found.is_sorted()));
    assert!(wants().any(|want| want.found[0] < want.found[4]));
}

#[test]
fn a_rested_patch_is_never_cut_and_the_other_as_before() {
    let bank: PatchName = "hill/bank".parse().unwrap();
    let all = played(&plan(Demand::AllAllowed), 30);
    let rested = played(&Plan { rested: vec![bank], ..plan(Demand::AllAllowed) }, 30);
    let taken =
        |outcome: &Outcome| outcome.patches.iter().map(|it| it.mean_taken).collect::<Vec<_>>();
    let (all, rested) = (taken(&all), taken(&rested));
    assert!(all[0] > 0.0);
    assert_eq!(rested, [0.0, all[1]]);
}

#[test]
fn without_surveys_nothing_is_cut_once_the_last_has_lapsed() {
    let fresh = played(&plan(Demand::AllAllowed), 20);
    let stale = played(&Plan { surveys: Surveys::Never, ..plan(Demand::AllAllowed) }, 20);
    assert!(stale.patches.iter().all(|patch| patch.mean_surveys == 0.0));
    let often = Plan { surveys: Surveys::Every { days: 14 }, ..plan(Demand::AllAllowed) };
    assert!(played(&often, 20).patches[0].mean_surveys > fresh.patches[0].mean_surveys);
}

#[test]
fn smaller_shares_take_less() {
    let taken = |kept| played(&Plan { kept, ..plan(Demand::AllAllowed) }, 30).patches[0].mean_taken;
    assert!(taken(Kept::Share(0.5)) < taken(Kept::AsProfiled));
    assert!(taken(Kept::At(0.95)) < taken(Kept::At(0.6)));
}

/// A walk of three on the hill.
fn walk(name: &str, day: Date, wants: &[&str]) -> Walk {
    Walk {
        name: name.parse().unwrap(),
        day,
        site: "hill".parse().unwrap(),
        other_sites: vec![],
        parties: vec!["3".parse().unwrap()],
        wants: wants.iter().map(|want| want.parse().unwrap()).collect(),
        stated_purpose: None,
        seed: 1,
    }
}

#[test]
fn a_walk_goes_only_where_what_it_wants_grows() {
    let wants = ["ramsons-leaf=100g", "green leaf=100g", "sloe=100g"];
    let outcome = played(&plan(Demand::Walks(vec![walk("spring", date(2027, 4, 10), &wants)])), 20);
    let [walk] = &outcome.walks[..] else { panic!("{outcome:?}") };
    let patches: Vec<usize> = walk.wants.iter().map(|want| want.patches).collect();
    assert_eq!(patches, [1, 1, 0]);
    assert!(walk.wants[0].found_all.part() > 0.9);
    assert_eq!((walk.wants[2].found_all.hits, walk.found_all.hits), (0, 0));
}

#[test]
fn a_walk_goes_to_its_own_sites_only() {
    let elsewhere = Walk {
        site: "dale".parse().unwrap(),
        ..walk("spring", date(2027, 4, 10), &["ramsons-leaf=100g"])
    };
    let outcome = played(&plan(Demand::Walks(vec![elsewhere])), 5);
    assert_eq!(outcome.walks[0].wants[0].patches, 0);
}

#[test]
fn a_walk_that_names_no_want_takes_all_that_it_may() {
    let outcome = played(&plan(Demand::Walks(vec![walk("spring", date(2027, 4, 10), &[])])), 10);
    assert_eq!(outcome.walks[0].wants.len(), 1);
    assert!(outcome.patches.iter().all(|patch| patch.mean_visits > 0.0), "{outcome:?}");
}

/// Two kilos of the bank are set aside for the spring walk on 20 March.
fn promised(demand: Demand) -> Outcome {
    let ledger = Holding::new("hill")
        .permitted(|permission| permission.lifts_code_cap = true)
        .patch("bank", "nettle-tops")
        .surveyed(date(2027, 3, 1), 200.0)
        .held("spring", date(2027, 3, 20), "2000g", Taken::All)
        .ledger();
    let prepared = prepare(&ledger, Catalogue::built_in(), START).unwrap();
    rehearse(&prepared, &plan(demand), Repeats { runs: 20, seed: 3 }, || ())
}

#[test]
fn what_is_set_aside_does_not_shut_out_the_walk_itself() {
    let wants = ["nettle-tops=2000g"];
    let found = |walks: Vec<Walk>| {
        let outcome = promised(Demand::Walks(walks));
        outcome.walks.iter().map(|walk| walk.found_all.part()).collect::<Vec<_>>()
    };
    let spring = walk("spring", date(2027, 3, 20), &wants);
    let alone = found(vec![spring]);
    assert!(alone[0] > 0.5, "{alone:?}");
}

#[test]
fn a_promise_to_a_walk_that_is_not_played_is_kept_and_then_over() {
    let outcome = promised(Demand::Walks(vec![walk("later", date(2027, 5, 20), &[])]));
    assert!(outcome.walks[0].found_all.part() > 0.9);
    // Its own visit, and that of the walk that was promised something.
    assert!(outcome.patches[0].mean_visits > 1.5, "{outcome:?}");
}

/// In the same seasons, until tested its season lets it refill at 78 %; here truth is drawn about
/// the profile, so that a test gives more on average.
#[test]
fn a_recovery_test_changes_what_its_patch_gives_and_no_other() {
    let ledger = Holding::new("hill")
        .permitted(|permission| permission.lifts_code_cap = true)
        .patch("bank", "plantain-leaf")
        .surveyed(date(2027, 3, 1), 200.0)
        .patch("field", "plantain-leaf")
        .surveyed(date(2027, 3, 1), 200.0)
        .ledger();
    let prepared = prepare(&ledger, Catalogue::built_in(), START).unwrap();
    let taken = |tested: &[&str]| {
        let tested = tested.iter().map(|name| name.parse().unwrap()).collect();
        let plan = Plan { tested, ..plan(Demand::AllAllowed) };
        let outcome = rehearse(&prepared, &plan, Repeats { runs: 400, seed: 3 }, || ());
        outcome.patches.iter().map(|patch| (patch.mean_taken, patch.may_be_tested)).collect()
    };
    let untested: Vec<(f64, bool)> = taken(&[]);
    let tested: Vec<(f64, bool)> = taken(&["hill/bank"]);
    assert_eq!([untested[0].1, untested[1].1], [true, true]);
    assert_eq!([tested[0].1, tested[1].1], [false, true]);
    assert_eq!(tested[1].0, untested[1].0, "nothing is otherwise where nobody tested");
    let gain = tested[0].0 / untested[0].0 - 1.0;
    assert!((0.005..0.2).contains(&gain), "{gain}");
}
