//! One ruling of a cut's day: what was allowed that morning, and how the cut stood to it.

use crate::holding::{Holding, assessed};
use jiff::ToSpan;
use jiff::civil::{Date, date};
use stintbook_core::assess::{
    CutRuling, DayRuling, NewCut, Prepared, day_rulings, prepare, rule_cut, rule_cuts,
};
use stintbook_core::catalogue::Catalogue;
use stintbook_core::records::{CropField, Ledger, Taken};
use stintbook_core::rules::Verdict;
use stintbook_core::units::Amount;

const SURVEYED: Date = date(2027, 3, 1);
const DAY: Date = date(2027, 3, 20);
const NETTLE: &str = "nettle-tops";

/// Where the share binds, since the occupier has agreed to more than the code's one in twenty, and
/// a full crop stands at the same all year.
fn nettles() -> Holding {
    let plot = Holding::new("plot").permitted(|terms| terms.lifts_code_cap = true);
    let plot = plot.overridden(NETTLE, CropField::FullByMonth, "all year");
    plot.patch("bank", NETTLE).surveyed(SURVEYED, 100.0)
}

/// What every rule allows on `DAY`, by the answer that `check` gives.
fn allowed(holding: &Holding) -> f64 {
    assessed(&holding.clone().ledger(), DAY)[0].ruling.most.unwrap()
}

fn new_cut(amount: f64, said: Option<Taken>) -> NewCut<'static> {
    NewCut { day: DAY, amount, people: Some(4), method: None, walk: None, by: "Ana", said }
}

fn with_prepared<T>(holding: &Holding, of: impl FnOnce(&mut [Prepared]) -> T) -> T {
    let ledger: Ledger = holding.clone().ledger();
    of(&mut prepare(&ledger, Catalogue::built_in(), DAY).unwrap())
}

fn ruled(holding: &Holding, amount: f64, said: Option<Taken>) -> CutRuling {
    with_prepared(holding, |prepared| rule_cut(&prepared[0], &new_cut(amount, said)))
}

#[test]
fn a_cut_of_which_nothing_is_said_took_all_as_far_as_a_scale_can_tell() {
    let most = allowed(&nettles());
    assert!(most > 1000.0);
    for part in [0.2, 0.9, 1.0, 1.049] {
        let ruling = ruled(&nettles(), part * most, None);
        assert_eq!((ruling.taken, ruling.day.take.is_over()), (Taken::All, false), "{part}");
        assert!((ruling.day.take.part_of_allowed().unwrap() - part).abs() < 1e-9);
    }
    for part in [1.051, 3.86] {
        let ruling = ruled(&nettles(), part * most, None);
        assert_eq!(ruling.taken, Taken::ByWeight, "{part}");
        assert!((ruling.day.take.over_by().unwrap() - (part - 1.0) * most).abs() < 1e-6);
    }
    assert_eq!(ruled(&nettles(), 0.0, None).taken, Taken::ByWeight);
}

#[test]
fn what_is_said_of_the_share_is_believed_but_all_of_nothing_or_of_less_is_not() {
    let most = allowed(&nettles());
    let taken = |holding: &Holding, amount, said| ruled(holding, amount, Some(said)).taken;
    assert_eq!(taken(&nettles(), most, Taken::ByWeight), Taken::ByWeight);
    assert_eq!(taken(&nettles(), 9.0 * most, Taken::OneIn(200)), Taken::OneIn(200));
    assert_eq!(taken(&nettles(), 0.01 * most, Taken::All), Taken::All);
    assert_eq!(taken(&nettles(), 2.0 * most, Taken::All), Taken::ByWeight);
    let shut = nettles().closed(DAY, None);
    assert_eq!(taken(&shut, 100.0, Taken::All), Taken::ByWeight);
    let capped = nettles().permitted(|terms| terms.cap_per_visit = Some(Amount::grams(600.0)));
    assert_eq!(taken(&capped, 600.0, Taken::All), Taken::ByWeight);
}

