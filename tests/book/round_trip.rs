use geo::{
    Geometry, GeometryCollection, LineString, MultiLineString, MultiPoint, MultiPolygon, Point,
    Polygon, point,
};
use stintbook::book::{BookError, NewFact, Refusal, Scope};
use stintbook::records::{
    Answer, Basis, Clipping, Closure, Counted, CoverClass, CoverQuadrat, CoverSurvey, CropField,
    CropOverride, Cut, Emergency, Fact, Footprint, Frame, Glance, GpsPoint, Hold, JudgedQuadrat,
    JudgedSurvey, Kind, Landmark, LandmarkKind, Ledger, Patch, Permission, Placement, Purpose,
    Quadrat, Record, Redraw, Site, SquarePlace, Stage, Stratum, Survey, SurveyMethod,
    SurveySummary, Taken, TestDesign, Trouble, Underfoot, UnitSurvey, Visit, Walk, Zone,
};
use stintbook::units::{Amount, Metres, SquareMetres};

use crate::trial::{
    Trial, cut, day, fact, glance, patch, patch_name, refusal, site, site_name, square, survey,
};

/// One of each kind with every optional field empty, then one of each with all of them filled.
fn every_kind() -> Vec<Record> {
    let bare = vec![
        site("wood"),
        Record::Zone(Zone {
            site: site_name("wood"),
            name: "path".into(),
            shape: Geometry::LineString(LineString::from(vec![(-20.0, 45.0), (-19.9, 45.1)])),
            buffer: Metres(0.0),
            reason: None,
        }),
        patch("wood/bank", "nettle-shoot"),
        Record::Permission(Permission {
            site: site_name("wood"),
            basis: Basis::Spoken,
            purposes: None,
            from: day(0),
            to: None,
            crops: Vec::new(),
            methods: Vec::new(),
            cap_per_visit: None,
            cap_per_season: None,
            largest_party: None,
            ask_first: false,
            lifts_code_cap: false,
            note: None,
        }),
        Record::Closure(Closure {
            site: site_name("wood"),
            patch: None,
            from: day(3),
            to: None,
            reason: "felling".into(),
        }),
        Record::Override(CropOverride {
            site: site_name("wood"),
            patch: None,
            crop: "nettle-shoot".into(),
            field: CropField::RecoveryDays,
            value: "35".into(),
            source: "four seasons on this land".into(),
        }),
        survey("wood/bank", &[12.5]),
        glance("wood/bank", 900.0),
        cut("wood/bank", 650.0),
    ];
    bare.into_iter().chain(every_field()).collect()
}

