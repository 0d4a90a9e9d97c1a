//! Every rule keeps the laws, and each says what it is for.

use crate::crops;
use geo::{MultiPolygon, Point, Rect};
use jiff::ToSpan;
use jiff::civil::{Date, date};
use proptest::prelude::*;
use stintbook_core::crop::Extent;
use stintbook_core::estimate::Estimate;
use stintbook_core::records::*;
use stintbook_core::regrowth::{Count, Course, Event, Eyes, Growth, History, Seen, State, Terms};
use stintbook_core::rules::{
    Case, Promise, REFILLING_SHARE, RULES, Reason, Verdict, reductions, rule_on,
};
use stintbook_core::units::{Amount, Metres, SquareMetres};

const SURVEYED: Date = date(2027, 3, 1);
const DAY: Date = date(2027, 4, 10);

/// A patch in a small world of its own; change what a test is about, then ask.
#[derive(Clone, Debug)]
struct Trial {
    crop: Crop,
    site: SiteFacts,
    patch: Patch,
    events: Vec<Event>,
    promises: Vec<Promise>,
    people: Option<u32>,
    method: Option<&'static str>,
    change_state: fn(State) -> State,
}

fn fact<T>(record: T) -> Fact<T> {
    Fact {
        id: FactId(uuid::Uuid::nil()),
        happened_on: date(2026, 1, 1),
        recorded_on: date(2026, 1, 1),
        by: "Ana".into(),
        file: None,
        record,
    }
}

impl Trial {
    /// A fast leaf, surveyed at 20 kg on 1 March, with a written permission without caps.
    fn new() -> Self {
        Self::of(Habit::FastLeaf, Recovery { take_fraction: 1.0 / 3.0, days: 28.0 })
    }

    fn of(habit: Habit, recovery: Recovery) -> Self {
        let name = SiteName::new("plot").unwrap();
        let square = Rect::new((0.0, 52.0), (0.01, 52.01)).to_polygon();
        let site = Site {
            name: name.clone(),
            boundary: MultiPolygon::new(vec![square]),
            occupier: None,
            protected: None,
            cautions: None,
        };
        let permission = Permission {
            site: name.clone(),
            basis: Basis::Written,
            purposes: None,
            from: date(2026, 1, 1),
            to: None,
            crops: vec![],
            methods: vec![],
            cap_per_visit: None,
            cap_per_season: None,
            largest_party: None,
            ask_first: false,
            lifts_code_cap: false,
            note: None,
        };
        let centre = Point::new(0.005, 52.005);
        let patch = Patch {
            name: PatchName::new(&name, "bank").unwrap(),
            crop: "test-crop".into(),
            footprint: Footprint::Disc { centre, radius: Metres(5.0) },
            // Feet wear nothing there, unless a test is about them.
            underfoot: Some(Underfoot::Bare),
            note: None,
        };
        let mut trial = Self {
            crop: crops::crop(habit, recovery),
            site: SiteFacts {
                site: fact(site),
                zones: vec![],
                permissions: vec![fact(permission)],
                closures: vec![],
                visits: vec![],
                landmarks: vec![],
                emergencies: vec![],
                overrides: vec![],
                walks: vec![],
                patches: vec![],
            },
            patch,
            events: vec![],
            promises: vec![],
            people: None,
            method: None,
            change_state: |state| state,
        };
        trial.happens(SURVEYED, Seen::Survey(survey_of(20_000.0, 0.2)));
        trial
    }

    fn happens(&mut self, day: Date, seen: Seen) {
        self.events.push(Event { day, by: "Ana".into(), seen });
    }

    fn finds(&mut self, day: Date, troubles: Vec<Trouble>, asked: Option<Answer>) {
        let visit = Visit {
            site: self.site.site.record.name.clone(),
            patch: Some("bank".into()),
            stage: None,
            ripe: None,
            troubles,
            over: vec![],
            look_alike: None,
            cleared: None,
            nesting: None,
            asked,
            asked_of: None,
            asked_for: None,
            weather: None,
            tide: None,
            ground: None,
            photo: None,
            note: None,
        };
        self.site.visits.push(Fact { happened_on: day, ..fact(visit) });
    }

    fn promised(&mut self, day: Date, amount: f64, taken: Taken) {
        let walk = "another walk".parse().unwrap();
        self.promises.push(Promise { walk, day, amount, taken, people: None });
        self.promises.sort_by_key(|promise| promise.day);
    }

    /// As if these promises had been kept.
    fn with_kept(&self, is_kept: impl Fn(&Promise) -> bool) -> Self {
        let mut trial = self.clone();
        let (kept, coming) = trial.promises.into_iter().partition(|promise| is_kept(promise));
        trial.promises = coming;
        for Promise { day, amount, taken, people, .. } in kept {
            trial.happens(day, Seen::Cut { amount, taken, people });
        }
        trial
    }

    fn permission(&mut self) -> &mut Permission {
        &mut self.site.permissions[0].record
    }

    fn ask<T>(&self, day: Date, question: impl FnOnce(&Case) -> T) -> T {
        let terms = Terms::of(&self.crop);
        let growth = Growth::all_year();
        let history = History::new(self.events.clone()).known_until(day);
        let eyes = Eyes::default();
        let course = Course { terms: &terms, growth: &growth, eyes: &eyes, history: &history };
        let site_cuts: Vec<(Date, f64)> = history.cuts().collect();
        let site_promises: Vec<(Date, f64)> =
            self.promises.iter().map(|promise| (promise.day, promise.amount)).collect();
        question(&Case {
            day,
            people: self.people,
            in_turns: false,
            method: self.method,
            purpose: None,
            site: &self.site,
            visits: &self.site.visits,
            patch: &self.patch,
            crop: &self.crop,
            extent: Extent { area: SquareMetres(78.5), length: None, plants: None },
            terms: &terms,
            growth: &growth,
            state: course.state_on(day).map(self.change_state),
            history: &history,
            site_cuts: &site_cuts,
            promises: &self.promises,
            site_promises: &site_promises,
            contested: None,
            retired: None,
            in_words: true,
        })
    }

