//! What is recorded at one moment in several goes, and what is asked between them.

use proptest::prelude::*;
use rusqlite::Connection;
use stintbook::book::{BookError, Decision, NewFact, Refusal, Scope};
use stintbook::records::{Clipping, Hold, Kind, Ledger, Record, Taken, TestDesign, WalkName};
use stintbook::units::{Amount, SquareMetres};

use crate::trial::{
    Trial, correction, cut, day, fact, glance, id, patch, patch_name, refusal, site, site_name,
    survey,
};

const SITES: [&str; 2] = ["wood", "shore"];
const PATCHES: [&str; 4] = ["wood/bank", "wood/ride", "shore/marsh", "shore/dune"];

/// What is recorded next: of which patch, on which day, what; and what is done with it.
#[derive(Clone, Copy, Debug)]
enum Next {
    Survey,
    Glance,
    Cut,
    Clipping,
    Hold,
    Withdraw,
    /// What came since the last time is recorded, and the sites are asked for.
    Ask,
}

fn what_comes() -> impl Strategy<Value = Vec<(Next, usize, i32)>> {
    let next = prop_oneof![
        2 => Just(Next::Survey),
        1 => Just(Next::Glance),
        4 => Just(Next::Cut),
        1 => Just(Next::Clipping),
        1 => Just(Next::Hold),
        1 => Just(Next::Withdraw),
        3 => Just(Next::Ask),
    ];
    proptest::collection::vec((next, 0..PATCHES.len(), 1i32..9), 0..40)
}

fn clipping(name: &str, grams: f64) -> Record {
    Record::Clipping(Clipping {
        patch: patch_name(name),
        begun: None,
        design: TestDesign::SameSquares,
        squares: 4,
        square: SquareMetres(0.25),
        left: 0.5,
        cut: Amount::grams(grams),
        uncut: None,
        disturbed: false,
        places: Vec::new(),
        note: None,
    })
}

fn hold(name: &str, grams: f64) -> Record {
    Record::Hold(Hold {
        patch: patch_name(name),
        walk: WalkName::new("spring walk").unwrap(),
        day: day(9),
        amount: Amount::grams(grams),
        taken: Taken::ByWeight,
        people: Some(4),
    })
}

fn site_of(name: &str) -> Scope {
    Scope::Site(site_name(name))
}

/// Records what comes at one moment, and gives each answer about a site that is asked for, with how
/// many goes it came after.
fn told(trial: &mut Trial, known: usize, coming: &[(Next, usize, i32)]) -> Vec<Ledger> {
    let mut ids = 1000..;
    let mut new = || id(ids.next().unwrap());
    let of_land = SITES
        .map(site)
        .into_iter()
        .chain(PATCHES[..known].iter().map(|name| patch(name, "nettle-shoot")));
    let of_land: Vec<NewFact> = of_land.map(|record| fact(new(), day(0), record)).collect();
    trial.book.append(&of_land, &[]).unwrap();
    let of_moment: Vec<NewFact> = PATCHES[known..]
        .iter()
        .map(|name| fact(new(), day(0), patch(name, "nettle-shoot")))
        .collect();
    let decided: Result<Vec<Ledger>, BookError> = trial
        .book
        .decide(|moment| {
            moment.record(&of_moment, &[])?;
            let (mut told, mut facts, mut corrections) = (Vec::new(), Vec::new(), Vec::new());
            let mut last = Vec::new();
            for (n, (next, which, on)) in coming.iter().enumerate() {
                let name = PATCHES[*which];
                let record = match next {
                    Next::Survey => survey(name, &[1.0, 4.0, n as f64]),
                    Next::Glance => glance(name, 900.0 + n as f64),
                    Next::Cut => cut(name, 10.0 + n as f64),
                    Next::Clipping => clipping(name, n as f64),
                    Next::Hold => hold(name, 30.0 + n as f64),
                    Next::Withdraw => {
                        let wrong = last.pop();
                        corrections
                            .extend(wrong.map(|wrong| correction(new(), wrong, None, day(9))));
                        continue;
                    }
                    Next::Ask => {
                        moment.record(&facts, &corrections)?;
                        last.extend(facts.drain(..).map(|new: NewFact| new.fact.id));
                        corrections.clear();
                        for site in SITES {
                            told.push(moment.ledger(&site_of(site))?);
                        }
                        continue;
                    }
                };
                facts.push(fact(new(), day(*on), record));
            }
            moment.record(&facts, &corrections)?;
            for site in SITES {
                told.push(moment.ledger(&site_of(site))?);
            }
            Ok(Decision::new(Vec::new(), Vec::new(), told))
        })
        .unwrap();
    decided.unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn what_is_asked_amid_recording_is_what_the_book_says_when_all_of_that_is_in_it(
        known in 0..=PATCHES.len(),
        coming in what_comes(),
    ) {
        let mut trial = Trial::new();
        let all = told(&mut trial, known, &coming);
        let asked = coming.iter().enumerate().filter(|(_, (next, ..))| matches!(next, Next::Ask));
        let ends = asked.map(|(at, _)| at + 1).chain([coming.len()]);
        for (end, told_then) in ends.zip(all.chunks(SITES.len())) {
            let mut trial = Trial::new();
            told(&mut trial, known, &coming[..end]);
            for (site, told_then) in SITES.iter().zip(told_then) {
                let told = trial.book.ledger(&site_of(site), None).unwrap();
                prop_assert_eq!(told_then, &told);
            }
        }
        prop_assert_eq!(trial.book.integrity().unwrap(), Vec::<String>::new());
        let file = Connection::open(&trial.path).unwrap();
        let packed = file.query_row("SELECT count(*) FROM packed", [], |row| row.get::<_, i64>(0));
        prop_assert_eq!(packed.unwrap(), PATCHES.len() as i64);
    }
}