fn every_field() -> Vec<Record> {
    let strata = vec![
        Stratum {
            name: "dense".into(),
            area: Some(SquareMetres(31.7)),
            frame: Frame::Area(SquareMetres(0.25)),
            quadrats: vec![
                Quadrat { at: a_place().map(Box::new), amount: 0.1 + 0.2 },
                Quadrat { at: None, amount: 0.0 },
                Quadrat { at: None, amount: 1e-300 },
            ],
        },
        Stratum {
            name: "sparse".into(),
            area: Some(SquareMetres(80.0)),
            frame: Frame::Plant,
            quadrats: vec![Quadrat { at: None, amount: 7.0 }],
        },
    ];
    let trees = "the Hag's shore/trees";
    vec![
        Record::Site(Site {
            name: site_name("the Hag's shore"),
            boundary: MultiPolygon(vec![square(1.0, 2.0).0[0].clone(), with_a_hole()]),
            occupier: Some("an occupier".into()),
            protected: Some("a reserve".into()),
            cautions: Some("tide; \"soft\" sand\nin the gut".into()),
        }),
        Record::Zone(Zone {
            site: site_name("the Hag's shore"),
            name: "nest".into(),
            shape: Geometry::Polygon(with_a_hole()),
            buffer: Metres(12.5),
            reason: Some("nesting birds".into()),
        }),
        of_form("the Hag's shore/area", Footprint::Area(square(0.1, 0.2))),
        of_form(
            "the Hag's shore/hedge",
            Footprint::Strip {
                line: MultiLineString(vec![LineString::from(vec![(0.1, 0.2), (0.3, 0.4)])]),
                width: Metres(1.5),
            },
        ),
        of_form(
            "the Hag's shore/trees",
            Footprint::Plants { centre: Point::new(0.1, 0.2), count: 17 },
        ),
        Record::Permission(Permission {
            site: site_name("the Hag's shore"),
            basis: Basis::Written,
            purposes: Some("own use; sale".parse().unwrap()),
            from: day(0),
            to: Some(day(365)),
            crops: vec!["sea-beet-leaf".into(), "a \"quoted\", odd crop".into()],
            methods: vec!["by hand".into()],
            cap_per_visit: Some(Amount::grams(1500.0)),
            cap_per_season: Some(Amount::count(40.0)),
            largest_party: Some(12),
            ask_first: true,
            lifts_code_cap: true,
            note: Some("renewed each year".into()),
        }),
        Record::Closure(Closure {
            site: site_name("the Hag's shore"),
            patch: Some("trees".into()),
            from: day(3),
            to: Some(day(9)),
            reason: "nesting".into(),
        }),
        Record::Override(CropOverride {
            site: site_name("the Hag's shore"),
            patch: Some("trees".into()),
            crop: "hazel-nut".into(),
            field: CropField::Season,
            value: "08-20..10-31".into(),
            source: "earlier here".into(),
        }),
        surveyed(trees, Placement::ByChoice, SurveyMethod::Quadrats(strata.clone())),
        surveyed(
            trees,
            Placement::Drawn { plan: None },
            SurveyMethod::Judged(JudgedSurvey {
                frame: Frame::Length(Metres(2.5)),
                quadrats: vec![
                    JudgedQuadrat { at: a_place(), judged: 0.1 + 0.2, measured: None },
                    JudgedQuadrat { at: None, judged: 12.0, measured: Some(11.7) },
                    JudgedQuadrat { at: a_place(), judged: 0.0, measured: Some(0.0) },
                ],
            }),
        ),
        surveyed(
            trees,
            Placement::Drawn { plan: Some("12 at random: seed 7".into()) },
            SurveyMethod::Units(UnitSurvey {
                unit: "handful".into(),
                counted: Counted::Sampled(strata),
                weighings: vec![31.2, 28.0, 1e-300],
            }),
        ),
        surveyed(
            trees,
            Placement::NotSaid,
            SurveyMethod::Units(UnitSurvey {
                unit: "head".into(),
                counted: Counted::InAll(140.5),
                weighings: Vec::new(),
            }),
        ),
        surveyed(
            trees,
            Placement::NotSaid,
            SurveyMethod::Cover(CoverSurvey {
                scale: "D 75-100; F 0.1-33.3".parse().unwrap(),
                quadrats: vec![
                    CoverQuadrat { at: a_place(), cover: class("F", 0.1, 33.3) },
                    CoverQuadrat { at: None, cover: class("D", 75.0, 100.0) },
                ],
                full_cover: vec![900.0, 1100.5],
            }),
        ),
        Record::Walk(Walk {
            name: "spring walk".parse().unwrap(),
            day: day(40),
            site: site_name("the Hag's shore"),
            other_sites: vec![site_name("bare")],
            parties: ["2+1", "3", "0+4=1.5"].map(|party| party.parse().unwrap()).to_vec(),
            wants: ["ramsons-leaf=1500g", "sour=0.1g"].map(|want| want.parse().unwrap()).to_vec(),
            stated_purpose: None,
            seed: u32::MAX,
        }),
        Record::Walk(Walk {
            name: "bare walk".parse().unwrap(),
            day: day(41),
            site: site_name("the Hag's shore"),
            other_sites: vec![],
            parties: vec![],
            wants: vec![],
            stated_purpose: Some(Purpose::Sale),
            seed: 0,
        }),
        Record::Glance(Glance {
            patch: patch_name("the Hag's shore/trees"),
            standing: Amount::count(3.0),
        }),
        Record::Cut(Cut {
            patch: patch_name("the Hag's shore/trees"),
            amount: Amount::count(9.0),
            taken: Taken::OneIn(20),
            people: None,
            method: Some("scissors".into()),
            walk: Some("spring walk".parse().unwrap()),
        }),
        Record::Cut(Cut {
            patch: patch_name("the Hag's shore/area"),
            amount: Amount::grams(0.0),
            taken: Taken::ByWeight,
            people: Some(0),
            method: None,
            walk: None,
        }),
        Record::Clipping(Clipping {
            patch: patch_name("the Hag's shore/area"),
            begun: None,
            design: TestDesign::SameSquares,
            squares: 1,
            square: SquareMetres(0.0625),
            left: 0.1,
            cut: Amount::count(3.0),
            uncut: None,
            disturbed: false,
            places: vec![],
            note: None,
        }),
        Record::Clipping(Clipping {
            patch: patch_name("the Hag's shore/area"),
            begun: Some(day(3)),
            design: TestDesign::Pairs,
            squares: 8,
            square: SquareMetres(0.25),
            left: 0.5,
            cut: Amount::grams(512.5),
            uncut: Some(Amount::grams(1e-300)),
            disturbed: true,
            places: vec![
                SquarePlace { lon: -19.99, lat: 45.01 },
                SquarePlace { lon: 1e-7, lat: -0.5 },
            ],
            note: Some("after rain".into()),
        }),
        Record::from(Visit {
            site: site_name("the Hag's shore"),
            patch: None,
            stage: None,
            ripe: None,
            troubles: vec![],
            over: vec![],
            look_alike: None,
            cleared: None,
            nesting: Some("terns".into()),
            asked: None,
            asked_of: None,
            asked_for: None,
            weather: None,
            tide: None,
            ground: None,
            photo: None,
            note: None,
        }),
        Record::from(Visit {
            site: site_name("the Hag's shore"),
            patch: Some("area".into()),
            stage: Some(Stage::DyingBack),
            ripe: Some("37.5 %".parse().unwrap()),
            troubles: vec![Trouble::Sewage, Trouble::CutByOthers],
            over: vec![Trouble::Sprayed],
            look_alike: Some("hemlock".into()),
            cleared: Some("foxglove; small".into()),
            nesting: Some("terns".into()),
            asked: Some(Answer::Yes),
            asked_of: Some("the warden".into()),
            asked_for: Some(day(9)),
            weather: Some("dry".into()),
            tide: Some("out".into()),
            ground: Some("soft".into()),
            photo: Some(
                format!("a, b.jpg, 2026-03-01, 7 bytes, SHA-256 {:064x}", 7).parse().unwrap(),
            ),
            note: Some("looked twice".into()),
        }),
        Record::Landmark(Landmark {
            site: site_name("the Hag's shore"),
            name: "slip".into(),
            what: LandmarkKind::Signal,
            shape: Geometry::Point(point!(x: 0.1, y: -0.0)),
            note: Some("one bar".into()),
        }),
        Record::Emergency(Emergency {
            site: site_name("the Hag's shore"),
            number: Some("112".into()),
            poison_line: Some("a line".into()),
            occupier_phone: Some("the warden, 0".into()),
            way_in: Some("the slip".into()),
            hospital: Some("a ward".into()),
            tide_station: Some("a pier".into()),
            note: Some("ask at the hut".into()),
        }),
        Record::Emergency(Emergency {
            site: site_name("the Hag's shore"),
            number: None,
            poison_line: None,
            occupier_phone: None,
            way_in: None,
            hospital: Some("another ward".into()),
            tide_station: None,
            note: None,
        }),
        Record::Redraw(Redraw {
            patch: patch_name("the Hag's shore/hedge"),
            ground: Some(Footprint::Strip {
                line: MultiLineString(vec![LineString::from(vec![(0.1, 0.2), (0.2, 0.3)])]),
                width: Metres(0.1 + 0.2),
            }),
            note: Some("grubbed out, half of it".into()),
        }),
        Record::Redraw(Redraw {
            patch: patch_name("the Hag's shore/hedge"),
            ground: None,
            note: None,
        }),
        Record::Hold(Hold {
            patch: patch_name("the Hag's shore/trees"),
            walk: "spring walk".parse().unwrap(),
            day: day(40),
            amount: Amount::count(9.0),
            taken: Taken::OneIn(20),
            people: Some(12),
        }),
        Record::Hold(Hold {
            patch: patch_name("the Hag's shore/area"),
            walk: "spring walk".parse().unwrap(),
            day: day(40),
            amount: Amount::grams(1.25),
            taken: Taken::All,
            people: None,
        }),
    ]
}