#[test]
fn where_another_rule_than_the_share_binds_its_count_or_the_weight_is_charged() {
    let capped = nettles().permitted(|terms| terms.cap_per_visit = Some(Amount::grams(600.0)));
    let ruling = ruled(&capped, 600.0, None);
    assert_eq!((ruling.day.take.allowed, ruling.taken), (Some(600.0), Taken::ByWeight));
    assert!(ruling.day.take.by_share.unwrap() > 1000.0);
    assert_eq!(ruling.day.take.decided_by, Some("permission"));
    let coded = Holding::new("plot").overridden(NETTLE, CropField::CodeCap, "0.02");
    let coded = coded.patch("bank", NETTLE).surveyed(SURVEYED, 100.0);
    assert_eq!(ruled(&coded, 100.0, None).taken, Taken::OneIn(50));
}

#[test]
fn the_days_earlier_cuts_count_with_a_new_one_and_leave_it_nothing() {
    let most = allowed(&nettles());
    let first = format!("{}g", (0.9 * most).round());
    let used = nettles().cut_as(DAY, &first, Some(4), Taken::All);
    let ruling = ruled(&used, 0.9 * most, None);
    assert_eq!(ruling.before.verdict, Verdict::Resting);
    assert!(ruling.day.was_open() && ruling.day.take.is_over());
    assert_eq!(ruling.day.take.allowed, Some(most));
    assert!((ruling.day.take.taken - 1.8 * most).abs() < 1.0);
    assert_eq!((ruling.day.people, ruling.taken), (Some(8), Taken::ByWeight));
}

/// Whatever is brought together, each is ruled as if it had been recorded one after the other.
#[test]
fn cuts_brought_together_are_ruled_as_if_recorded_in_turn() {
    let cap = |holding: Holding| {
        holding.permitted(|terms| terms.cap_per_season = Some(Amount::grams(5000.0)))
    };
    let two = |first: Option<(&str, Taken)>| {
        let bank = cap(nettles());
        let bank = match first {
            Some((amount, taken)) => bank.cut_as(DAY, amount, Some(4), taken),
            None => bank,
        };
        bank.patch("wall", NETTLE).surveyed(SURVEYED, 100.0)
    };
    let cuts = [
        (1, NewCut { day: DAY, ..new_cut(2500.0, None) }),
        (0, NewCut { day: DAY.yesterday().unwrap(), ..new_cut(3000.0, None) }),
    ];
    let together = with_prepared(&two(None), |prepared| rule_cuts(prepared, &cuts));
    let bank_first = with_prepared(&two(None), |prepared| rule_cut(&prepared[0], &cuts[1].1));
    assert_eq!(together[1], bank_first);
    assert_eq!(together[1].taken, Taken::All);
    // The season's cap of the site has 2 kg left for the wall.
    assert_eq!(together[0].day.take.allowed, Some(2000.0));
    assert_eq!(together[0].day.take.over_by(), Some(500.0));
    assert_eq!(together[0].taken, Taken::ByWeight);
}

#[test]
fn a_ruling_before_recording_is_the_days_ruling_afterwards() {
    let most = allowed(&nettles());
    for (part, people) in [(0.5, 4), (1.0, 4), (2.5, 4)] {
        let amount = (part * most).round();
        let before = ruled(&nettles(), amount, None);
        let ledger =
            nettles().cut_as(DAY, &format!("{amount}g"), Some(people), before.taken).ledger();
        // Much later, after more was seen and cut.
        let later = DAY.checked_add(40.days()).unwrap();
        for until in [DAY, later, Date::MAX] {
            let prepared = prepare(&ledger, Catalogue::built_in(), until).unwrap();
            let cuts: Vec<_> = prepared[0].facts.cuts.iter().collect();
            let afterwards: Vec<_> =
                day_rulings(&prepared[0], &cuts).iter().map(DayRuling::figures).collect();
            assert_eq!(afterwards, [before.day]);
        }
    }
}
