//! Random histories of a site, each answer of the week recomputed by a slow and plain oracle.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "what fails here fails a test")]

mod before;
mod model;
#[path = "../benches/synthetic.rs"]
mod synthetic;

use std::path::Path;

use fastrand::Rng;
use geo::{MultiPolygon, Point, Rect};
use jiff::ToSpan;
use jiff::civil::{Date, date};
use model::{AHEAD, Answer, Clipped, Event, Leave, Shut, Took, What, World, answer};
use rusqlite::Connection;
use stintbook::assess::{Assessment, assess, assess_case, prepare};
use stintbook::book::{Book, NewFact, Scope};
use stintbook::catalogue::Catalogue;
use stintbook::records::{
    Basis, Clipping, Closure, Crop, Cut, Fact, FactId, Footprint, Frame, Glance, Ledger, Patch,
    PatchName, Permission, Placement, Purpose, Quadrat, Record, Site, SiteName, Status, Stratum,
    Survey, SurveyMethod, Taken, TestDesign, Trouble, Visit,
};
use stintbook::rules::Case;
use stintbook::units::{Amount, Measure, Metres, SquareMetres};
use uuid::Uuid;

const FIRST: Date = date(2024, 2, 1);
const DAYS: i32 = 1150;
const FRAME: f64 = 0.25;
const PATCHES: [&str; 2] = ["bank", "ride"];
const EYES: [&str; 3] = ["Ana", "Bo", "Cai"];

fn day(number: i32) -> Date {
    FIRST.checked_add(number.days()).unwrap()
}

/// A history that a seed decides; the areas are the ground's business and come later.
fn told(crop: &Crop, random: &mut Rng) -> World {
    let in_season = |random: &mut Rng| -> Date {
        let any = day(random.i32(0..DAYS));
        let window = crop.window.value;
        if random.u8(0..4) > 0 && !window.contains(any) {
            let opens = window.opening(any).unwrap();
            return opens.checked_add(random.i32(0..20).days()).unwrap();
        }
        any
    };
    let dense = random.f64() * 60.0 + 8.0;
    let mut events: Vec<Event> = Vec::new();
    for _ in 0..random.usize(2..45) {
        let (patch, by) = (random.usize(0..PATCHES.len()), EYES[random.usize(0..EYES.len())]);
        let day = in_season(random);
        let dense = dense * (0.3 + random.f64());
        let n = random.usize(2..9);
        let quadrats: Vec<f64> = (0..n).map(|_| dense * (0.2 + 1.6 * random.f64())).collect();
        let what = match random.u8(0..13) {
            10 => What::Raided,
            11 if random.bool() => What::Sprayed,
            11 | 12 => What::Clean,
            0..3 => What::Survey(quadrats),
            3..6 => What::Glance(dense * 4.0 * 2000.0 * (0.4 + random.f64())),
            kind => {
                let took = match kind {
                    6 | 7 => Took::All,
                    8 => Took::OneIn(random.u32(3..60)),
                    _ => Took::ByWeight,
                };
                let grams = [0.0, 300.0, 3000.0, 9000.0, 40_000.0][random.usize(0..5)];
                What::Cut(grams * random.f64(), took)
            }
        };
        let is_same = |other: &Event| {
            let one_kind = std::mem::discriminant(&other.what) == std::mem::discriminant(&what);
            (other.patch, other.day) == (patch, day) && one_kind
        };
        // Of two surveys of one day nobody knows which was first.
        if !matches!(what, What::Survey(_)) || !events.iter().any(is_same) {
            events.push(Event { patch, day, by, what: what.clone() });
        }
        // A visit with both, from which the book learns how an eye errs.
        if let (What::Survey(_), true) = (&what, random.bool()) {
            let seen = dense * 4.0 * 2000.0 * (0.4 + random.f64());
            events.push(Event { patch, day, by, what: What::Glance(seen) });
        }
    }
    for _ in 0..random.usize(0..4) {
        let patch = random.usize(0..PATCHES.len());
        test(crop, (patch, in_season(random), dense), &mut events, random);
    }
    let span = |random: &mut Rng| {
        let from = random.i32(-50..DAYS);
        (day(from), random.bool().then(|| day(from + random.i32(0..500))))
    };
    let leaves = (0..random.usize(1..4)).map(|n| {
        let (from, to) = if n == 0 { (day(-10), None) } else { span(random) };
        let cap = |random: &mut Rng, most: f64| random.bool().then(|| most * random.f64());
        Leave {
            from,
            to: to.or((n == 0 && random.bool()).then(|| day(DAYS - 100))),
            this_crop: random.u8(0..5) > 0,
            a_day: cap(random, 6000.0),
            a_season: cap(random, 30_000.0),
            lifts_code: random.u8(0..3) == 0,
            largest_party: None,
            purposes: if n == 0 || random.bool() { some_purposes(random) } else { Vec::new() },
        }
    });
    let leaves = leaves.collect();
    let shuts = (0..random.usize(0..3)).map(|_| {
        let (from, to) = span(random);
        Shut { patch: random.bool().then(|| random.usize(0..PATCHES.len())), from, to }
    });
    let shuts = shuts.collect();
    let latitude = 40.0 + 20.0 * random.f64();
    World { latitude, areas: Vec::new(), frame: FRAME, events, leaves, shuts, purpose: None }
}