fn surveyed(patch: &str, placement: Placement, method: SurveyMethod) -> Record {
    let (patch, note) = (patch_name(patch), Some("after rain".into()));
    Record::Survey(Survey { patch, placement, ripe: None, method, note })
}

fn with_nothing_measured() -> SurveyMethod {
    let quadrats = vec![JudgedQuadrat { at: None, judged: 4.0, measured: None }];
    SurveyMethod::Judged(JudgedSurvey { frame: Frame::Plant, quadrats })
}

fn a_place() -> Option<GpsPoint> {
    Some(GpsPoint { lon: -19.99, lat: 45.01, accuracy: Metres(3.5) })
}

fn class(name: &str, low: f64, high: f64) -> CoverClass {
    CoverClass { name: name.into(), low, high }
}

fn of_form(name: &str, footprint: Footprint) -> Record {
    let Record::Patch(patch) = patch(name, "sea-beet-leaf") else { unreachable!() };
    let (underfoot, note) = (Some(Underfoot::TussockGrass), Some("by the gate".into()));
    Record::Patch(Patch { footprint, underfoot, note, ..patch })
}

fn with_a_hole() -> Polygon {
    let ring = |size: f64| {
        LineString::from(vec![(0.0, 0.0), (size, 0.0), (size, size), (0.0, size), (0.0, 0.0)])
    };
    Polygon::new(ring(0.3), vec![ring(0.1)])
}

