//! Answers about some sites, or for a walk, are the same from what is read for them alone as from
//! the whole book.

use geo::{MultiPolygon, Point, Rect};
use jiff::civil::Date;
use proptest::prelude::*;
use stintbook::assess::season_report::{Background, Span, season_report};
use stintbook::assess::{
    Asker, BoxOrder, Outing, Prepared, advise_beside, brief, crops_for, guessed, plan_boxes,
    plan_outing, prepare, prepare_for, season_of,
};
use stintbook::book::Scope;
use stintbook::catalogue::Catalogue;
use stintbook::records::{
    Basis, Cut, Footprint, Hold, Ledger, Party, Patch, Permission, Purpose, Record, Site, SiteName,
    Taken, Walk, WalkName, Want,
};
use stintbook::report::{
    box_plan_json, pressure_csv, season_document, survey_advice_json, walk_plan_json,
    walk_split_json,
};
use stintbook::units::{Amount, Metres, Season};

use crate::merge::merge;
use crate::trial::{Trial, cut, day, fact, glance, patch_name, site_name, survey};

const SITES: [&str; 3] = ["wood", "shore", "heath"];
const CROPS: [&str; 3] = ["nettle-tops", "ramsons-leaf", "velvet-shank"];
const EYES: [&str; 3] = ["first eyes", "second eyes", "third eyes"];
const PATCHES: usize = 15;
/// In the middle of March, when all three may be cut.
const LAST: i32 = 75;

fn site_of(n: usize) -> &'static str {
    SITES[n % SITES.len()]
}

fn named(n: usize) -> String {
    format!("{}/patch {n}", site_of(n))
}

fn site(name: &str, lon: f64) -> Record {
    let boundary = Rect::new((lon, 45.0), (lon + 0.02, 45.02)).to_polygon();
    Record::Site(Site {
        name: site_name(name),
        boundary: MultiPolygon(vec![boundary]),
        occupier: None,
        protected: None,
        cautions: None,
    })
}

fn permission(site: &str, cap: Option<f64>) -> Record {
    Record::Permission(Permission {
        site: site_name(site),
        basis: Basis::Written,
        purposes: Some("own use; walk; sale".parse().unwrap()),
        from: day(-400),
        to: None,
        crops: Vec::new(),
        methods: Vec::new(),
        cap_per_visit: cap.map(Amount::grams),
        cap_per_season: None,
        largest_party: None,
        ask_first: false,
        lifts_code_cap: false,
        note: None,
    })
}

fn patch(n: usize) -> Record {
    let site = n % SITES.len();
    let centre =
        Point::new(-20.0 + 0.1 * site as f64 + 0.001 * (n + 1) as f64, 45.0 + 0.001 * n as f64);
    Record::Patch(Patch {
        name: patch_name(&named(n)),
        crop: CROPS[n / SITES.len() % CROPS.len()].into(),
        footprint: Footprint::Disc { centre, radius: Metres(6.0) },
        underfoot: None,
        note: None,
    })
}

fn walk(name: &str, sites: &[usize], grams: f64) -> Record {
    let mut sites = sites.iter().map(|&n| site_name(SITES[n]));
    let site = sites.next().unwrap();
    Record::Walk(Walk {
        name: WalkName::new(name).unwrap(),
        day: day(LAST),
        site,
        other_sites: sites.collect(),
        parties: vec![Party { adults: 3, children: 1, stated_weight: None }],
        wants: vec![format!("nettle-tops={grams}g").parse().unwrap()],
        stated_purpose: None,
        seed: 7,
    })
}

fn hold(n: usize, walk: &str, grams: f64) -> Record {
    Record::Hold(Hold {
        patch: patch_name(&named(n)),
        walk: WalkName::new(walk).unwrap(),
        day: day(LAST),
        amount: Amount::grams(grams),
        taken: Taken::ByWeight,
        people: Some(4),
    })
}

/// What happened: of which kind, on which patch, on which day, by whose eyes, how much.
type Deed = (u8, usize, i32, usize, f64);

fn deeds() -> impl Strategy<Value = Vec<Deed>> {
    let deed = (0..6_u8, 0..PATCHES, 1..LAST, 0..EYES.len(), 20.0..900.0);
    proptest::collection::vec(deed, 30..60)
}