    fn verdict(&self, day: Date) -> (Verdict, &'static str) {
        self.ask(day, |case| {
            let ruling = rule_on(case);
            (ruling.verdict, ruling.binding.map_or("none", |index| ruling.ceilings[index].rule))
        })
    }

    fn most(&self, day: Date, rule: &str) -> Option<f64> {
        self.ask(day, |case| {
            let rule = RULES.iter().find(|known| known.name() == rule).unwrap();
            rule.ceiling(case).most
        })
    }

    fn opens(&self, day: Date, rule: &str) -> Option<Date> {
        self.ask(day, |case| RULES.iter().find(|known| known.name() == rule).unwrap().opens(case))
    }
}

fn survey_of(best: f64, relative_error: f64) -> Estimate {
    Estimate { best, standard_error: relative_error * best, degrees_of_freedom: 11.0, n: 12 }
}

fn synthetic<T>(value: T) -> Option<Sourced<T>> {
    Some(Sourced { value, source: "synthetic, for tests".into() })
}

fn cut(amount: f64, taken: Taken) -> Seen {
    Seen::Cut { amount, taken, people: Some(9) }
}

#[test]
fn a_surveyed_permitted_patch_in_season_is_open() {
    assert_eq!(Trial::new().verdict(DAY), (Verdict::Open, "refilling share"));
}

#[test]
fn nothing_is_cut_without_a_survey() {
    let mut trial = Trial::new();
    trial.events.clear();
    assert_eq!(trial.verdict(DAY), (Verdict::NotKnown, "survey"));
}

#[test]
fn a_fast_leaf_survey_is_believed_for_ninety_days() {
    let last_day = SURVEYED.checked_add(90.days()).unwrap();
    assert_eq!(Trial::new().verdict(last_day).0, Verdict::Open);
    assert_eq!(Trial::new().verdict(last_day.tomorrow().unwrap()).0, Verdict::NotKnown);
}

#[test]
fn a_once_a_year_survey_is_believed_until_its_window_closes() {
    let mut trial = Trial::of(Habit::OnceAYear, Recovery { take_fraction: 0.3, days: 365.0 });
    trial.crop.window.value = "04-01..05-15".parse().unwrap();
    assert_eq!(trial.verdict(date(2027, 5, 15)).0, Verdict::Open);
    assert_eq!(trial.verdict(date(2028, 5, 1)), (Verdict::NotKnown, "survey"));
}

#[test]
fn nothing_is_cut_outside_a_season_that_wraps_the_new_year() {
    let mut trial = Trial::new();
    trial.crop.window.value = "11-15..04-09".parse().unwrap();
    assert_eq!(trial.verdict(DAY), (Verdict::OutOfSeason, "season"));
    assert_eq!(trial.verdict(date(2027, 4, 9)).0, Verdict::Open);
    assert_eq!(trial.opens(DAY, "season"), Some(date(2027, 11, 15)));
}

#[test]
fn a_closure_shuts_its_patch_until_the_day_after_its_end() {
    let mut trial = Trial::new();
    trial.site.closures.push(fact(Closure {
        site: trial.patch.name.site().clone(),
        patch: Some("bank".into()),
        from: DAY,
        to: Some(date(2027, 4, 20)),
        reason: "nesting".into(),
    }));
    assert_eq!(trial.verdict(DAY), (Verdict::Closed, "closure"));
    assert_eq!(trial.opens(DAY, "closure"), Some(date(2027, 4, 21)));
    // That is the occupier's word, and says nothing of what the patch can bear.
    let limits = trial.ask(DAY, |case| {
        let ruling = rule_on(case);
        (ruling.agreed(), ruling.bearable())
    });
    assert!(limits.0 == Some(0.0) && limits.1 > Some(1_000.0), "{limits:?}");
    assert_eq!(trial.verdict(date(2027, 4, 21)).0, Verdict::Open);
    trial.site.closures[0].record.patch = Some("another".into());
    assert_eq!(trial.verdict(DAY).0, Verdict::Open);
}

#[test]
fn a_protected_crop_or_site_is_closed_for_good() {
    let mut trial = Trial::new();
    trial.site.site.record.protected = Some("reserve".into());
    assert_eq!(trial.verdict(DAY), (Verdict::Closed, "protected"));
    assert_eq!(trial.opens(DAY, "protected"), None);
}

#[test]
fn a_lapsed_permission_is_none() {
    let mut trial = Trial::new();
    trial.permission().to = Some(date(2027, 4, 9));
    assert_eq!(trial.verdict(DAY), (Verdict::NoPermission, "permission"));
    assert_eq!(trial.verdict(date(2027, 4, 9)).0, Verdict::Open);
}

#[test]
fn a_permission_for_another_crop_or_way_of_cutting_is_none() {
    let mut trial = Trial::new();
    trial.permission().methods = vec!["scissors".into()];
    assert_eq!(trial.verdict(DAY).0, Verdict::Open);
    trial.method = Some("spade");
    assert_eq!(trial.verdict(DAY).0, Verdict::NoPermission);
    trial.method = Some("scissors");
    assert_eq!(trial.verdict(DAY).0, Verdict::Open);
    trial.permission().crops = vec!["another".into()];
    assert_eq!(trial.verdict(DAY).0, Verdict::NoPermission);
}

