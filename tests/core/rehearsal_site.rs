//! Patches of one crop on one site, in the proof: what they share, and what speaking together does.

use jiff::ToSpan;
use jiff::civil::{Date, date};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use stintbook_core::estimate::Estimate;
use stintbook_core::records::{Habit, Recovery, Taken};
use stintbook_core::regrowth::{Event, Eyes, Growth, Play, Seen, Share, Terms};
use stintbook_core::rehearsal::proof::{
    BY_THE_BOOK, COMPANIES, Cell, Company, Drawn, Effort, Plots, Score, Strain, site_taper,
};

use crate::crops::crop;

const FAST: Recovery = Recovery { take_fraction: 1.0 / 3.0, days: 28.0 };
const FIRST_DAY: Date = date(2027, 3, 1);
const EFFORT: Effort = Effort { patches: 400, seed: 1 };

/// A patch that was surveyed at 1000 and glanced at each week.
fn glanced<'a>(terms: &'a Terms, growth: &'a Growth, glances: &[f64]) -> Play<'a> {
    let mut play = Play::new(terms, growth);
    let mut take = |day, seen| {
        play.take(&Event { day, by: "Ana".into(), seen }, &Eyes::default());
    };
    let survey = Estimate { best: 1000.0, standard_error: 200.0, degrees_of_freedom: 11.0, n: 12 };
    take(FIRST_DAY, Seen::Survey(survey));
    for (week, amount) in (0..).zip(glances) {
        take(after(week), Seen::Glance(*amount));
    }
    play
}

fn after(weeks: i64) -> Date {
    FIRST_DAY.checked_add(weeks.weeks()).unwrap()
}

/// After eight equal looks and a drop to q, x is q^(1 − 0.7^j) after j more looks; of four
/// patches of which one drops, the geometric mean is its fourth root.
#[test]
fn a_site_says_what_the_geometric_mean_of_its_looks_does() {
    let (terms, growth) = (Terms::of(&crop(Habit::FastLeaf, FAST)), Growth::all_year());
    let play = |last: f64| {
        let looks = [[1000.0; 8].as_slice(), &[last; 3]].concat();
        glanced(&terms, &growth, &looks)
    };
    let said = |last: [f64; 4]| {
        let plays = last.map(play);
        site_taper(plays.iter().map(Play::sight))
    };
    let drop = |q: f64| q.powf(1.0 - 0.7_f64.powi(3));
    assert_eq!(said([1000.0; 4]), 1.0);
    let one = said([600.0, 1000.0, 1000.0, 1000.0]);
    assert!((one - (drop(0.6).powf(0.25) - 0.7) / 0.25).abs() < 1e-9, "{one}");
    let all = said([700.0; 4]);
    assert!((all - (drop(0.7) - 0.7) / 0.25).abs() < 1e-9, "{all}");
    assert_eq!(said([400.0; 4]), 0.0);
    assert_eq!(site_taper([]), 1.0);
}

proptest! {
    #![proptest_config(ProptestConfig {
        rng_seed: RngSeed::Fixed(27),
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn what_a_site_says_never_raises_a_share_and_is_gone_the_next_day(
        looks in prop::collection::vec(prop::collection::vec(200.0..2000.0_f64, 1..12), 4),
        cut in 0.0..200.0_f64,
    ) {
        let (terms, growth) = (Terms::of(&crop(Habit::FastLeaf, FAST)), Growth::all_year());
        let mut plays: Vec<Play> =
            looks.iter().map(|looks| glanced(&terms, &growth, looks)).collect();
        let most = site_taper(plays.iter().map(Play::sight));
        prop_assert!((0.0..=1.0).contains(&most));
        let day = after(12);
        let event = Event {
            day,
            by: "Ana".into(),
            seen: Seen::Cut { amount: cut, taken: Taken::ByWeight, people: None },
        };
        for play in &mut plays {
            let share = |play: &Play, day| Share::of(&play.state_on(day).unwrap(), &terms).fraction();
            let tomorrow = day.tomorrow().unwrap();
            let (before, next) = (share(play, day), share(play, tomorrow));
            play.thin_at_most(day, most);
            prop_assert!(share(play, day) <= before);
            prop_assert!((share(play, tomorrow) - next).abs() < 1e-12);
            play.take(&event, &Eyes::default());
            prop_assert!(share(play, day) <= before);
        }
    }
}

/// What a site's patches have in common changes no patch's own chances.
#[test]
fn patches_of_a_site_that_do_not_speak_fare_as_others_do() {
    let plots = Plots::new();
    let cell = Cell::new(Habit::SlowLeaf, BY_THE_BOOK[0]);
    let alone = Cell { strain: Strain::HalfRate, ..cell };
    let of_a_site = Cell { company: Company::Four { speak: false }, ..alone };
    let [alone, of_a_site] = [alone, of_a_site].map(|cell| cell.score(&plots, EFFORT));
    let figures: [fn(&Score) -> Drawn; 3] =
        [|score| score.yielded, |score| score.dips, |score| score.refused];
    for figure in figures {
        let [alone, of_a_site] = [&alone, &of_a_site].map(figure);
        let apart = (alone.value - of_a_site.value).abs();
        assert!(apart < 3.0 * alone.error.hypot(of_a_site.error), "{alone:?}, {of_a_site:?}");
        assert!(alone.value > 0.0, "{alone:?}");
        assert_ne!(alone, of_a_site);
    }
}

#[test]
fn patches_that_speak_together_are_cut_less_and_harmed_less() {
    let plots = Plots::new();
    let cell = Cell { strain: Strain::HalfRate, ..Cell::new(Habit::SlowLeaf, BY_THE_BOOK[0]) };
    let [each, together] = COMPANIES.map(|company| Cell { company, ..cell }.score(&plots, EFFORT));
    assert!(together.yielded.value < each.yielded.value, "{together:?}, {each:?}");
    assert!(together.dips.value < each.dips.value, "{together:?}, {each:?}");
}
