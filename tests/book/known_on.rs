use std::collections::BTreeMap;

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use stintbook::book::Scope;
use stintbook::records::{FactId, Ledger, Record};

use crate::trial::{Trial, cut, day, patch, survey};

const DAYS: i32 = 8;
const PATCHES: [&str; 2] = ["wood/bank", "wood/ride"];

#[test]
fn a_fact_recorded_late_is_not_known_before_it_was_recorded() {
    let mut trial = Trial::with_two_patches();
    let late = crate::trial::fact(trial.new_id(), day(9), cut("wood/bank", 80.0));
    let mut late = late;
    late.fact.happened_on = day(2);
    trial.book.append(&[late], &[]).unwrap();
    assert_eq!(trial.cuts_of("wood/bank", Some(8)), Vec::<f64>::new());
    assert_eq!(trial.cuts_of("wood/bank", Some(9)), [80.0]);
}

#[test]
fn a_replacement_counts_from_its_correction_even_where_it_bears_an_earlier_day() {
    let mut trial = Trial::with_two_patches();
    let wrong = trial.record(2, cut("wood/bank", 100.0));
    let right = crate::trial::fact(trial.new_id(), day(2), cut("wood/bank", 110.0));
    let about = crate::trial::correction(trial.new_id(), wrong, Some(right.fact.id), day(6));
    trial.book.append(&[right], &[about]).unwrap();
    assert_eq!(trial.cuts_of("wood/bank", Some(5)), [100.0]);
    assert_eq!(trial.cuts_of("wood/bank", Some(6)), [110.0]);
}

/// What a trial does on one day; `of` picks among what was recorded so far.
#[derive(Clone, Debug)]
enum Event {
    Cut { patch: usize },
    Survey { patch: usize },
    Correct { of: prop::sample::Index, patch: usize },
    Withdraw { of: prop::sample::Index },
    Rename { patch: usize },
}

fn events() -> impl Strategy<Value = Vec<(i32, Event)>> {
    let patch = 0..PATCHES.len();
    let event = prop_oneof![
        3 => patch.clone().prop_map(|patch| Event::Cut { patch }),
        1 => patch.clone().prop_map(|patch| Event::Survey { patch }),
        3 => (any::<prop::sample::Index>(), patch.clone())
            .prop_map(|(of, patch)| Event::Correct { of, patch }),
        2 => any::<prop::sample::Index>().prop_map(|of| Event::Withdraw { of }),
        1 => patch.prop_map(|patch| Event::Rename { patch }),
    ];
    prop::collection::vec((1..DAYS, event), 1..16)
}

/// From when each visit counts, and until when.
type Spans = BTreeMap<FactId, (i32, Option<i32>)>;

/// A trial beside a list of what it should hold, kept by the plainest means.
struct Watched {
    trial: Trial,
    visits: Spans,
    names: [String; PATCHES.len()],
    renamed: usize,
}

impl Watched {
    fn new() -> Self {
        Self {
            trial: Trial::with_two_patches(),
            visits: Spans::new(),
            names: PATCHES.map(str::to_owned),
            renamed: 0,
        }
    }

    /// Does it, or is refused; says whether it was done.
    fn happen(&mut self, on: i32, event: &Event) -> bool {
        match event {
            Event::Cut { patch } => self.visit(on, cut(&self.names[*patch].clone(), 10.0)),
            Event::Survey { patch } => self.visit(on, survey(&self.names[*patch].clone(), &[1.0])),
            Event::Correct { of, patch } => self.replace(on, of, *patch),
            Event::Withdraw { of } => self.take_back(on, of),
            Event::Rename { patch } => self.rename(on, *patch),
        }
    }

    fn visit(&mut self, on: i32, record: Record) -> bool {
        let id = self.trial.record(on, record);
        self.visits.insert(id, (on, None));
        true
    }

    fn pick(&self, of: &prop::sample::Index) -> Option<FactId> {
        let ids: Vec<FactId> = self.visits.keys().copied().collect();
        (!ids.is_empty()).then(|| *of.get(&ids))
    }