#[test]
fn a_party_larger_than_agreed_is_not_permitted() {
    let mut trial = Trial::new();
    trial.permission().largest_party = Some(8);
    trial.people = Some(8);
    assert_eq!(trial.verdict(DAY).0, Verdict::Open);
    trial.people = Some(9);
    assert_eq!(trial.verdict(DAY).0, Verdict::NoPermission);
}

#[test]
fn a_cap_for_the_season_leaves_what_is_not_yet_cut() {
    let mut trial = Trial::new();
    trial.permission().cap_per_season = Some(Amount::grams(1000.0));
    trial.happens(date(2027, 3, 20), cut(700.0, Taken::ByWeight));
    assert_eq!(trial.most(DAY, "permission"), Some(300.0));
    trial.happens(date(2027, 4, 1), cut(300.0, Taken::ByWeight));
    assert_eq!(trial.verdict(DAY).0, Verdict::NoPermission);
    assert_eq!(trial.opens(DAY, "permission"), Some(date(2027, 9, 1)));
}

#[test]
fn a_cap_for_the_visit_comes_back_the_next_day() {
    let mut trial = Trial::new();
    trial.permission().cap_per_visit = Some(Amount::grams(400.0));
    trial.happens(DAY, cut(400.0, Taken::ByWeight));
    assert_eq!(trial.most(DAY, "permission"), Some(0.0));
    assert_eq!(trial.opens(DAY, "permission"), Some(DAY.tomorrow().unwrap()));
    // And before another begins, whichever was written down first.
    let later = Permission { from: date(2027, 6, 1), ..trial.permission().clone() };
    trial.site.permissions.push(fact(later));
    trial.site.permissions.reverse();
    assert_eq!(trial.opens(DAY, "permission"), Some(DAY.tomorrow().unwrap()));
}

/// BSBI code of conduct (2017): no more than one in twenty.
#[test]
fn a_published_cap_holds_unless_the_occupier_lifts_it_in_writing() {
    let mut trial = Trial::new();
    trial.crop.code_cap = synthetic(CodeCap { fraction: 0.05 });
    let one_in = |trial: &Trial| trial.ask(DAY, |case| rule_on(case).one_in);
    assert_eq!(trial.verdict(DAY), (Verdict::Open, "code of practice"));
    assert_eq!(one_in(&trial), Some(20));
    // Where nothing stands nothing was taken of it.
    let bare = |mut state: State| {
        state.standing = 0.0;
        state
    };
    let nothing = Trial { change_state: bare, ..trial.clone() }.ask(DAY, |case| {
        let ceilings = rule_on(case).ceilings;
        ceilings.into_iter().find(|ceiling| ceiling.rule == "code of practice").unwrap().reason
    });
    assert_eq!(nothing, Reason::Code(CodeCap { fraction: 0.05 }, 0.0));
    trial.permission().lifts_code_cap = true;
    assert_eq!(trial.verdict(DAY), (Verdict::Open, "refilling share"));
    assert!(one_in(&trial).unwrap() < 20);
}

/// One in 200 is the least that is counted off; the code's laxer count must not stand in for less.
#[test]
fn what_is_too_little_to_count_goes_by_weight_and_without_slack() {
    let mut trial = Trial::new();
    trial.crop.code_cap = synthetic(CodeCap { fraction: 0.05 });
    let asked = |trial: &Trial| {
        trial.ask(DAY, |case| {
            let (ruling, share) = (rule_on(case), case.share().unwrap());
            (ruling.one_in, ruling.most.unwrap() / (share.fraction() * share.low), share.slack)
        })
    };
    // The first visits take half of what is left.
    trial.change_state = |mut state| {
        state.share_left = 2.0 / 200.0;
        state
    };
    let (one_in, slack, _) = asked(&trial);
    assert_eq!(one_in, Some(200));
    assert!((slack - 1.5).abs() < 1e-9, "{slack}");
    trial.change_state = |mut state| {
        state.share_left = 2.0 / 200.1;
        state
    };
    let (one_in, slack, of_share) = asked(&trial);
    assert_eq!((one_in, of_share), (None, 1.0));
    assert!((slack - 1.0).abs() < 1e-9, "{slack}");
    assert_eq!(trial.verdict(DAY), (Verdict::Open, "refilling share"));
}

#[test]
fn a_promise_that_leaves_too_little_to_count_is_charged_by_weight() {
    let mut trial = Trial::new();
    trial.events.clear();
    trial.happens(SURVEYED, Seen::Survey(survey_of(200_000.0, 0.2)));
    let most = trial.most(DAY, "refilling share").unwrap();
    trial.promised(DAY, most * 0.98, Taken::ByWeight);
    let ruling = trial.ask(DAY, rule_on);
    assert_eq!((ruling.verdict, ruling.one_in), (Verdict::Open, None));
    assert_eq!((ruling.binding_rule(), ruling.all_taken()), (Some("holds"), Taken::ByWeight));
}

#[test]
fn a_published_cap_is_on_the_patch_not_on_the_party() {
    let mut trial = Trial::new();
    trial.crop.code_cap = synthetic(CodeCap { fraction: 0.05 });
    let left_after = |taken: Taken, amount: f64| {
        let mut trial = trial.clone();
        trial.happens(DAY, cut(amount, taken));
        trial.most(DAY, "code of practice").unwrap()
    };
    assert_eq!(left_after(Taken::OneIn(20), 400.0), 0.0);
    assert_eq!(left_after(Taken::All, 400.0), 0.0);
    // Half of one in twenty of 20 kg, by weight, leaves the other half.
    let (before, after) =
        (trial.most(DAY, "code of practice").unwrap(), left_after(Taken::ByWeight, 500.0));
    assert!((after / before - 0.5).abs() < 0.05, "{before} became {after}");
}