fn some_purposes(random: &mut Rng) -> Vec<Purpose> {
    Purpose::ALL.into_iter().filter(|_| random.u8(0..3) > 0).collect()
}

/// Both days of a recovery test, or the first alone; on days on which nobody cuts there, since of
/// two that cut on one day nobody knows who was first.
fn test(
    crop: &Crop,
    (patch, first, dense): (usize, Date, f64),
    events: &mut Vec<Event>,
    random: &mut Rng,
) {
    let days = crop.recovery.value.days * (0.3 + 2.0 * random.f64());
    let second = first.checked_add((days as i64).clamp(1, 900).days()).unwrap();
    let is_cut = |event: &Event| matches!(event.what, What::Cut(..) | What::Clipping(_));
    let is_taken = |day: Date, events: &[Event]| {
        events.iter().any(|event| is_cut(event) && (event.patch, event.day) == (patch, day))
    };
    if is_taken(first, events) || is_taken(second, events) {
        return;
    }
    let (pairs, squares) = (random.u8(0..3) > 0, random.u32(1..12));
    let cut = f64::from(squares) * 0.75 * dense;
    let clipped = Clipped { begun: None, pairs, squares, cut, uncut: None, disturbed: false };
    let by = EYES[random.usize(0..EYES.len())];
    events.push(Event { patch, day: first, by, what: What::Clipping(clipped) });
    if random.u8(0..6) > 0 && second <= day(DAYS + 400) {
        let clipped = Clipped {
            begun: Some(first),
            cut: cut * (0.1 + 1.3 * random.f64()),
            uncut: pairs.then(|| cut * (0.7 + 0.6 * random.f64())),
            disturbed: random.u8(0..8) == 0,
            ..clipped
        };
        events.push(Event { patch, day: second, by, what: What::Clipping(clipped) });
    }
}