/// Each record as a fact with every column of the envelope different.
fn as_facts(trial: &mut Trial, records: Vec<Record>) -> Vec<NewFact> {
    let facts = records.into_iter().zip(1..).map(|(record, number)| NewFact {
        key: format!("{} {number}", record.kind().name()),
        fact: Fact {
            id: trial.new_id(),
            happened_on: day(number),
            recorded_on: day(number + 1),
            by: format!("leader {number}").into(),
            file: (number % 2 == 0).then(|| format!("sites/{number}.csv").into()),
            record,
        },
    });
    facts.collect()
}

#[test]
fn every_kind_comes_back_as_it_was_recorded_with_every_field_full_or_empty() {
    let mut trial = Trial::new();
    let facts = as_facts(&mut trial, every_kind());
    trial.book.append(&facts, &[]).unwrap();
    let history = trial.book.history(&Scope::All).unwrap();
    let back: Vec<NewFact> = history
        .into_iter()
        .map(|line| {
            assert_eq!(line.correction, None);
            NewFact { key: line.key, fact: line.fact }
        })
        .collect();
    assert_eq!(back, facts);
    for kind in Kind::ALL {
        assert!(back.iter().any(|new| new.fact.record.kind() == kind), "no {}", kind.name());
    }
    assert_eq!(trial.book.integrity().unwrap(), Vec::<String>::new());
}