/// One in twenty of the stand is not one in twenty each day: 28 days are the fast leaf's interval.
#[test]
fn a_published_cap_is_on_the_stand_until_it_had_time_to_come_back() {
    let mut trial = Trial::new();
    trial.crop.code_cap = synthetic(CodeCap { fraction: 0.05 });
    let after = |days: i64| DAY.checked_add(days.days()).unwrap();
    let left = |trial: &Trial, days: i64| {
        trial.ask(after(days), |case| {
            let rule = RULES.iter().find(|rule| rule.name() == "code of practice").unwrap();
            let count = rule.ceiling(case).count.and_then(Count::one_in);
            (rule.ceiling(case).most.unwrap() > 0.0, count)
        })
    };
    let mut cut_out = trial.clone();
    cut_out.happens(DAY, cut(400.0, Taken::OneIn(20)));
    assert_eq!([0, 1, 27, 28].map(|days| left(&cut_out, days).0), [false, false, false, true]);
    assert_eq!(left(&cut_out, 28), (true, Some(20)));
    assert_eq!(cut_out.opens(after(1), "code of practice"), Some(after(28)));
    // Two fortieths are a twentieth: after the first a fortieth is left.
    trial.happens(DAY, cut(400.0, Taken::OneIn(40)));
    assert_eq!(left(&trial, 5), (true, Some(40)));
    trial.happens(after(5), cut(400.0, Taken::OneIn(40)));
    assert_eq!([6, 27].map(|days| left(&trial, days).0), [false; 2]);
    assert_eq!(left(&trial, 28), (true, Some(40)), "the first has come back");
    assert_eq!(left(&trial, 33), (true, Some(20)));
}

/// Wild Mushroom Pickers' Code of Conduct, England 1998: 1.5 kg a person and visit.
#[test]
fn a_cap_per_person_grows_with_the_party() {
    let mut trial = Trial::new();
    trial.crop.per_person_visit = synthetic(Amount::grams(1500.0));
    assert_eq!(trial.most(DAY, "per person"), Some(1500.0));
    trial.people = Some(4);
    assert_eq!(trial.most(DAY, "per person"), Some(6000.0));
}

/// Vozár et al. 2009: whole nettle stands do not bear a cut each fifth week.
#[test]
fn a_stand_that_has_had_its_cuts_rests_until_the_next_season() {
    let mut trial = Trial::new();
    trial.crop.window.value = "03-01..05-31".parse().unwrap();
    trial.crop.cuts_per_season = synthetic(3);
    let said = |trial: &Trial| {
        trial.ask(DAY, |case| {
            let rule = RULES.iter().find(|rule| rule.name() == "cuts per season").unwrap();
            rule.ceiling(case).reason
        })
    };
    let mut reasons = Vec::new();
    for day in [5, 15, 25] {
        trial.happens(date(2027, 3, day), cut(100.0, Taken::All));
        reasons.push(said(&trial));
    }
    assert_eq!(reasons, [1, 2, 3].map(|made| Reason::CutsMade { made, allowed: 3 }));
    assert_eq!(trial.verdict(DAY), (Verdict::Resting, "cuts per season"));
    assert_eq!(trial.opens(DAY, "cuts per season"), Some(date(2028, 3, 1)));
}

/// Before the first survey nobody knows what was allowed, and where too little stands nothing is.
#[test]
fn where_nothing_was_allowed_any_basket_is_a_cut_of_the_stand_and_an_empty_one_is_none() {
    let is_shut = |trial: &Trial| trial.most(DAY, "cuts per season") == Some(0.0);
    let baskets = |surveyed: Option<Date>, day| {
        [0.0, 1.0].map(|amount| {
            let mut trial = Trial::new();
            trial.crop.cuts_per_season = synthetic(1);
            if let Some(surveyed) = surveyed {
                trial.happens(surveyed, Seen::Survey(survey_of(100.0, 0.2)));
            }
            trial.happens(day, cut(amount, Taken::ByWeight));
            is_shut(&trial)
        })
    };
    assert_eq!(baskets(None, date(2027, 2, 20)), [false, true]);
    assert_eq!(baskets(Some(date(2027, 4, 1)), date(2027, 4, 5)), [false, true]);
}

/// What counts is the day, whoever came: two thirds of what was allowed in two baskets is a cut,
/// and two fifths of it are none.
#[test]
fn a_day_that_took_less_than_half_of_what_was_allowed_is_no_cut_of_the_stand() {
    let mut trial = Trial::new();
    trial.crop.cuts_per_season = synthetic(1);
    let morning = DAY.checked_sub(2.days()).unwrap();
    let allowed = trial.most(morning, "refilling share").unwrap();
    let is_shut_by = |baskets: &[f64]| {
        let mut trial = trial.clone();
        for part in baskets {
            trial.happens(morning, cut(part * allowed, Taken::ByWeight));
        }
        trial.most(DAY, "cuts per season") == Some(0.0)
    };
    assert_eq!([0.4, 0.49, 0.51, 1.0].map(|part| is_shut_by(&[part])), [false, false, true, true]);
    assert!(!is_shut_by(&[0.2, 0.2]));
    assert!(is_shut_by(&[0.35, 0.35]));
}