fn told(deeds: &[Deed], cap: Option<f64>) -> Trial {
    let mut trial = Trial::new();
    for (n, name) in SITES.into_iter().enumerate() {
        trial.record(-500, site(name, -20.0 + 0.1 * n as f64));
        trial.record(-400, permission(name, cap.filter(|_| n == 1)));
    }
    for n in 0..PATCHES {
        trial.record(-400, patch(n));
    }
    trial.record(1, walk("spring walk", &[0], 400.0));
    trial.record(1, walk("Shore walk", &[1, 2], 900.0));
    for &(kind, n, on, eyes, amount) in deeds {
        let name = named(n);
        let record = match kind {
            0 | 1 => survey(&name, &[amount / 9.0, 30.0, amount / 5.0, 25.0]),
            2 | 3 => glance(&name, 20.0 * amount),
            4 => cut(&name, amount),
            _ => hold(n, ["spring walk", "Shore walk"][n % 2], amount / 9.0),
        };
        let mut new = fact(trial.new_id(), day(on), record);
        new.fact.by = EYES[eyes].into();
        trial.book.append(&[new], &[]).unwrap();
        // Who glances where others survey can be checked there.
        if kind == 1 {
            let mut new = fact(trial.new_id(), day(on), glance(&name, 15.0 * amount));
            new.fact.by = EYES[eyes].into();
            trial.book.append(&[new], &[]).unwrap();
        }
    }
    trial
}

fn asker(walk: Option<&WalkName>) -> Asker<'_> {
    Asker { today: day(LAST), walk }
}

/// What a ledger says of outings to those sites, of their season and their boxes. Where a survey
/// gains most rests on the patches of other sites too.
fn of_sites(ledger: &Ledger, sites: &[SiteName]) -> Vec<String> {
    let catalogue = Catalogue::built_in();
    let mut answers = Vec::new();
    for wants in ["", "nettle-tops=2kg,green leaf=500g", "ramsons-leaf=300g"] {
        let wants = wants.split(',').filter(|want| !want.is_empty());
        let outing = Outing {
            day: day(LAST),
            people: 2,
            purpose: Purpose::Walk,
            sites: sites.to_vec(),
            wants: wants.map(|want| want.parse().unwrap()).collect(),
            left_out: Vec::new(),
            start: None,
            within: None,
            route: None,
        };
        let prepared = prepare_for(ledger, catalogue, outing.day, asker(None)).unwrap();
        answers.push(walk_plan_json(&plan_outing(&outing, &prepared, catalogue).unwrap()));
    }
    let prepared = prepare(ledger, catalogue, day(LAST)).unwrap();
    let here =
        |patch: &stintbook::assess::Prepared| sites.contains(patch.facts.patch.record.name.site());
    let season = Season::containing(day(LAST));
    let of_patch = prepared.iter().filter(|patch| here(patch));
    let seasons: Vec<_> = of_patch.map(|patch| season_of(patch, season, day(LAST))).collect();
    answers.push(pressure_csv(&seasons).unwrap());
    let order = BoxOrder {
        month: Date::constant(2027, 3, 1),
        count: 3,
        each: vec!["nettle-tops=200g".parse().unwrap()],
        sites: sites.to_vec(),
        people: 2,
        without: Vec::new(),
        named: Vec::new(),
        name: WalkName::new("boxes").unwrap(),
        seed: 1,
    };
    answers.push(box_plan_json(&plan_boxes(&order, ledger, catalogue, day(50)).unwrap()));
    answers
}

/// What outings for something that is wanted come to, wherever it grows.
fn of_wants(ledger: &Ledger, wants: &[Want]) -> String {
    let catalogue = Catalogue::built_in();
    let outing = Outing {
        day: day(LAST),
        people: 2,
        purpose: Purpose::Walk,
        sites: Vec::new(),
        wants: wants.to_vec(),
        left_out: Vec::new(),
        start: None,
        within: None,
        route: None,
    };
    let prepared = prepare_for(ledger, catalogue, outing.day, asker(None)).unwrap();
    walk_plan_json(&plan_outing(&outing, &prepared, catalogue).unwrap())
}

