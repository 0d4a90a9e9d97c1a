//! What is written is read back the same, kind by kind, and nothing that comes in panics.

use std::sync::Arc;

use geo::{Coord, Geometry, LineString, MultiLineString, MultiPolygon, Point, Polygon, coord};
use jiff::ToSpan;
use jiff::civil::{Date, date};
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::test_runner::{Config, RngSeed};
use stintbook::intake::{FEATURES, SHEETS, templates, write_csv, write_geojson};
use stintbook::records::{
    Answer, Basis, Clipping, Closure, Counted, CoverQuadrat, CoverScale, CoverSurvey, CropField,
    CropOverride, Cut, Emergency, Entry, FactId, Footprint, Frame, Glance, GpsPoint, Hold,
    JudgedQuadrat, JudgedSurvey, Kind, Landmark, LandmarkKind, Party, Patch, PatchName, Permission,
    Photo, Placement, Purpose, Purposes, Quadrat, Record, Redraw, Ripe, Site, SiteName,
    SquarePlace, Stage, Stratum, Survey, SurveyMethod, Taken, TestDesign, Trouble, Underfoot,
    UnitSurvey, Visit, Walk, WalkName, Want, Zone,
};
use stintbook::units::{Amount, Measure, Metres, SquareMetres};
use uuid::Uuid;

use crate::world::{World, world};

fn seeded(cases: u32) -> Config {
    Config {
        cases,
        rng_seed: RngSeed::Fixed(20_270_314),
        failure_persistence: None,
        ..Config::default()
    }
}

fn words() -> impl Strategy<Value = Arc<str>> {
    // Commas, quotes and letters of other scripts; no blanks at the ends, and one line.
    "[a-zé#][a-z é,\"'\u{4e00}]{0,12}[a-zé\"]".prop_map(Arc::from)
}

fn day() -> impl Strategy<Value = Date> {
    (0..4000_i64).prop_map(|days| date(2021, 1, 1) + days.days())
}

fn site() -> impl Strategy<Value = SiteName> {
    prop_oneof![Just("north wood"), Just("shore")].prop_map(|name| SiteName::new(name).unwrap())
}

fn patch() -> impl Strategy<Value = (PatchName, Measure)> {
    prop_oneof![
        Just(("north wood/bank", Measure::Mass)),
        Just(("shore/bank", Measure::Mass)),
        Just(("shore/spit", Measure::Count)),
    ]
    .prop_map(|(name, measure)| (name.parse().unwrap(), measure))
}

fn amount(measure: Measure) -> BoxedStrategy<Amount> {
    match measure {
        Measure::Mass => (0.0..5000.0).prop_map(Amount::grams).boxed(),
        Measure::Count => (0..500_u32).prop_map(|n| Amount::count(f64::from(n))).boxed(),
    }
}

fn taken() -> impl Strategy<Value = Taken> {
    prop_oneof![Just(Taken::All), Just(Taken::ByWeight), (1..99_u32).prop_map(Taken::OneIn)]
}

fn cut() -> impl Strategy<Value = Record> {
    (patch(), taken(), option::of(1..40_u32), option::of(words()), option::of(walk_name()))
        .prop_flat_map(|((patch, measure), taken, people, method, walk)| {
            (Just((patch, taken, people, method, walk)), amount(measure))
        })
        .prop_map(|((patch, taken, people, method, walk), amount)| {
            Record::Cut(Cut { patch, amount, taken, people, method, walk })
        })
}

fn hold() -> impl Strategy<Value = Record> {
    (patch(), taken(), option::of(1..40_u32), walk_name(), day())
        .prop_flat_map(|((patch, measure), taken, people, walk, day)| {
            (Just((patch, taken, people, walk, day)), amount(measure))
        })
        .prop_map(|((patch, taken, people, walk, day), amount)| {
            Record::Hold(Hold { patch, walk, day, amount, taken, people })
        })
}

fn walk_name() -> impl Strategy<Value = WalkName> {
    prop_oneof![Just("spring walk"), Just("Box of March")].prop_map(|name| name.parse().unwrap())
}