/// A promise on the day before is a cut by then.
#[test]
fn a_promised_cut_counts_among_those_of_a_season() {
    let mut trial = Trial::new();
    trial.crop.cuts_per_season = synthetic(1);
    let morrow = DAY.tomorrow().unwrap();
    let most = |trial: &Trial| {
        trial.ask(DAY, |case| {
            let rule = RULES.iter().find(|rule| rule.name() == "cuts per season").unwrap();
            rule.ceiling(&case.on(morrow)).most
        })
    };
    assert_eq!(most(&trial), None);
    trial.promised(DAY, 100.0, Taken::All);
    assert_eq!(most(&trial), Some(0.0));
}

/// Half the share is kept back on the first four visits; the fourth is promised.
#[test]
fn a_promised_cut_counts_among_the_first_visits() {
    let mut trial = Trial::new();
    let a_visit = 0.6 * trial.ask(DAY, |case| rule_on(case).most).unwrap();
    for days in [28, 21, 14] {
        trial.happens(DAY.checked_sub(days.days()).unwrap(), cut(a_visit, Taken::ByWeight));
    }
    let later = DAY.checked_add(30.days()).unwrap();
    let start = |trial: &Trial| trial.ask(DAY, |case| case.on(later).share().unwrap().start);
    assert_eq!(start(&trial), 0.5);
    trial.promised(DAY, a_visit, Taken::ByWeight);
    assert_eq!(start(&trial), 1.0);
    let kept = trial.with_kept(|_| true);
    assert_eq!(kept.ask(later, |case| case.share().unwrap().start), 1.0);
}

/// Forty people, who took nothing.
fn forty_came() -> Seen {
    Seen::Cut { amount: 0.0, taken: Taken::ByWeight, people: Some(40) }
}

/// 160 passes on 78.5 m² are 204 on 100 m²; 200 halve the cover of heath (Hylgaard and Liddle
/// 1981), 210 that of fern (Hill and Pickering 2009).
#[test]
fn worn_ground_rests_until_its_visits_are_365_days_old() {
    let mut trial = Trial::new();
    trial.happens(date(2026, 5, 1), forty_came());
    trial.happens(date(2027, 3, 20), forty_came());
    assert_eq!(trial.verdict(DAY).0, Verdict::Open);
    trial.patch.underfoot = Some(Underfoot::Fern);
    assert_eq!(trial.verdict(DAY).0, Verdict::Open);
    for softest in [Some(Underfoot::Heath), None] {
        trial.patch.underfoot = softest;
        assert_eq!(trial.verdict(DAY), (Verdict::Resting, "feet"));
        assert_eq!(trial.opens(DAY, "feet"), Some(date(2027, 5, 1)));
    }
    assert_eq!(trial.verdict(date(2027, 4, 30)).0, Verdict::Resting);
    assert_eq!(trial.verdict(date(2027, 5, 1)).0, Verdict::Open);
}

#[test]
fn below_its_limit_feet_set_none_but_tell_where_the_ground_stands() {
    let mut trial = Trial::new();
    trial.patch.underfoot = Some(Underfoot::Lawn);
    let found = |trial: &Trial| {
        trial.ask(DAY, |case| {
            let feet = RULES.iter().find(|rule| rule.name() == "feet").unwrap().ceiling(case);
            assert_eq!(feet.most, None);
            match feet.reason {
                Reason::Feet { footfall, at_limit: false, .. } => footfall,
                other => panic!("{other:?}"),
            }
        })
    };
    assert_eq!(found(&trial).person_visits, 0);
    trial.happens(date(2027, 3, 20), forty_came());
    trial.happens(DAY, Seen::Cut { amount: 90.0, taken: Taken::ByWeight, people: None });
    let trodden = found(&trial);
    assert_eq!((trodden.person_visits, trodden.visits_without_people), (41, 1));
    assert_eq!(trodden.passes_per_100m2.map(f64::round), Some(104.0));
    assert_eq!(trodden.part_of_limit.map(|part| (part * 100.0).round()), Some(12.0));
    trial.patch.underfoot = Some(Underfoot::Bare);
    assert_eq!(found(&trial).part_of_limit, None);
}

#[test]
fn more_people_than_there_is_room_for_wait_in_vain() {
    let mut trial = Trial::new();
    trial.patch.underfoot = Some(Underfoot::Meadow);
    // One to 8 m²; the patch has 78.5 m².
    trial.people = Some(9);
    assert_eq!(trial.verdict(DAY).0, Verdict::Open);
    trial.people = Some(10);
    assert_eq!(trial.verdict(DAY), (Verdict::Resting, "feet"));
    assert_eq!(trial.opens(DAY, "feet"), None);
    trial.patch.underfoot = Some(Underfoot::Bare);
    assert_eq!(trial.verdict(DAY).0, Verdict::Open);
}

#[test]
fn the_reserve_is_never_cut_into() {
    let mut trial = Trial::new();
    trial.crop.reserve.value = 0.5;
    trial.change_state = |mut state| {
        state.standing = 0.4 * state.base;
        state
    };
    assert_eq!(trial.verdict(DAY), (Verdict::Resting, "reserve"));
}

#[test]
fn a_crop_without_a_reserve_is_held_to_none() {
    let mut trial = Trial::new();
    trial.crop.reserve.value = 0.0;
    assert_eq!(trial.most(DAY, "reserve"), None);
    trial.crop.reserve.value = 0.1;
    assert!(trial.most(DAY, "reserve").is_some_and(|most| most > 0.0));
}

#[test]
fn a_minimum_density_stays_standing() {
    let mut trial = Trial::new();
    trial.crop.leave_per_m2 = synthetic(1000.0);
    assert_eq!(trial.most(DAY, "leave standing"), Some(0.0));
}