/// Everything in the file that is no row of a table.
fn layout(trial: &Trial) -> Vec<(String, Option<String>)> {
    let file = Connection::open(&trial.path).unwrap();
    let mut parts = file.prepare("SELECT name, sql FROM sqlite_schema ORDER BY name").unwrap();
    let parts = parts.query_map([], |row| Ok((row.get(0)?, row.get(1)?))).unwrap();
    parts.collect::<Result<_, _>>().unwrap()
}

fn record_many(trial: &mut Trial, cuts: &[NewFact]) -> Result<(), BookError> {
    let decided: Result<(), BookError> = trial.book.decide(|moment| {
        moment.expects_many(Kind::Cut)?;
        moment.record(cuts, &[])?;
        Ok(Decision::new(Vec::new(), Vec::new(), ()))
    })?;
    decided
}

#[test]
fn a_book_that_many_cuts_came_into_at_first_finds_them_as_any_other() {
    let mut trial = Trial::with_two_patches();
    let before = layout(&trial);
    assert!(before.iter().any(|(name, _)| name == "cut_by_id"));
    let cuts = [33, 31, 32].map(|n| fact(id(n), day(1), cut("wood/bank", n as f64)));
    record_many(&mut trial, &cuts).unwrap();
    assert_eq!(layout(&trial), before);
    assert_eq!(trial.cuts_of("wood/bank", None), [31.0, 32.0, 33.0]);
    assert_eq!(trial.book.integrity().unwrap(), Vec::<String>::new());

    // There are some now.
    record_many(&mut trial, &[fact(id(34), day(2), cut("wood/ride", 5.0))]).unwrap();
    assert_eq!(layout(&trial), before);
    assert_eq!(trial.book.integrity().unwrap(), Vec::<String>::new());
}

#[test]
fn of_many_cuts_that_come_at_first_one_that_is_recorded_twice_is_named_and_none_stays() {
    let mut trial = Trial::with_two_patches();
    let before = layout(&trial);
    let at = |n: u128, name: &str| fact(id(n), day(1), cut(name, 10.0));
    let cuts = [at(31, "wood/bank"), at(32, "wood/bank"), at(32, "wood/ride")];
    let refused = refusal(record_many(&mut trial, &cuts));
    assert!(matches!(refused, Refusal::AlreadyRecorded(twice) if twice == id(32)), "{refused}");
    assert!(trial.cuts_of("wood/bank", None).is_empty());
    assert_eq!(layout(&trial), before);
}