/// Which patches of the site to survey, and its season's report.
fn told_of_site(
    site: &SiteName,
    ledger: &Ledger,
    peers: &[Prepared],
    walks: &Ledger,
) -> (String, String) {
    let prepared = prepare(ledger, Catalogue::built_in(), day(LAST)).unwrap();
    let here = |patch: &Prepared| patch.facts.patch.record.name.site() == site;
    let advice = advise_beside(peers, &prepared, here, day(LAST), 0.2);
    let span = Span::new(Season::containing(day(LAST)), day(LAST)).unwrap();
    let walks = walks.walks().collect();
    let background = Background::of_site(&prepared, peers, walks, &[], span);
    let facts = ledger.sites.iter().find(|facts| facts.site.record.name == *site).unwrap();
    let report = season_report(facts, &background);
    (survey_advice_json(&advice), season_document(&report).unwrap().html())
}

/// What a ledger says of a recorded walk.
fn of_walk(ledger: &Ledger, name: &str) -> Vec<String> {
    let catalogue = Catalogue::built_in();
    let walk = ledger.walks().find(|walk| walk.record.name.as_str() == name).unwrap();
    let asker = asker(Some(&walk.record.name));
    let prepared = prepare_for(ledger, catalogue, walk.record.day, asker).unwrap();
    let briefing = brief(walk, &prepared, catalogue, None).unwrap();
    let plan = plan_outing(&Outing::of(&walk.record), &prepared, catalogue).unwrap();
    let holds = ledger.holds_of(&walk.record.name).len();
    vec![walk_split_json(&briefing), walk_plan_json(&plan), holds.to_string()]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(6))]

    #[test]
    fn an_answer_is_the_same_from_its_own_sites_as_from_the_whole_book(
        deeds in deeds(),
        cap in proptest::option::of(100.0..2000.0),
    ) {
        let trial = told(&deeds, cap);
        let whole = trial.book.ledger(&Scope::All, None).unwrap();
        for sites in [&SITES[..1], &SITES[1..], &SITES[..]] {
            let sites: Vec<SiteName> = sites.iter().map(|name| site_name(name)).collect();
            let part = trial.book.ledger(&Scope::Sites(sites.clone()), None).unwrap();
            let (part, all) = (of_sites(&part, &sites), of_sites(&whole, &sites));
            prop_assert_eq!(part, all);
            if let [one] = sites.as_slice() {
                let part = trial.book.ledger(&Scope::Site(one.clone()), None).unwrap();
                prop_assert_eq!(of_sites(&part, &sites), of_sites(&whole, &sites));
            }
        }
        for wants in ["nettle-tops=2kg", "green leaf=90kg", "velvet-shank=90kg; nettle-tops=50g"] {
            let wants: Vec<Want> = wants.split("; ").map(|want| want.parse().unwrap()).collect();
            let crops = crops_for(&wants, Catalogue::built_in());
            let part = trial.book.ledger(&Scope::Crops(crops), None).unwrap();
            prop_assert_eq!(of_wants(&part, &wants), of_wants(&whole, &wants));
        }
        let all = prepare(&whole, Catalogue::built_in(), day(LAST)).unwrap();
        let walks = trial.book.walks(None).unwrap();
        for site in SITES.map(site_name) {
            let part = trial.book.ledger(&Scope::Site(site.clone()), None).unwrap();
            let own = prepare(&part, Catalogue::built_in(), day(LAST)).unwrap();
            let here = |patch: &Prepared| *patch.facts.patch.record.name.site() == site;
            let crops = Scope::Crops(guessed(&own, here, day(LAST)));
            let peers = trial.book.ledger(&crops, None).unwrap();
            let peers = prepare(&peers, Catalogue::built_in(), day(LAST)).unwrap();
            let part = told_of_site(&site, &part, &peers, &walks);
            prop_assert_eq!(part, told_of_site(&site, &whole, &all, &whole));
        }
        for (asked, name) in [("SPRING walk", "spring walk"), ("shore walk", "Shore walk")] {
            let part = trial.book.ledger(&Scope::Walk(asked.into()), None).unwrap();
            prop_assert_eq!(of_walk(&part, name), of_walk(&whole, name));
            let walks = trial.book.ledger(&Scope::Walks, None).unwrap();
            prop_assert_eq!(of_walk(&walks, name), of_walk(&whole, name));
        }
    }
}

#[test]
fn what_is_read_for_a_crop_is_its_patches_alone() {
    let trial = told(&[(5, 0, 3, 0, 90.0)], None);
    let crops = Scope::Crops(["nettle-tops".into()].into());
    let ledger = trial.book.ledger(&crops, None).unwrap();
    let crops: Vec<_> = ledger.patches().map(|(_, facts)| &*facts.patch.record.crop).collect();
    assert_eq!(crops, ["nettle-tops"; 6]);
}