#[test]
fn an_invasive_crop_has_no_limit_but_the_permissions() {
    let mut trial = Trial::new();
    trial.events.clear();
    trial.crop.status =
        Status::Invasive(Sourced { value: "do not spread it".into(), source: "law".into() });
    assert_eq!(trial.verdict(DAY), (Verdict::Open, "none"));
    trial.permission().cap_per_visit = Some(Amount::grams(400.0));
    assert_eq!(trial.verdict(DAY), (Verdict::Open, "permission"));
    trial.permission().to = Some(date(2027, 4, 9));
    assert_eq!(trial.verdict(DAY).0, Verdict::NoPermission);
}

#[test]
fn a_spent_patch_rests_and_says_when_it_opens() {
    let mut trial = Trial::new();
    trial.happens(DAY, cut(500.0, Taken::All));
    assert_eq!(trial.verdict(DAY), (Verdict::Resting, "refilling share"));
    let opens = trial.opens(DAY, "refilling share").unwrap();
    assert!(opens > DAY);
    assert_eq!(trial.verdict(opens).0, Verdict::Open);
    assert_eq!(trial.verdict(opens.yesterday().unwrap()).0, Verdict::Resting);
}

#[test]
fn an_opening_further_off_than_some_two_years_is_not_dated() {
    let opens = |days| {
        let mut trial = Trial::of(Habit::Slow, Recovery { take_fraction: 0.2, days });
        trial.crop.smallest_useful = synthetic(Amount::grams(500.0)).unwrap();
        trial.happens(DAY, cut(500.0, Taken::All));
        trial.opens(DAY, "refilling share")
    };
    assert!(opens(1_000.0).is_some());
    assert_eq!(opens(20_000.0), None);
}

#[test]
fn where_nothing_stands_a_share_that_is_partly_spent_does_not_outlast_the_survey() {
    let outlasts = |change_state: fn(State) -> State| {
        let mut trial = Trial { change_state, ..Trial::new() };
        trial.crop.smallest_useful = synthetic(Amount::grams(1_000.0)).unwrap();
        trial.happens(DAY, cut(500.0, Taken::ByWeight));
        trial.ask(DAY, |case| {
            RULES.iter().find(|rule| rule.name() == REFILLING_SHARE).unwrap().outlasts_survey(case)
        })
    };
    assert!(outlasts(|mut state| {
        state.standing = 2_000.0;
        state
    }));
    assert!(!outlasts(|mut state| {
        state.standing = 0.0;
        state
    }));
}

#[test]
fn why_a_share_is_small_is_told_of_what_stands_and_of_first_visits() {
    let reason = |change_state: fn(State) -> State| {
        let trial = Trial { change_state, ..Trial::new() };
        trial.ask(DAY, |case| {
            let rule = RULES.iter().find(|rule| rule.name() == REFILLING_SHARE).unwrap();
            rule.ceiling(case).reason
        })
    };
    let is_start = |change_state: fn(State) -> State| match reason(change_state) {
        Reason::ShareLeft(left) => left.is_start,
        other => panic!("{other:?}"),
    };
    assert!(is_start(|state| state));
    assert!(!is_start(|mut state| {
        state.visits = 100;
        state
    }));
    let little = reason(|mut state| {
        state.standing = 0.01 * state.base;
        state
    });
    assert_eq!(little, Reason::LittleStands);
}

#[test]
fn whatever_shrinks_the_share_is_named_with_its_factor() {
    let trial = Trial::new();
    let named = |trial: &Trial| {
        trial.ask(DAY, |case| {
            reductions(case).into_iter().map(|found| (found.name, found.factor)).collect::<Vec<_>>()
        })
    };
    assert_eq!(named(&trial), [("first visits", 0.5)]);
    let mut low = Trial::new();
    low.change_state = |mut state| {
        state.standing = 0.4 * state.base;
        state.thin = 0.9;
        state
    };
    let names: Vec<&str> = named(&low).into_iter().map(|(name, _)| name).collect();
    assert_eq!(names, ["below usual", "first visits", "looks thinner"]);
}

#[test]
fn every_rule_has_a_name_of_its_own_and_shuts() {
    for (index, rule) in RULES.iter().enumerate() {
        assert!(RULES[..index].iter().all(|other| other.name() != rule.name()));
        assert_ne!(rule.shuts_as(), Verdict::Open, "{}", rule.name());
    }
}

#[test]
fn what_is_all_promised_for_today_is_held_until_the_share_has_refilled() {
    let mut trial = Trial::new();
    let most = trial.most(DAY, "refilling share").unwrap();
    trial.promised(DAY, most, Taken::All);
    assert_eq!(trial.verdict(DAY), (Verdict::Held, "holds"));
    let mut cut_instead = Trial::new();
    cut_instead.happens(DAY, cut(most, Taken::All));
    assert_eq!(trial.opens(DAY, "holds"), cut_instead.opens(DAY, "refilling share"));
}

#[test]
fn half_a_limit_promised_leaves_the_other_half_and_a_count_to_go_with_it() {
    let mut trial = Trial::new();
    let most = trial.most(DAY, "refilling share").unwrap();
    trial.promised(DAY, most / 2.0, Taken::ByWeight);
    let left = trial.most(DAY, "holds").unwrap();
    assert!((left / most - 0.5).abs() < 0.1, "{left} of {most}");
    let (count, all) = trial.ask(DAY, |case| {
        let held = RULES.iter().find(|rule| rule.name() == "holds").unwrap();
        (held.ceiling(case).count, case.share().unwrap().count())
    });
    assert!(count >= all, "{count:?} and {all:?}");
    // What is left, taken too, leaves the promise its half.
    trial.happens(DAY, cut(left, Taken::ByWeight));
    assert!(trial.most(DAY, "refilling share").unwrap() >= most / 2.0 * (1.0 - 1e-6));
}