fn walk() -> impl Strategy<Value = Record> {
    let party = (1..9_u32, 0..9_u32, option::of(0.5..9.0))
        .prop_map(|(adults, children, stated_weight)| Party { adults, children, stated_weight });
    let want = (prop_oneof![Just("sour"), Just("ramsons-leaf")], 1.0..9e5)
        .prop_map(|(what, grams)| Want { what: what.into(), amount: Amount::grams(grams) });
    let purpose = option::of(purpose());
    let who_and_what = (vec(party, 1..5), vec(want, 0..3), purpose, 1..9_u32);
    (walk_name(), day(), site(), vec(site(), 0..3), who_and_what).prop_map(
        |(name, day, site, other_sites, (parties, wants, stated_purpose, seed))| {
            Record::Walk(Walk {
                name,
                day,
                site,
                other_sites,
                parties,
                wants,
                stated_purpose,
                seed,
            })
        },
    )
}

fn purpose() -> impl Strategy<Value = Purpose> {
    prop_oneof![Just(Purpose::OwnUse), Just(Purpose::Walk), Just(Purpose::Sale)]
}

fn purposes() -> impl Strategy<Value = Purposes> {
    (purpose(), purpose()).prop_map(|(one, other)| format!("{one}; {other}").parse().unwrap())
}

fn glance() -> impl Strategy<Value = Record> {
    patch().prop_flat_map(|(patch, measure)| {
        amount(measure).prop_map(move |mut standing| {
            standing.value += 1.0;
            Record::Glance(Glance { patch: patch.clone(), standing })
        })
    })
}

fn clipping() -> impl Strategy<Value = Record> {
    let place = || (-180.0..180.0, -90.0..90.0).prop_map(|(lon, lat)| SquarePlace { lon, lat });
    let squares = || (1..=Clipping::MOST_SQUARES, 0.01..25.0, 0.1..0.5);
    let said = move || (option::of(day()), any::<bool>(), vec(place(), 0..4), option::of(words()));
    let clipping = move |(patch, measure): (PatchName, Measure)| {
        let design = prop::sample::select(TestDesign::ALL.to_vec());
        let parts = (amount(measure), amount(measure), design, squares(), said());
        parts.prop_map(move |(cut, uncut, design, (squares, square, left), said)| {
            let (begun, disturbed, places, note) = said;
            let beside = design == TestDesign::Pairs && begun.is_some();
            let (patch, square) = (patch.clone(), SquareMetres(square));
            let uncut = beside.then_some(uncut);
            Record::Clipping(Clipping {
                patch,
                begun,
                design,
                squares,
                square,
                left,
                cut,
                uncut,
                disturbed,
                places,
                note,
            })
        })
    };
    patch().prop_flat_map(clipping)
}

fn position() -> impl Strategy<Value = GpsPoint> {
    (-180.0..180.0, -90.0..90.0, 0.5..30.0).prop_map(|(lon, lat, accuracy)| GpsPoint {
        lon,
        lat,
        accuracy: Metres(accuracy),
    })
}

fn frame() -> impl Strategy<Value = Frame> {
    prop_oneof![
        Just(Frame::Plant),
        (0.01..4.0).prop_map(|area| Frame::Area(SquareMetres(area))),
        (0.5..20.0).prop_map(|length| Frame::Length(Metres(length))),
    ]
}

fn strata(amount: BoxedStrategy<f64>) -> impl Strategy<Value = Vec<Stratum>> {
    let quadrat = (option::of(position().prop_map(Box::new)), amount)
        .prop_map(|(at, amount)| Quadrat { at, amount });
    vec((frame(), 1.0..500.0, vec(quadrat, 2..6)), 1..4).prop_map(|strata| {
        let one = strata.len() == 1;
        let named = |(at, (frame, area, quadrats)): (usize, _)| Stratum {
            name: if one { "".into() } else { format!("part {at}").into() },
            area: (!one).then_some(SquareMetres(area)),
            frame,
            quadrats,
        };
        strata.into_iter().enumerate().map(named).collect()
    })
}