    fn replace(&mut self, on: i32, of: &prop::sample::Index, patch: usize) -> bool {
        let Some(wrong) = self.pick(of) else { return false };
        let was_cut = self.trial.book.fact(&wrong.to_string()).unwrap().fact.record;
        let right = match was_cut {
            Record::Cut(_) => cut(&self.names[patch], 20.0),
            _ => survey(&self.names[patch], &[2.0]),
        };
        let fits = self.open_since(wrong, on);
        let done = self.trial.try_correct(on, wrong, right);
        assert_eq!(done.is_ok(), fits, "{done:?}");
        if let Ok(new) = done {
            self.end(wrong, on);
            self.visits.insert(new, (on, None));
        }
        fits
    }

    fn take_back(&mut self, on: i32, of: &prop::sample::Index) -> bool {
        let Some(wrong) = self.pick(of) else { return false };
        let fits = self.open_since(wrong, on);
        assert_eq!(self.trial.withdraw(on, wrong).is_ok(), fits);
        if fits {
            self.end(wrong, on);
        }
        fits
    }

    fn open_since(&self, id: FactId, on: i32) -> bool {
        let (since, until) = self.visits[&id];
        until.is_none() && since <= on
    }

    fn end(&mut self, id: FactId, on: i32) {
        self.visits.get_mut(&id).unwrap().1 = Some(on);
    }

    fn rename(&mut self, on: i32, patch_number: usize) -> bool {
        self.renamed += 1;
        let name = format!("wood/name {}", self.renamed);
        let current = self.trial.book.patch(&self.names[patch_number]).unwrap().id.unwrap();
        let done = self.trial.try_correct(on, current, patch(&name, "nettle-shoot")).is_ok();
        if done {
            self.names[patch_number] = name;
        }
        done
    }

    fn ledgers(&self) -> Vec<Ledger> {
        let as_known = |number| self.trial.book.ledger(&Scope::All, Some(day(number))).unwrap();
        (0..DAYS).map(as_known).collect()
    }

    fn expected_visits(&self, on: i32) -> Vec<FactId> {
        let counts = |(since, until): &(i32, Option<i32>)| {
            *since <= on && until.is_none_or(|until| on < until)
        };
        self.visits.iter().filter(|(_, span)| counts(span)).map(|(id, _)| *id).collect()
    }
}

fn visits_in(ledger: &Ledger) -> Vec<FactId> {
    let mut ids: Vec<FactId> = ledger
        .patches()
        .flat_map(|(_, facts)| {
            let surveys = facts.surveys.iter().map(|fact| fact.id);
            surveys.chain(facts.cuts.iter().map(|fact| fact.id))
        })
        .collect();
    ids.sort();
    ids
}

fn fixed() -> ProptestConfig {
    ProptestConfig {
        rng_seed: RngSeed::Fixed(20_270_315),
        failure_persistence: None,
        ..ProptestConfig::with_cases(40)
    }
}

proptest! {
    #![proptest_config(fixed())]

    #[test]
    fn what_is_recorded_later_never_changes_what_was_known_before(events in events()) {
        let mut watched = Watched::new();
        let mut before = watched.ledgers();
        for (on, event) in &events {
            let done = watched.happen(*on, event);
            let after = watched.ledgers();
            for (number, (old, new)) in (0..DAYS).zip(before.iter().zip(&after)) {
                if !done || number < *on {
                    prop_assert_eq!(old, new, "day {} after {:?} on {}", number, event, on);
                }
                prop_assert_eq!(visits_in(new), watched.expected_visits(number));
                prop_assert_eq!(new.patches().count(), PATCHES.len());
            }
            before = after;
        }
        let now = watched.trial.book.ledger(&Scope::All, None).unwrap();
        prop_assert_eq!(visits_in(&now), watched.expected_visits(DAYS));
        prop_assert_eq!(watched.trial.book.integrity().unwrap(), Vec::<String>::new());
    }
}