fn facts(world: &World, crop: &Crop) -> Vec<NewFact> {
    let site = SiteName::new("wood").unwrap();
    let name = |patch: usize| PatchName::new(&site, PATCHES[patch]).unwrap();
    let mut records: Vec<(Date, &str, Record)> = Vec::new();
    let (lon, lat) = (-20.0, world.latitude);
    let boundary = Rect::new((lon - 0.01, lat - 0.01), (lon + 0.01, lat + 0.01)).to_polygon();
    let place = Site {
        name: site.clone(),
        boundary: MultiPolygon::new(vec![boundary]),
        occupier: None,
        protected: None,
        cautions: None,
    };
    let long_ago = day(-100);
    records.push((long_ago, "Ana", Record::Site(place)));
    for patch in 0..PATCHES.len() {
        let centre = Point::new(lon + 0.004 * (patch as f64 - 0.5), lat);
        let patch = Patch {
            name: name(patch),
            crop: crop.name.clone(),
            footprint: Footprint::Disc { centre, radius: Metres(22.0 + 9.0 * patch as f64) },
            underfoot: None,
            note: None,
        };
        records.push((long_ago, "Ana", Record::Patch(patch)));
    }
    for leave in &world.leaves {
        let crops = if leave.this_crop { Vec::new() } else { vec!["another-crop".into()] };
        let permission = Permission {
            site: site.clone(),
            basis: Basis::Written,
            purposes: (!leave.purposes.is_empty()).then(|| {
                let names: Vec<&str> = leave.purposes.iter().map(|it| it.name()).collect();
                names.join("; ").parse().unwrap()
            }),
            from: leave.from,
            to: leave.to,
            crops,
            methods: Vec::new(),
            cap_per_visit: leave.a_day.map(Amount::grams),
            cap_per_season: leave.a_season.map(Amount::grams),
            largest_party: leave.largest_party,
            ask_first: false,
            lifts_code_cap: leave.lifts_code,
            note: None,
        };
        records.push((long_ago, "Ana", Record::Permission(permission)));
    }
    for shut in &world.shuts {
        let closure = Closure {
            site: site.clone(),
            patch: shut.patch.map(|patch| PATCHES[patch].into()),
            from: shut.from,
            to: shut.to,
            reason: "nests".into(),
        };
        records.push((long_ago, "Ana", Record::Closure(closure)));
    }
    records.extend(world.events.iter().map(|event| {
        let patch = name(event.patch);
        let record = match &event.what {
            What::Survey(quadrats) => {
                let quadrats = quadrats.iter().map(|&amount| Quadrat { at: None, amount });
                Record::Survey(Survey {
                    patch,
                    placement: Placement::NotSaid,
                    ripe: None,
                    method: SurveyMethod::Quadrats(vec![Stratum {
                        name: "".into(),
                        area: None,
                        frame: Frame::Area(SquareMetres(FRAME)),
                        quadrats: quadrats.collect(),
                    }]),
                    note: None,
                })
            }
            What::Raided | What::Sprayed | What::Clean => {
                let sprayed = |is_so: bool| is_so.then_some(Trouble::Sprayed).into_iter();
                let raided = matches!(event.what, What::Raided).then_some(Trouble::CutByOthers);
                let troubles = sprayed(matches!(event.what, What::Sprayed)).chain(raided);
                Record::from(Visit {
                    site: site.clone(),
                    patch: Some(PATCHES[event.patch].into()),
                    stage: None,
                    ripe: None,
                    troubles: troubles.collect(),
                    over: sprayed(matches!(event.what, What::Clean)).collect(),
                    look_alike: None,
                    cleared: None,
                    nesting: None,
                    asked: None,
                    asked_of: None,
                    asked_for: None,
                    weather: None,
                    tide: None,
                    ground: None,
                    photo: None,
                    note: None,
                })
            }
            What::Clipping(clipped) => Record::Clipping(Clipping {
                patch,
                begun: clipped.begun,
                design: if clipped.pairs { TestDesign::Pairs } else { TestDesign::SameSquares },
                squares: clipped.squares,
                square: SquareMetres(FRAME),
                left: Clipping::LEFT,
                cut: Amount::grams(clipped.cut),
                uncut: clipped.uncut.map(Amount::grams),
                disturbed: clipped.disturbed,
                places: Vec::new(),
                note: None,
            }),
            What::Glance(seen) => Record::Glance(Glance { patch, standing: Amount::grams(*seen) }),
            What::Cut(amount, took) => Record::Cut(Cut {
                patch,
                amount: Amount::grams(*amount),
                taken: match took {
                    Took::All => Taken::All,
                    Took::ByWeight => Taken::ByWeight,
                    Took::OneIn(n) => Taken::OneIn(*n),
                },
                people: None,
                method: None,
                walk: None,
            }),
        };
        (event.day, event.by, record)
    }));
    let new = |(n, (day, by, record)): (usize, (Date, &str, Record))| NewFact {
        key: format!("{n}"),
        fact: Fact {
            id: FactId(Uuid::from_u128((7 << 76) | (n as u128 + 1))),
            happened_on: day,
            recorded_on: day,
            by: by.into(),
            file: None,
            record,
        },
    };
    records.into_iter().enumerate().map(new).collect()
}