fn quadrats(measure: Measure) -> impl Strategy<Value = SurveyMethod> {
    strata(amount(measure).prop_map(|amount| amount.value).boxed()).prop_map(SurveyMethod::Quadrats)
}

fn judged(measure: Measure) -> impl Strategy<Value = SurveyMethod> {
    let quadrat = |measured| {
        (option::of(position()), amount(measure), measured).prop_map(|(at, judged, measured)| {
            JudgedQuadrat { at, judged: judged.value + 1.0, measured }
        })
    };
    let value = move || amount(measure).prop_map(|amount| amount.value);
    let by_eye = vec(quadrat(option::of(value()).boxed()), 0..5);
    (frame(), vec(quadrat(value().prop_map(Some).boxed()), 3..6), by_eye).prop_map(
        |(frame, mut quadrats, by_eye)| {
            quadrats.extend(by_eye);
            SurveyMethod::Judged(JudgedSurvey { frame, quadrats })
        },
    )
}

fn units(measure: Measure) -> impl Strategy<Value = SurveyMethod> {
    let counted = prop_oneof![
        (0.0..5000.0).prop_map(Counted::InAll),
        strata((0.0..90.0).boxed()).prop_map(Counted::Sampled),
    ];
    let weighings = if measure == Measure::Mass { 2..9 } else { 0..1 };
    (counted, words(), vec(0.1..400.0, weighings)).prop_map(|(counted, unit, weighings)| {
        SurveyMethod::Units(UnitSurvey { unit, counted, weighings })
    })
}

fn cover() -> impl Strategy<Value = SurveyMethod> {
    let scale = prop_oneof![
        Just(("percent", vec!["0", "0.5", "35", "100"])),
        Just(("domin", vec!["+", "1", "5", "10"])),
        Just(("braun-blanquet", vec!["r", "+", "2", "5"])),
        Just(("D 75-100; A 50-75; R 0.5-5.25", vec!["D", "R"])),
    ];
    let quadrats = |(scale, classes): (&'static str, Vec<&'static str>)| {
        let scale: CoverScale = scale.parse().unwrap();
        let classes = vec((option::of(position()), prop::sample::select(classes)), 2..7);
        classes.prop_map(move |classes| {
            let quadrat =
                |(at, class): (_, &str)| CoverQuadrat { at, cover: scale.class(class).unwrap() };
            (scale.clone(), classes.into_iter().map(quadrat).collect::<Vec<_>>())
        })
    };
    (scale.prop_flat_map(quadrats), vec(1.0..4000.0, 2..9)).prop_map(
        |((scale, quadrats), full_cover)| {
            SurveyMethod::Cover(CoverSurvey { scale, quadrats, full_cover })
        },
    )
}

fn method(measure: Measure) -> BoxedStrategy<SurveyMethod> {
    let of_any = prop_oneof![quadrats(measure), judged(measure), units(measure)];
    match measure {
        Measure::Mass => prop_oneof![of_any, cover()].boxed(),
        Measure::Count => of_any.boxed(),
    }
}

fn placement() -> impl Strategy<Value = Placement> {
    prop_oneof![
        Just(Placement::NotSaid),
        Just(Placement::ByChoice),
        option::of(words()).prop_map(|plan| Placement::Drawn { plan }),
    ]
}

fn ripe() -> impl Strategy<Value = Option<Ripe>> {
    option::of((1..=100_u32).prop_map(|percent| Ripe::of(f64::from(percent) / 100.0).unwrap()))
}

fn survey() -> impl Strategy<Value = Record> {
    (patch(), placement(), ripe(), option::of(words()))
        .prop_flat_map(|((patch, measure), placement, ripe, note)| {
            (Just((patch, placement, ripe, note)), method(measure))
        })
        .prop_map(|((patch, placement, ripe, note), method)| {
            Record::Survey(Survey { patch, placement, ripe, method, note })
        })
}