#[test]
fn a_ledger_holds_every_kind_with_what_the_quadrats_come_to() {
    let mut trial = Trial::new();
    let facts = as_facts(&mut trial, every_kind());
    trial.book.append(&facts, &[]).unwrap();
    let ledger = trial.book.ledger(&Scope::All, None).unwrap();
    let mut in_turn = Vec::new();
    let stretches = trial.book.stretches(None, 1).unwrap();
    let each = |stretch: &Ledger| -> Result<(), BookError> {
        in_turn.extend(stretch.sites.iter().cloned());
        Ok(())
    };
    stretches.in_turn(each).unwrap();
    assert_eq!(in_turn, ledger.sites);
    let mut seen: Vec<Fact<Record>> = Vec::new();
    let mut summaries: Vec<Fact<SurveySummary>> = Vec::new();
    for site in ledger.sites {
        seen.push(site.site.map(Record::Site));
        seen.extend(site.zones.into_iter().map(|fact| fact.map(Record::Zone)));
        seen.extend(site.permissions.into_iter().map(|fact| fact.map(Record::Permission)));
        seen.extend(site.closures.into_iter().map(|fact| fact.map(Record::Closure)));
        seen.extend(site.visits.into_iter().map(|fact| fact.map(Record::from)));
        seen.extend(site.landmarks.into_iter().map(|fact| fact.map(Record::Landmark)));
        seen.extend(site.emergencies.into_iter().map(|fact| fact.map(Record::Emergency)));
        seen.extend(site.overrides.into_iter().map(|fact| fact.map(Record::Override)));
        seen.extend(site.walks.into_iter().map(|fact| fact.map(Record::Walk)));
        for patch in site.patches {
            let first = patch.changes.first.clone();
            seen.push(patch.patch.map(|patch| {
                let footprint = first.unwrap_or_else(|| patch.footprint.clone());
                Record::Patch(Patch { footprint, ..patch })
            }));
            let redraws = patch.changes.redraws.into_iter();
            seen.extend(redraws.map(|fact| fact.map(Record::Redraw)));
            seen.extend(patch.glances.into_iter().map(|fact| fact.map(Record::Glance)));
            seen.extend(patch.holds.into_iter().map(|fact| fact.map(Record::Hold)));
            let clipped = |cut: &Fact<Cut>| patch.clippings.iter().any(|fact| fact.id == cut.id);
            let cuts: Vec<Fact<Cut>> =
                patch.cuts.iter().filter(|cut| !clipped(cut)).cloned().collect();
            assert_eq!(cuts.len() + patch.clippings.len(), patch.cuts.len());
            seen.extend(cuts.into_iter().map(|fact| fact.map(Record::Cut)));
            seen.extend(patch.clippings.into_iter().map(|fact| fact.map(Record::Clipping)));
            summaries.extend(patch.surveys);
        }
    }
    let (mut surveys, mut others): (Vec<Fact<Record>>, Vec<Fact<Record>>) =
        facts.into_iter().map(|new| new.fact).partition(|fact| fact.record.kind() == Kind::Survey);
    seen.sort_by_key(|fact| fact.id);
    others.sort_by_key(|fact| fact.id);
    assert_eq!(seen, others);
    surveys.sort_by_key(|fact| fact.id);
    summaries.sort_by_key(|fact| fact.id);
    let expected: Vec<Fact<SurveySummary>> = surveys
        .into_iter()
        .map(|fact| {
            fact.map(|record| match record {
                Record::Survey(survey) => survey.summary().unwrap(),
                other => panic!("{other:?} is no survey"),
            })
        })
        .collect();
    assert_eq!(summaries, expected);
    assert_eq!(summaries.len(), 6);
}

#[test]
fn a_zone_may_have_any_shape_that_a_map_file_can_hold() {
    let line = LineString::from(vec![(1.0, 2.0), (3.0, 4.0)]);
    let shapes = vec![
        Geometry::Point(point!(x: -0.0, y: 45.1)),
        Geometry::MultiPoint(MultiPoint(vec![point!(x: 1.0, y: 2.0), point!(x: 3.0, y: 4.0)])),
        Geometry::LineString(line.clone()),
        Geometry::MultiLineString(MultiLineString(vec![line.clone(), line.clone()])),
        Geometry::Polygon(with_a_hole()),
        Geometry::MultiPolygon(MultiPolygon(vec![with_a_hole(), with_a_hole()])),
        Geometry::GeometryCollection(GeometryCollection(vec![
            Geometry::LineString(line),
            Geometry::GeometryCollection(GeometryCollection(vec![
                Geometry::Polygon(with_a_hole()),
            ])),
        ])),
    ];
    let mut trial = Trial::new();
    trial.record(0, site("wood"));
    for (shape, number) in shapes.iter().zip(1..) {
        trial.record(
            number,
            Record::Zone(Zone {
                site: site_name("wood"),
                name: format!("zone {number}").into(),
                shape: shape.clone(),
                buffer: Metres(1.0),
                reason: None,
            }),
        );
    }
    let ledger = trial.book.ledger(&Scope::All, None).unwrap();
    let back: Vec<Geometry> =
        ledger.sites[0].zones.iter().map(|zone| zone.record.shape.clone()).collect();
    assert_eq!(back, shapes);
}

#[test]
fn the_keys_versions_are_all_that_was_ever_recorded_under_it_and_what_became_of_them() {
    let mut trial = Trial::with_two_patches();
    let first = trial.record(1, cut("wood/bank", 100.0));
    let NewFact { key, .. } = fact(first, day(1), cut("wood/bank", 100.0));
    let mut right = fact(trial.new_id(), day(2), cut("wood/bank", 110.0));
    right.key.clone_from(&key);
    let about = crate::trial::correction(trial.new_id(), first, Some(right.fact.id), day(2));
    trial.book.append(std::slice::from_ref(&right), std::slice::from_ref(&about)).unwrap();

    let versions = trial.book.versions(Kind::Cut, &key).unwrap();
    assert_eq!(versions.len(), 2);
    assert_eq!((versions[0].fact.id, &versions[0].correction), (first, &Some(about)));
    assert_eq!((&versions[1].fact, &versions[1].correction), (&right.fact, &None));
    assert_eq!(trial.book.versions(Kind::Glance, &key).unwrap(), Vec::new());
}