#[test]
fn a_later_promise_leaves_today_what_grows_back_by_then() {
    let mut trial = Trial::new();
    let most = trial.most(DAY, "refilling share").unwrap();
    let [soon, later] = [3, 40].map(|days: i64| DAY.checked_add(days.days()).unwrap());
    let room = |day| {
        let mut trial = trial.clone();
        trial.promised(day, most * 0.8, Taken::ByWeight);
        trial.most(DAY, "holds").unwrap()
    };
    assert!(room(soon) < 0.5 * most, "{}", room(soon));
    assert!(room(later) > 0.9 * most, "{}", room(later));
    trial.promised(soon, most * 0.8, Taken::ByWeight);
    trial.happens(DAY, cut(trial.most(DAY, "holds").unwrap(), Taken::ByWeight));
    trial.promises.clear();
    let finds = trial.most(soon, "refilling share").unwrap();
    assert!(finds >= most * 0.8 * (1.0 - 1e-6), "{finds} of {most}");
}

#[test]
fn a_promise_stands_on_its_day_and_is_kept_the_day_after() {
    let mut trial = Trial::new();
    let walk_day = DAY.checked_add(3.days()).unwrap();
    let share = |trial: &Trial, day| trial.ask(DAY, |case| case.on(day).share().unwrap().left);
    let untouched = share(&trial, walk_day);
    trial.promised(walk_day, 100.0, Taken::All);
    assert_eq!(trial.ask(DAY, |case| case.on(walk_day).promises_coming().len()), 1);
    assert_eq!(share(&trial, walk_day), untouched);
    let day_after = walk_day.tomorrow().unwrap();
    assert_eq!(trial.ask(DAY, |case| case.on(day_after).promises_coming().len()), 0);
    assert!(share(&trial, day_after) < 0.5 * untouched);
}

#[test]
fn a_promise_is_held_against_the_people_of_its_own_walk() {
    let mut trial = Trial::new();
    trial.crop.per_person_visit = synthetic(Amount::grams(100.0));
    trial.promised(DAY, 380.0, Taken::ByWeight);
    trial.promises[0].people = Some(4);
    assert_eq!(trial.verdict(DAY), (Verdict::Open, "per person"), "one more person may come");
    trial.promises[0].people = Some(3);
    assert_eq!(
        trial.verdict(DAY),
        (Verdict::Held, "holds"),
        "more was promised than three may take"
    );
}

#[test]
fn a_promise_for_a_day_on_which_the_patch_is_shut_holds_nothing_back() {
    let mut trial = Trial::new();
    let most = trial.most(DAY, "refilling share").unwrap();
    let expired = SURVEYED.checked_add(120.days()).unwrap();
    trial.promised(expired, most * 3.0, Taken::All);
    assert_eq!(trial.most(DAY, "holds"), Some(most));
    let week_ahead = DAY.checked_add(7.days()).unwrap();
    trial.promised(week_ahead, most * 3.0, Taken::All);
    assert_eq!(trial.verdict(DAY), (Verdict::Held, "holds"), "more was promised than it can give");
}

#[test]
fn a_cap_for_the_site_counts_what_is_promised_on_its_other_patches() {
    let mut trial = Trial::new();
    trial.permission().cap_per_visit = Some(Amount::grams(1000.0));
    let left = trial.ask(DAY, |case| {
        let elsewhere = [(DAY, 700.0), (DAY.tomorrow().unwrap(), 900.0)];
        let held = RULES.iter().find(|rule| rule.name() == "holds").unwrap();
        held.ceiling(&Case { site_promises: &elsewhere, ..*case }).most
    });
    assert_eq!(left, Some(300.0));
}

prop_compose! {
    /// A random patch with a random past and every cap set, so that each rule has a say.
    fn any_trial()(
        habit in prop::sample::select(Habit::ALL.to_vec()),
        take_fraction in 0.06..0.6_f64,
        days in 10.0..900.0_f64,
        surveyed in 0.0..50_000.0_f64,
        error in 0.0..0.8_f64,
        past in prop::collection::vec((2..40_i8, 0..3_u8, 1.0..4000.0_f64), 0..8),
        caps in (0.0..9000.0_f64, 0.0..30_000.0_f64, 0.01..1.0_f64, 0.0..200.0_f64),
        cuts_per_season in 1..6_u32,
        promised in prop::collection::vec((0..30_i8, 0..3_u8, 1.0..3000.0_f64), 0..3),
        underfoot in prop::option::of(prop::sample::select(Underfoot::ALL.to_vec())),
        people in prop::option::of(1..12_u32),
    ) -> Trial {
        let mut trial = Trial::of(habit, Recovery { take_fraction, days });
        trial.patch.underfoot = underfoot;
        trial.people = people;
        trial.events.clear();
        trial.happens(SURVEYED, Seen::Survey(survey_of(surveyed, error)));
        for (offset, kind, amount) in past {
            let day = SURVEYED.checked_add(i64::from(offset).days()).unwrap();
            trial.happens(day, match kind {
                0 => Seen::Glance(amount * 5.0),
                1 => cut(amount, Taken::All),
                _ => cut(amount, Taken::ByWeight),
            });
        }
        trial.permission().cap_per_visit = Some(Amount::grams(caps.0));
        trial.permission().cap_per_season = Some(Amount::grams(caps.1));
        trial.crop.code_cap = synthetic(CodeCap { fraction: caps.2 });
        trial.crop.leave_per_m2 = synthetic(caps.3);
        trial.crop.reserve.value = caps.2 * 0.9;
        trial.crop.cuts_per_season = synthetic(cuts_per_season);
        trial.crop.per_person_visit = synthetic(Amount::grams(1500.0));
        for (offset, kind, amount) in promised {
            trial.promised(DAY.checked_add(i64::from(offset).days()).unwrap(), amount, match kind {
                0 => Taken::All,
                1 => Taken::OneIn(20),
                _ => Taken::ByWeight,
            });
        }
        trial
    }
}