fn permission() -> impl Strategy<Value = Record> {
    let cap = || option::of(prop_oneof![amount(Measure::Mass), amount(Measure::Count)]);
    let terms = (cap(), cap(), option::of(1..50_u32), any::<bool>(), any::<bool>());
    let crops = vec(prop_oneof![Just("nettle-tops"), Just("alexanders-stem")], 0..3);
    let methods = vec(prop_oneof![Just("scissors"), Just("by hand, gently")], 0..3);
    let span = (day(), option::of(0..900_i64));
    let basis = (0..4_usize, option::of(purposes()));
    (site(), basis, span, crops, methods, terms, option::of(words())).prop_map(
        |(site, (basis, purposes), (from, length), crops, methods, terms, note)| {
            let fits = |cap: &Amount| crops.is_empty() || cap.measure == Measure::Mass;
            Record::Permission(Permission {
                site,
                basis: Basis::ALL[basis],
                purposes,
                from,
                to: length.map(|days| from + days.days()),
                cap_per_visit: terms.0.filter(fits),
                cap_per_season: terms.1.filter(fits),
                crops: crops.iter().map(|&crop| crop.into()).collect(),
                methods: methods.into_iter().map(Arc::from).collect(),
                largest_party: terms.2,
                ask_first: terms.3,
                lifts_code_cap: terms.4 && Basis::ALL[basis] == Basis::Written,
                note,
            })
        },
    )
}

fn closure() -> impl Strategy<Value = Record> {
    let patch = option::of(Just(Arc::from("bank")));
    (site(), patch, day(), option::of(0..900_i64), words()).prop_map(
        |(site, patch, from, length, reason)| {
            let to = length.map(|days| from + days.days());
            Record::Closure(Closure { site, patch, from, to, reason })
        },
    )
}

fn emergency() -> impl Strategy<Value = Record> {
    let word = || option::of(words());
    let numbers = (word(), word(), word());
    (site(), numbers, word(), word(), word(), word()).prop_map(
        |(site, (number, poison_line, occupier_phone), way_in, hospital, tide_station, note)| {
            Record::Emergency(Emergency {
                site,
                number,
                poison_line,
                occupier_phone,
                way_in,
                hospital,
                tide_station,
                note,
            })
        },
    )
}

fn visit() -> impl Strategy<Value = Record> {
    let photo =
        (words(), day(), any::<u64>(), any::<u128>()).prop_map(|(file, day, bytes, sum)| Photo {
            file,
            day,
            bytes,
            sha256: format!("{sum:064x}").into(),
        });
    let seen = (
        option::of(prop::sample::select(Stage::ALL.to_vec())),
        prop::sample::subsequence(Trouble::ALL.to_vec(), 0..3),
        prop::sample::subsequence(Trouble::ALL.to_vec(), 0..3),
        option::of(words()),
        option::of(words()),
        words(),
        (ripe(), option::of(photo)),
    );
    let said = (prop::sample::select(Answer::ALL.to_vec()), option::of(words()), option::of(day()));
    let more = (option::of(words()), option::of(words()), option::of(words()), option::of(words()));
    let patch = option::of(Just(Arc::from("bank")));
    (site(), patch, seen, option::of(said), more).prop_map(|(site, patch, seen, said, more)| {
        let (stage, troubles, over, look_alike, cleared, nesting, (ripe, photo)) = seen;
        let over = over.into_iter().filter(|over| !troubles.contains(over)).collect();
        let (weather, tide, ground, note) = more;
        let (asked_of, asked_for) =
            said.as_ref().map_or((None, None), |(_, of, day)| (of.clone(), *day));
        let asked = said.map(|(answer, ..)| answer);
        let nesting = Some(nesting);
        Record::from(Visit {
            site,
            patch,
            stage,
            ripe,
            troubles,
            over,
            look_alike,
            cleared,
            nesting,
            asked,
            asked_of,
            asked_for,
            weather,
            tide,
            ground,
            photo,
            note,
        })
    })
}

fn change() -> impl Strategy<Value = Record> {
    let value = prop_oneof![
        Just((CropField::Season, "11-15..03-20")),
        Just((CropField::TakeFraction, "0.2")),
        Just((CropField::GrowthByMonth, "3-10")),
        Just((CropField::SmallestUseful, "120g")),
    ];
    (value, words()).prop_map(|((field, value), source)| {
        Record::Override(CropOverride {
            site: SiteName::new("north wood").unwrap(),
            patch: Some("bank".into()),
            crop: "nettle-tops".into(),
            field,
            value: value.into(),
            source,
        })
    })
}