#[test]
fn a_bad_fact_in_the_middle_leaves_nothing_recorded() {
    let mut trial = Trial::with_two_patches();
    let before = trial.book.history(&Scope::All).unwrap();
    let bad = [
        cut("wood/bnak", 5.0),
        cut("wood/bank", f64::NAN),
        cut("wood/bank", -3.0),
        survey("wood/bank", &[]),
        survey("wood/bank", &[1e308, 1e308]),
        surveyed("wood/bank", Placement::NotSaid, with_nothing_measured()),
        patch("wood/bank", "ramsons-leaf"),
        patch("shore/spit", "ramsons-leaf"),
    ];
    for record in bad {
        let records = [patch("wood/new", "nettle-shoot"), cut("wood/new", 1.0), record, site("x")];
        let facts: Vec<NewFact> =
            records.into_iter().map(|record| fact(trial.new_id(), day(1), record)).collect();
        refusal(trial.book.append(&facts, &[]));
        assert_eq!(trial.book.history(&Scope::All).unwrap(), before);
    }
}

/// The first two thousand are made ready by the thread that writes, the others by another.
#[test]
fn a_bad_fact_leaves_nothing_recorded_wherever_it_stands_among_thousands() {
    let history = |trial: &Trial| trial.book.history(&Scope::All).unwrap();
    for at in [0, 2500, 4999] {
        let mut trial = Trial::with_two_patches();
        let before = history(&trial);
        let facts: Vec<NewFact> =
            (0..5000).map(|_| fact(trial.new_id(), day(1), cut("wood/bank", 1.0))).collect();
        let mut without_amount = facts.clone();
        without_amount[at].fact.record = cut("wood/bank", f64::NAN);
        refusal(trial.book.append(&without_amount, &[]));
        assert_eq!(history(&trial), before);
        trial.book.append(&facts[at..=at], &[]).unwrap();
        let before = history(&trial);
        assert_eq!(
            refusal(trial.book.append(&facts, &[])),
            Refusal::AlreadyRecorded(facts[at].fact.id)
        );
        assert_eq!(history(&trial), before);
    }
}

#[test]
fn a_record_of_a_place_the_book_does_not_know_is_refused_by_name() {
    let mut trial = Trial::with_two_patches();
    assert_eq!(
        refusal(trial.try_record(1, cut("wood/bnak", 5.0))).to_string(),
        "no patch is called `wood/bnak`; did you mean `wood/bank`?"
    );
    assert_eq!(
        refusal(trial.try_record(1, patch("shore/spit", "ramsons-leaf"))).to_string(),
        "no site is called `shore`"
    );
}

#[test]
fn numbers_that_are_none_are_refused_with_their_field() {
    let mut trial = Trial::with_two_patches();
    assert_eq!(
        refusal(trial.try_record(1, cut("wood/bank", f64::NAN))).to_string(),
        "cut `wood/bank 2027-01-02 a leader`, `amount`: `NaN` is not a finite amount, 0 or more"
    );
    assert!(matches!(
        refusal(trial.try_record(1, survey("wood/bank", &[]))),
        Refusal::NoQuadrats { .. }
    ));
}

#[test]
fn a_fact_is_recorded_once() {
    let mut trial = Trial::with_two_patches();
    let id = trial.record(1, cut("wood/bank", 5.0));
    let again = trial.book.append(&[fact(id, day(2), cut("wood/ride", 6.0))], &[]);
    assert_eq!(refusal(again), Refusal::AlreadyRecorded(id));
}

#[test]
fn facts_come_in_any_order_with_the_places_they_need() {
    let mut trial = Trial::new();
    let records = [cut("wood/bank", 5.0), patch("wood/bank", "nettle-shoot"), site("wood")];
    let facts: Vec<NewFact> =
        records.into_iter().map(|record| fact(trial.new_id(), day(1), record)).collect();
    trial.book.append(&facts, &[]).unwrap();
    assert_eq!(trial.cuts_of("wood/bank", None), [5.0]);
}