#[test]
fn what_is_read_for_a_walk_is_less_than_the_whole_book() {
    let trial = told(&[(5, 0, 3, 0, 90.0)], None);
    let sites = |scope: &Scope| -> Vec<String> {
        let ledger = trial.book.ledger(scope, None).unwrap();
        ledger.sites.iter().map(|site| site.site.record.name.to_string()).collect()
    };
    assert_eq!(sites(&Scope::Walk("spring walk".into())), ["wood"]);
    assert_eq!(sites(&Scope::Walk("Shore Walk".into())), ["heath", "shore"]);
    assert_eq!(sites(&Scope::Sites(vec![site_name("heath")])), ["heath"]);
    assert!(trial.book.ledger(&Scope::Walk("autumn walk".into()), None).is_err());
}

/// A walk whose sites were corrected may still have something set aside elsewhere.
#[test]
fn what_is_set_aside_on_another_site_comes_with_the_walk() {
    let trial = told(&[(5, 1, 3, 0, 90.0), (5, 4, 3, 0, 500.0)], None);
    let walk = Scope::Walk("spring walk".into());
    let part = trial.book.ledger(&walk, None).unwrap();
    let whole = trial.book.ledger(&Scope::All, None).unwrap();
    assert_eq!(of_walk(&part, "spring walk"), of_walk(&whole, "spring walk"));
    let holds = whole.holds_of(&WalkName::new("spring walk").unwrap()).len();
    assert_eq!(part.holds_of(&WalkName::new("spring walk").unwrap()).len(), holds);
    let sites: Vec<_> = part.sites.iter().map(|site| site.site.record.name.as_str()).collect();
    assert_eq!((holds, sites), (1, vec!["shore", "wood"]));
}

/// A settlement may tell of a patch off the walk, and frees what was set aside.
#[test]
fn what_was_cut_on_a_walk_comes_with_it_wherever_that_was() {
    let mut trial = told(&[(5, 4, 3, 0, 90.0)], None);
    let walk = WalkName::new("spring walk").unwrap();
    let Record::Cut(cut) = cut(&named(2), 70.0) else { panic!("no cut") };
    trial.record(LAST, Record::Cut(Cut { walk: Some(walk.clone()), ..cut }));
    let hold = trial.book.ledger(&Scope::All, None).unwrap().holds_of(&walk)[0].id;
    trial.withdraw(LAST, hold).unwrap();
    for scope in [Scope::Walk("SPRING walk".into()), Scope::Walks] {
        let part = trial.book.ledger(&scope, None).unwrap();
        assert_eq!(part.cuts_of(&walk).len(), 1, "{scope:?}");
        let sites: Vec<_> = part.sites.iter().map(|site| site.site.record.name.as_str()).collect();
        // Of the wood it is, in the heath it cut, and on the shore something was set aside.
        assert_eq!(sites, ["heath", "shore", "wood"], "{scope:?}");
    }
}

#[test]
fn all_walks_of_a_book_without_any_read_none_of_its_sites() {
    let trial = Trial::with_two_patches();
    assert!(trial.book.ledger(&Scope::Walks, None).unwrap().sites.is_empty());
}

/// Each of two leaders set down the same site and patch before their books met.
#[test]
fn ground_that_two_leaders_drew_is_contested_from_its_own_site_too() {
    let mut trial = told(&[], None);
    let mut other = Trial::new();
    other.count_ids_from(5_000);
    other.record(-450, site("wood", -20.0));
    other.record(-450, patch(0));
    merge(&mut trial.book, &other.book);
    let contested = |scope: Scope| {
        let ledger = trial.book.ledger(&scope, None).unwrap();
        let prepared = prepare(&ledger, Catalogue::built_in(), day(LAST)).unwrap();
        let asked = prepared.iter().find(|p| p.facts.patch.record.name == patch_name(&named(0)));
        asked.unwrap().contested.clone()
    };
    let whole = contested(Scope::All);
    assert!(whole.is_some());
    assert_eq!(contested(Scope::Site(site_name("wood"))), whole);
    assert_eq!(contested(Scope::Sites(vec![site_name("wood")])), whole);
    assert_eq!(contested(Scope::Patch(patch_name(&named(0)))), whole);
}