/// Triangles and squares anywhere, wound as RFC 7946 wants them.
fn ground(size: f64) -> impl Strategy<Value = MultiPolygon> {
    (-170.0..170.0, -80.0..80.0, 0.3..1.0, any::<bool>()).prop_map(move |(x, y, scale, three)| {
        let side = size * scale;
        let corner = |dx: f64, dy: f64| coord! { x: x + dx * side, y: y + dy * side };
        let mut ring = vec![corner(0.0, 0.0), corner(1.0, 0.0), corner(1.0, 1.0)];
        if !three {
            ring.push(corner(0.0, 1.0));
        }
        MultiPolygon(vec![Polygon::new(LineString(ring), vec![])])
    })
}

fn line() -> impl Strategy<Value = LineString> {
    (-170.0..170.0, -80.0..80.0, vec((0.0001..0.001, -0.001..0.001), 1..8)).prop_map(
        |(x, y, steps)| {
            let mut at: Coord = coord! { x: x, y: y };
            let mut line = vec![at];
            for (dx, dy) in steps {
                at = at + coord! { x: dx, y: dy };
                line.push(at);
            }
            LineString(line)
        },
    )
}

fn place() -> impl Strategy<Value = Record> {
    let point = || (-180.0..180.0, -90.0..90.0).prop_map(|(x, y)| Point::new(x, y));
    let shape = prop_oneof![
        point().prop_map(Geometry::Point),
        line().prop_map(Geometry::LineString),
        ground(5.0).prop_map(Geometry::MultiPolygon),
    ]
    .boxed();
    let site_record = (option::of(words()), option::of(words()), option::of(words()), ground(0.1))
        .prop_map(|(occupier, protected, cautions, boundary)| {
            let name = SiteName::new("moor").unwrap();
            Record::Site(Site { name, boundary, occupier, protected, cautions })
        });
    let zone = (site(), shape.clone(), 0.0..50.0, option::of(words())).prop_map(
        |(site, shape, buffer, reason)| {
            let (name, buffer) = ("path edge".into(), Metres(buffer));
            Record::Zone(Zone { site, name, shape, buffer, reason })
        },
    );
    let footprint = prop_oneof![
        ground(0.005).prop_map(Footprint::Area),
        (line(), 0.1..20.0).prop_map(|(line, width)| Footprint::Strip {
            line: MultiLineString(vec![line]),
            width: Metres(width)
        }),
        (point(), 0.1..200.0)
            .prop_map(|(centre, radius)| Footprint::Disc { centre, radius: Metres(radius) }),
        (point(), 1..500_u32).prop_map(|(centre, count)| Footprint::Plants { centre, count }),
    ]
    .boxed();
    let redraw = (option::of(footprint.clone()), option::of(words())).prop_map(|(ground, note)| {
        let patch = "north wood/bank".parse().unwrap();
        Record::Redraw(Redraw { patch, ground, note })
    });
    let kinds = prop::sample::select(LandmarkKind::ALL.to_vec());
    let landmark = (site(), kinds, shape.clone(), option::of(words())).prop_map(
        |(site, what, shape, note)| {
            let name = "lower gate".into();
            Record::Landmark(Landmark { site, name, what, shape, note })
        },
    );
    let underfoot = option::of(prop::sample::select(Underfoot::ALL.to_vec()));
    let patch = (site(), footprint, underfoot, option::of(words())).prop_map(
        |(site, footprint, underfoot, note)| {
            let name = PatchName::new(&site, "new").unwrap();
            Record::Patch(Patch { name, crop: "nettle-tops".into(), footprint, underfoot, note })
        },
    );
    prop_oneof![site_record, zone, patch, redraw, landmark]
}