fn of_week(found: &Assessment) -> Answer {
    let ruling = &found.ruling;
    let opening = found.opening.map(|at| (at.day, at.needs_survey, at.needs_permission));
    Answer {
        verdict: ruling.verdict.name(),
        most: ruling.most,
        one_in: ruling.one_in,
        opens: opening,
    }
}

fn is_near(one: Option<f64>, other: Option<f64>) -> bool {
    match (one, other) {
        (Some(one), Some(other)) => (one - other).abs() <= 1e-6 * f64::max(1.0, other.abs()),
        (one, other) => one == other,
    }
}

/// What the histories came to: answers compared, how many of them open, and with an opening.
#[derive(Debug, Default)]
struct Tally {
    answers: usize,
    open: usize,
    opening: usize,
    looked_thin: usize,
    tested: usize,
    /// Where the two part.
    apart: Vec<String>,
}

/// The book read as a large one is, once all that could be read in the place of packs is gone.
fn of_packs(book: &Book, path: &Path) -> Ledger {
    let facts = Connection::open(path).unwrap();
    facts.execute_batch("PRAGMA foreign_keys = OFF").unwrap();
    for table in ["quadrat", "part", "survey", "glance", "cut", "clipping"] {
        facts.execute(&format!("DELETE FROM {table}"), []).unwrap();
    }
    let mut ledgers = book.stretches(None, 1).unwrap().each(Ledger::clone).unwrap();
    assert_eq!(ledgers.len(), 1, "the site is read at once");
    ledgers.remove(0)
}

fn compare(seed: u64, tally: &mut Tally) {
    let catalogue = Catalogue::built_in();
    let crops: Vec<&Crop> = catalogue
        .crops()
        .map(|crop| &**crop)
        .filter(|crop| crop.measure == Measure::Mass && crop.status == Status::Ordinary)
        .collect();
    let mut random = Rng::with_seed(seed);
    let crop = crops[random.usize(0..crops.len())];
    let mut world = told(crop, &mut random);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("told.sqlite");
    let mut book = Book::create(&path).unwrap();
    book.append(&facts(&world, crop), &[]).unwrap();
    let ledger = match seed % 2 {
        0 => book.ledger(&Scope::All, None).unwrap(),
        _ => of_packs(&book, &path),
    };
    for _ in 0..4 {
        let asked = match random.u8(0..4) {
            0 => world.events[random.usize(0..world.events.len())].day,
            _ => day(random.i32(200..DAYS + 100)),
        };
        let asked = match random.u8(0..3) {
            0 if !crop.window.value.contains(asked) => {
                let opens = crop.window.value.opening(asked).unwrap();
                opens.checked_add(random.i32(0..20).days()).unwrap()
            }
            _ => asked,
        };
        let prepared = prepare(&ledger, catalogue, asked).unwrap();
        world.purpose = [None, None, Some(Purpose::Walk), Some(Purpose::Sale)][random.usize(0..4)];
        world.areas = prepared.iter().map(|patch| patch.extent.area.0).collect();
        for (which, patch) in prepared.iter().enumerate() {
            assert_eq!(patch.facts.patch.record.name.patch(), PATCHES[which]);
            let case = Case { purpose: world.purpose, ..patch.case(asked, None, None) };
            let found = assess_case(patch, &case);
            let (week, ours) = (of_week(&found), answer(&world, crop, which, asked));
            let last = asked.checked_add(AHEAD.days()).unwrap();
            let week = Answer { opens: week.opens.filter(|(day, ..)| *day <= last), ..week };
            let is_same = is_near(week.most, ours.most)
                && (week.verdict, week.one_in, week.opens)
                    == (ours.verdict, ours.one_in, ours.opens);
            if !is_same {
                let ceilings = found.ruling.ceilings.iter();
                let ceilings: Vec<_> = ceilings.map(|c| (c.rule, c.most, c.count)).collect();
                tally.apart.push(format!(
                    "seed {seed}, {} of {} on {asked}:\n week {week:?}\n oracle {ours:?}\n {ceilings:?}",
                    PATCHES[which], crop.name
                ));
            }
            tally.answers += 1;
            tally.open += usize::from(ours.verdict == "open");
            tally.opening += usize::from(ours.opens.is_some());
            tally.tested +=
                usize::from(found.state.is_some_and(|state| state.recovering.is_tested()));
            tally.looked_thin +=
                usize::from(found.share.is_some_and(|share| (0.01..0.99).contains(&share.thin)));
        }
    }
}