/// Each rule's ceiling, infinite for none.
fn ceilings_of(case: &Case) -> Vec<(&'static str, f64)> {
    let all = RULES.iter().map(|rule| rule.ceiling(case));
    all.map(|found| (found.rule, found.most.unwrap_or(f64::INFINITY))).collect()
}

fn ceilings(trial: &Trial) -> Vec<(&'static str, f64)> {
    trial.ask(DAY, ceilings_of)
}

fn never_more(changed: &Trial, before: &Trial) -> Result<(), TestCaseError> {
    for ((rule, after), (_, before)) in ceilings(changed).into_iter().zip(ceilings(before)) {
        prop_assert!(after <= before * (1.0 + 1e-9) + 1e-9, "{rule}: {before} became {after}");
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_rule_allows_less_than_nothing(trial in any_trial()) {
        for (rule, most) in ceilings(&trial) {
            prop_assert!(most >= 0.0, "{rule}: {most}");
        }
    }

    #[test]
    fn together_they_never_allow_more_than_stands_at_the_low_bound(trial in any_trial()) {
        let (most, low, slack) = trial.ask(DAY, |case| {
            let share = case.share().unwrap();
            (rule_on(case).most.unwrap(), share.low, share.slack)
        });
        prop_assert!(most <= slack * low);
        prop_assert!(most <= low * slack * 0.35 + 1e-9, "more than the largest share");
    }

    #[test]
    fn less_crop_never_allows_more(trial in any_trial()) {
        let mut less = trial.clone();
        less.change_state = |mut state| {
            state.standing *= 0.8;
            state
        };
        never_more(&less, &trial)?;
    }

    #[test]
    fn wider_doubt_never_allows_more(trial in any_trial()) {
        let mut wider = trial.clone();
        wider.change_state = |mut state| {
            state.log_variance += 0.2;
            state
        };
        never_more(&wider, &trial)?;
    }

    #[test]
    fn what_a_visit_finds_never_allows_more(
        trial in any_trial(), trouble in prop::sample::select(Trouble::ALL.to_vec()),
        answer in prop::sample::select(Answer::ALL.to_vec()),
    ) {
        let mut troubled = trial.clone();
        troubled.finds(DAY, vec![trouble], Some(answer));
        if trouble.takes_crop() && trial.events.iter().all(|event| event.day < DAY) {
            troubled.happens(DAY, Seen::Disturbed);
        }
        never_more(&troubled, &trial)?;
        let shut = trouble.shuts() || answer == Answer::No;
        let most = troubled.ask(DAY, |case| rule_on(case).most);
        prop_assert!(!shut || most == Some(0.0), "{most:?}");
    }

    #[test]
    fn one_more_cut_never_allows_more_on_the_same_day(
        trial in any_trial(), amount in 0.0..5000.0_f64, n in 1..100_u32, kind in 0..3_u8
    ) {
        let taken = [Taken::All, Taken::ByWeight, Taken::OneIn(n)][kind as usize];
        let mut cut_again = trial.clone();
        cut_again.happens(DAY, cut(amount, taken));
        never_more(&cut_again, &trial)?;
    }

    #[test]
    fn whatever_is_promised_in_turn_is_found_whoever_comes_first(
        trial in any_trial(),
        asked in prop::collection::vec((0..12_i8, 0.05..1.4_f64), 1..6),
    ) {
        let mut trial = trial;
        trial.promises.clear();
        for (offset, part) in asked {
            let day = DAY.checked_add(i64::from(offset).days()).unwrap();
            let once_kept = trial.with_kept(|other| other.day < day);
            if let Some((amount, taken)) = once_kept.ask(day, |case| booked(case, part)) {
                trial.promised(day, amount, taken);
            }
        }
        // Caps of the site, and of a person over the site, count what is promised by other ways.
        let cuts: Vec<(Date, f64)> = History::new(trial.events.clone()).cuts().collect();
        for (n, promise) in trial.promises.iter().enumerate() {
            let mut others = trial.clone();
            others.promises.remove(n);
            let others = others.with_kept(|other| other.day <= promise.day);
            let finds = others.ask(promise.day, |case| {
                let alone = Case { promises: &[], site_promises: &[], site_cuts: &cuts, ..*case };
                rule_on(&alone).lowest().unwrap()
            });
            prop_assert!(
                finds >= promise.amount * (1.0 - 1e-6),
                "{promise:?} finds {finds} of {:?}: {:?}", trial.promises,
                others.ask(promise.day, ceilings_of)
            );
        }
    }
}

/// What a walk has booked that takes this part of what all rules leave, or all of it, in whole
/// steps of five grams.
fn booked(case: &Case, part: f64) -> Option<(f64, Taken)> {
    let ruling = rule_on(case);
    let most = ruling.most.filter(|most| *most > 0.0)?;
    let amount = (most * part.min(1.0) / 5.0).floor() * 5.0;
    let of_share = case.share().map(|share| share.fraction() * (amount / share.most()).min(1.0));
    let counted = of_share.and_then(Count::of).and_then(Count::one_in);
    let taken = match (counted, ruling.one_in) {
        _ if amount + 5.0 > most => ruling.all_taken(),
        (Some(n), Some(strictest)) => Taken::OneIn(n.max(strictest)),
        _ => Taken::ByWeight,
    };
    (amount > 0.0).then_some((amount, taken))
}