/// Signs records, on days that let the same patch, day and person meet now and then.
fn signed(record: impl Strategy<Value = Record>, most: usize) -> impl Strategy<Value = Vec<Entry>> {
    let by = prop_oneof![Just("Ada"), Just("O\"Neil, B")];
    let id = option::of((1..u128::MAX).prop_map(|id| FactId(Uuid::from_u128(id))));
    let entry = (record, 0..3_i64, option::of(0..400_i64), by, id);
    vec(entry, 1..=most).prop_map(|entries| {
        let mut seen: Vec<String> = Vec::new();
        let signed = entries.into_iter().map(|(record, day, later, by, id)| {
            let happened_on = date(2027, 2, 27) + day.days();
            let plain = record.natural_key(happened_on, by);
            seen.push(plain.clone());
            let repeat = seen.iter().filter(|key| **key == plain).count();
            let key = if repeat > 1 { format!("{plain} #{repeat}") } else { plain };
            let recorded_on = later.map(|days| happened_on + days.days());
            let (by, taken_unsaid) = (by.into(), false);
            Entry {
                id,
                key,
                happened_on,
                recorded_on,
                by,
                record,
                taken_unsaid,
                sure: false,
                again: false,
                unruled: false,
            }
        });
        signed.collect()
    })
}

fn is_read_back(world: &World, kind: Kind, entries: &[Entry]) {
    let text = write_csv(kind, entries, world.known());
    let read = world.read(&text).unwrap_or_else(|problems| panic!("{problems}\n{text}"));
    assert_eq!(read.entries, entries, "{text}");
}

proptest! {
    #![proptest_config(seeded(200))]

    #[test]
    fn surveys_are_read_back(entries in signed(survey(), 6)) {
        is_read_back(&world(), Kind::Survey, &entries);
    }

    #[test]
    fn glances_are_read_back(entries in signed(glance(), 8)) {
        is_read_back(&world(), Kind::Glance, &entries);
    }

    #[test]
    fn cuts_are_read_back(entries in signed(cut(), 8)) {
        is_read_back(&world(), Kind::Cut, &entries);
    }

    #[test]
    fn clippings_are_read_back(entries in signed(clipping(), 8)) {
        is_read_back(&world(), Kind::Clipping, &entries);
    }

    #[test]
    fn walks_are_read_back(entries in signed(walk(), 8)) {
        is_read_back(&world(), Kind::Walk, &entries);
    }

    #[test]
    fn holds_are_read_back(entries in signed(hold(), 8)) {
        is_read_back(&world(), Kind::Hold, &entries);
    }

    #[test]
    fn permissions_are_read_back(entries in signed(permission(), 4)) {
        is_read_back(&world(), Kind::Permission, &entries);
    }

    #[test]
    fn closures_are_read_back(entries in signed(closure(), 4)) {
        is_read_back(&world(), Kind::Closure, &entries);
    }

    #[test]
    fn emergencies_are_read_back(entries in signed(emergency(), 1)) {
        is_read_back(&world(), Kind::Emergency, &entries);
    }

    #[test]
    fn visits_are_read_back(entries in signed(visit(), 8)) {
        is_read_back(&world(), Kind::Visit, &entries);
    }

    #[test]
    fn overrides_are_read_back(entries in signed(change(), 1)) {
        is_read_back(&world(), Kind::Override, &entries);
    }

    #[test]
    fn places_are_read_back(entries in signed(place(), 1)) {
        let text = write_geojson(&entries);
        let read = world().read(&text).unwrap_or_else(|problems| panic!("{problems}\n{text}"));
        prop_assert_eq!(&read.entries, &entries, "{}", text);
    }
}