fn many(seeds: std::ops::Range<u64>) {
    let mut tally = Tally::default();
    let histories = seeds.end - seeds.start;
    seeds.for_each(|seed| compare(seed, &mut tally));
    assert!(tally.apart.is_empty(), "{} apart:\n{}", tally.apart.len(), tally.apart.join("\n"));
    println!("{histories} histories: {tally:?}");
    // The histories are of every kind, and not all shut.
    let a_part = tally.answers / 20;
    assert!(
        tally.open > a_part
            && tally.opening > a_part
            && tally.looked_thin > 0
            && tally.tested > a_part,
        "{tally:?}"
    );
}

#[test]
fn every_answer_of_a_hundred_histories_is_that_of_a_plain_oracle() {
    many(0..100);
}

#[test]
#[ignore = "takes minutes"]
fn every_answer_of_two_thousand_histories_is_that_of_a_plain_oracle() {
    many(1000..3000);
}

/// Days of opening, told again on a later day before them though nothing has happened; gives those
/// that became earlier.
fn told_again(seed: u64) -> (usize, Vec<String>) {
    let catalogue = Catalogue::built_in();
    let of_mass = |crop: &&Crop| crop.measure == Measure::Mass && crop.status == Status::Ordinary;
    let crops: Vec<&Crop> = catalogue.crops().map(|crop| &**crop).filter(of_mass).collect();
    let mut random = Rng::with_seed(seed);
    let crop = crops[random.usize(0..crops.len())];
    let world = told(crop, &mut random);
    let folder = tempfile::tempdir().unwrap();
    let mut book = Book::create(&folder.path().join("told.sqlite")).unwrap();
    book.append(&facts(&world, crop), &[]).unwrap();
    let ledger = book.ledger(&Scope::All, None).unwrap();
    let last = world.events.iter().map(|event| event.day).max().unwrap();
    let openings = |asked: Date| -> Vec<Option<_>> {
        let prepared = prepare(&ledger, catalogue, asked).unwrap();
        prepared.iter().map(|patch| assess(patch, asked, None, None).opening).collect()
    };
    let asked = last.checked_add(random.i32(1..60).days()).unwrap();
    let (mut compared, mut earlier) = (0, Vec::new());
    for (which, first) in openings(asked).into_iter().enumerate() {
        let Some(first) = first else { continue };
        let days = asked.until(first.day).unwrap().get_days();
        let later = asked.checked_add(random.i32(0..days.max(1)).days()).unwrap();
        let again = openings(later)[which];
        compared += 1;
        // Once no permission holds nobody can tell of a day; before that one is told with the
        // permission that it needs.
        if again.map_or(!first.needs_permission, |again| again.day < first.day) {
            earlier.push(format!(
                "seed {seed}, {} of {}: {first:?} asked on {asked}, {again:?} on {later}",
                PATCHES[which], crop.name
            ));
        }
    }
    (compared, earlier)
}

#[test]
fn a_day_of_opening_comes_no_earlier_for_being_asked_later() {
    let told = (0..300).map(told_again);
    let (compared, earlier): (Vec<usize>, Vec<Vec<String>>) = told.unzip();
    let (compared, earlier): (usize, Vec<String>) =
        (compared.iter().sum(), earlier.into_iter().flatten().collect());
    assert!(earlier.is_empty(), "{} of {compared}:\n{}", earlier.len(), earlier.join("\n"));
    assert!(compared > 60, "{compared}");
}