/// Files that are right, to be made wrong.
fn good_files() -> Vec<String> {
    let mut files: Vec<String> = templates()
        .into_iter()
        .map(|template| template.text.replace("\n# north", "\nnorth"))
        .collect();
    files.push(
        "patch,date,by,stratum,stratum_area_m2,frame_area_m2,mass_g\n\
         north wood/bank,2027-03-14,Ada,dense,40,0.25,31\n\
         north wood/bank,2027-03-14,Ada,dense,40,0.25,12\n"
            .to_owned(),
    );
    files.push(
        r#"{"type":"FeatureCollection","by":"Ada","date":"2027-01-05","features":[
        {"type":"Feature","properties":{"kind":"site","name":"moor"},"geometry":{"type":"MultiPolygon",
        "coordinates":[[[[0,0],[0.1,0],[0.1,0.1],[0,0.1],[0,0]],[[0.02,0.02],[0.02,0.04],[0.04,0.04],[0.02,0.02]]],
        [[[0.2,0.2],[0.3,0.2],[0.3,0.3],[0.2,0.2]]]]}},
        {"type":"Feature","properties":{"kind":"patch","name":"a","site":"moor","crop":"nettle-tops",
        "width_m":2},"geometry":{"type":"LineString","coordinates":[[0,0],[0.001,0.001]]}}]}"#
            .to_owned(),
    );
    files
}

/// A file with some of its bytes overwritten, cut out or doubled.
fn spoilt() -> impl Strategy<Value = Vec<u8>> {
    let slips = vec((any::<prop::sample::Index>(), 0..4_u8, any::<u8>()), 1..8);
    (prop::sample::select(good_files()), slips).prop_map(|(file, slips)| {
        let mut bytes = file.into_bytes();
        for (index, slip, byte) in slips {
            let at = index.index(bytes.len());
            match slip {
                0 => bytes[at] = byte,
                1 => bytes.truncate(at.max(1)),
                2 => bytes[at] = b"0123456789-.,e\"\n;[]{}"[usize::from(byte) % 21],
                _ => bytes.insert(at, bytes[at]),
            }
        }
        bytes
    })
}

proptest! {
    #![proptest_config(seeded(3000))]

    #[test]
    fn no_bytes_make_it_panic(bytes in vec(any::<u8>(), 0..300)) {
        let _ = world().read(&bytes);
    }

    #[test]
    fn no_spoilt_file_makes_it_panic(bytes in spoilt()) {
        if let Err(problems) = world().read(&bytes) {
            prop_assert!(!problems.problems.is_empty());
        }
    }

    #[test]
    fn no_ring_of_few_positions_makes_it_panic(ring in vec((-3..3_i8, -3..3_i8), 0..9)) {
        let mut ring: Vec<[f64; 2]> = ring.iter().map(|&(x, y)| [x.into(), y.into()]).collect();
        ring.extend(ring.first().copied());
        let text = serde_json::json!({ "type": "FeatureCollection", "by": "Ada", "features": [{
            "type": "Feature",
            "properties": { "kind": "zone", "name": "z", "site": "shore", "date": "2027-01-05" },
            "geometry": { "type": "Polygon", "coordinates": [ring] },
        }] });
        let _ = world().read(text.to_string());
    }
}

#[test]
fn untouched_templates_add_nothing_and_say_so() {
    let templates = templates();
    assert_eq!(templates.len(), SHEETS.len() + 1);
    for template in templates {
        let intake = world().read(&template.text).unwrap_or_else(|problems| panic!("{problems}"));
        assert!(intake.entries.is_empty());
        assert_eq!(intake.remarks.len(), 1, "{}", template.file);
    }
}

#[test]
fn the_example_rows_of_the_templates_can_be_loaded() {
    for template in templates().iter().filter(|template| template.file.ends_with(".csv")) {
        let mut lines = template.text.lines().skip_while(|line| !line.contains("may look like"));
        let row = lines.nth(1).and_then(|line| line.strip_prefix("# ")).unwrap();
        let row = format!("{row}\n");
        // A survey needs a second quadrat.
        let rows = if template.file == "surveys.csv" { row.repeat(2) } else { row };
        let read = world().read(format!("{}{rows}", template.text));
        assert_eq!(read.unwrap_or_else(|told| panic!("{told}")).entries.len(), 1);
    }
    let places = &templates()[0];
    let mut collection: serde_json::Value = serde_json::from_str(&places.text).unwrap();
    collection["features"] = collection["example_features"].take();
    let read = world().read(collection.to_string()).unwrap_or_else(|told| panic!("{told}"));
    assert_eq!(read.entries.len(), FEATURES.len());
}
