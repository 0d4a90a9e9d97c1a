use stintbook::book::{Decision, Moment, Refusal, Scope};
use stintbook::records::{
    Closure, CropField, CropOverride, FactId, Ledger, Permission, Record, Zone,
};
use stintbook::units::Metres;

use crate::trial::{
    Trial, cut, day, fact, glance, patch, patch_name, refusal, site, site_at, site_name, survey,
};

/// Three sites; `first eyes` and `second eyes` glance, here and there.
fn three_sites() -> Trial {
    let mut trial = Trial::with_two_patches();
    trial.record(0, patch("wood/glade", "sorrel-leaf"));
    for (name, lon) in [("shore", -10.0), ("heath", 0.0)] {
        trial.record(0, site_at(name, lon));
        trial.record(0, patch(&format!("{name}/one"), "nettle-shoot"));
        trial.record(0, patch(&format!("{name}/two"), "nettle-shoot"));
        trial.record(0, patch(&format!("{name}/three"), "sorrel-leaf"));
    }
    glance_by(&mut trial, "first eyes", 5, "wood/bank");
    trial
}

fn glance_by(trial: &mut Trial, by: &str, on: i32, patch: &str) -> FactId {
    let mut new = fact(trial.new_id(), day(on), glance(patch, 1000.0));
    new.fact.by = by.into();
    trial.book.append(std::slice::from_ref(&new), &[]).unwrap();
    new.fact.id
}

fn patches(ledger: &Ledger) -> Vec<String> {
    ledger.patches().map(|(_, facts)| facts.patch.record.name.to_string()).collect()
}

fn of_bank(trial: &Trial, known_on: Option<i32>) -> Vec<String> {
    let scope = Scope::Patch(patch_name("wood/bank"));
    patches(&trial.book.ledger(&scope, known_on.map(day)).unwrap())
}

#[test]
fn a_patch_comes_with_those_of_its_site_and_crop() {
    let trial = three_sites();
    assert_eq!(of_bank(&trial, None), ["wood/bank", "wood/ride"]);
}

#[test]
fn a_patch_comes_with_those_of_its_crop_on_sites_whose_ground_may_be_its_own() {
    let mut trial = three_sites();
    trial.record(1, site_at("coppice", -19.999));
    trial.record(1, patch("coppice/stool", "nettle-shoot"));
    trial.record(1, patch("coppice/edge", "sorrel-leaf"));
    assert_eq!(of_bank(&trial, None), ["coppice/stool", "wood/bank", "wood/ride"]);
    assert_eq!(of_bank(&trial, Some(0)), ["wood/bank", "wood/ride"]);
}

#[test]
fn a_patch_comes_with_those_where_the_same_eyes_were_checked_by_a_survey() {
    let mut trial = three_sites();
    let checked = glance_by(&mut trial, "first eyes", 3, "shore/one");
    trial.record(3, survey("shore/one", &[1.0]));
    glance_by(&mut trial, "first eyes", 3, "shore/two");
    trial.record(4, survey("shore/two", &[1.0])); // another day
    glance_by(&mut trial, "second eyes", 3, "heath/one");
    trial.record(3, survey("heath/one", &[1.0])); // other eyes
    glance_by(&mut trial, "first eyes", 3, "heath/three");
    trial.record(3, survey("heath/three", &[1.0])); // another crop
    trial.record(3, cut("shore/one", 40.0));

    assert_eq!(of_bank(&trial, None), ["shore/one", "wood/bank", "wood/ride"]);
    assert_eq!(of_bank(&trial, Some(5)), ["shore/one", "wood/bank", "wood/ride"]);
    // Nobody had glanced at the bank by then.
    assert_eq!(of_bank(&trial, Some(4)), ["wood/bank", "wood/ride"]);
    trial.withdraw(6, checked).unwrap();
    assert_eq!(of_bank(&trial, None), ["wood/bank", "wood/ride"]);
    assert_eq!(of_bank(&trial, Some(5)), ["shore/one", "wood/bank", "wood/ride"]);
}

#[test]
fn the_patches_of_a_part_are_as_they_are_in_the_whole() {
    let mut trial = three_sites();
    glance_by(&mut trial, "first eyes", 3, "shore/one");
    for name in ["wood/bank", "wood/ride", "shore/one", "shore/three"] {
        trial.record(3, survey(name, &[1.0, 4.0, 2.5]));
        trial.record(2, cut(name, 40.0));
        trial.record(1, cut(name, 30.0));
    }
    for record in terms("shore", Some("one")).into_iter().chain(terms("wood", Some("bank"))) {
        trial.record(1, record);
    }
    for record in terms("wood", None) {
        trial.record(2, record);
    }
    let whole = trial.book.ledger(&Scope::All, None).unwrap();
    let scopes = [Scope::Patch(patch_name("wood/bank")), Scope::Site(site_name("wood"))];
    for (scope, size) in scopes.into_iter().zip([3, 4]) {
        let part = trial.book.ledger(&scope, None).unwrap();
        assert_eq!(patches(&part).len(), size, "{scope:?}");
        for site in &part.sites {
            let same = |other: &&stintbook::records::SiteFacts| other.site == site.site;
            let full = whole.sites.iter().find(same).unwrap();
            assert_eq!(
                (&site.zones, &site.permissions, &site.closures, &site.overrides),
                (&full.zones, &full.permissions, &full.closures, &full.overrides)
            );
            assert!(!site.overrides.is_empty());
            assert!(site.patches.iter().all(|facts| full.patches.contains(facts)));
        }
    }
}

fn terms(site: &str, patch: Option<&str>) -> Vec<Record> {
    let mut terms = vec![
        Record::Closure(Closure {
            site: site_name(site),
            patch: patch.map(Into::into),
            from: day(9),
            to: None,
            reason: "nesting".into(),
        }),
        Record::Override(CropOverride {
            site: site_name(site),
            patch: patch.map(Into::into),
            crop: "nettle-shoot".into(),
            field: CropField::Reserve,
            value: "0.4".into(),
            source: "the keeper".into(),
        }),
    ];
    if patch.is_none() {
        terms.push(Record::Zone(Zone {
            site: site_name(site),
            name: "path".into(),
            shape: geo::Geometry::Point(geo::Point::new(0.0, 0.0)),
            buffer: Metres(2.0),
            reason: None,
        }));
        terms.push(Record::Permission(Permission {
            site: site_name(site),
            basis: stintbook::records::Basis::Custom,
            purposes: None,
            from: day(0),
            to: None,
            crops: Vec::new(),
            methods: Vec::new(),
            cap_per_visit: None,
            cap_per_season: None,
            largest_party: None,
            ask_first: true,
            lifts_code_cap: false,
            note: None,
        }));
    }
    terms
}

#[test]
fn a_place_that_was_not_known_by_the_name_is_refused() {
    let trial = three_sites();
    let nowhere = trial.book.ledger(&Scope::Patch(patch_name("wood/nowhere")), None);
    assert_eq!(refusal(nowhere).to_string(), "no patch is called `wood/nowhere`");
    let too_early = trial.book.ledger(&Scope::Site(site_name("wood")), Some(day(-1)));
    assert!(matches!(refusal(too_early), Refusal::NotFound(_)));
}

#[test]
fn facts_come_sorted_by_day_and_places_by_name() {
    let mut trial = three_sites();
    for on in [7, 2, 9, 4] {
        trial.record(on, cut("wood/bank", f64::from(on)));
    }
    assert_eq!(trial.cuts_of("wood/bank", None), [2.0, 4.0, 7.0, 9.0]);
    let ledger = trial.book.ledger(&Scope::All, None).unwrap();
    assert!(patches(&ledger).is_sorted());
    assert_eq!(patches(&ledger).len(), 9);
}

#[test]
fn names_are_alike_in_either_case_beyond_ascii_too() {
    let mut trial = Trial::new();
    trial.record(0, site_at("Höhe", 0.0));
    trial.record(0, patch("Höhe/Äsche", "nettle-shoot"));
    for scope in [Scope::Site(site_name("HÖHE")), Scope::Patch(patch_name("höhe/äsche"))] {
        assert_eq!(patches(&trial.book.ledger(&scope, None).unwrap()), ["Höhe/Äsche"]);
    }
}

#[test]
fn patches_are_found_as_people_call_them() {
    let trial = three_sites();
    let glade = trial.book.patch("glade").unwrap();
    assert_eq!(glade.name, patch_name("wood/glade"));
    assert_eq!(trial.book.patch("Wood/GLADE").unwrap().id, glade.id);
    assert_eq!(trial.book.patch(&glade.id.unwrap().short()).unwrap().name, glade.name);
    assert_eq!(
        refusal(trial.book.patch("glaed")).to_string(),
        "no patch is called `glaed`; did you mean `glade`?"
    );
    assert!(matches!(refusal(trial.book.patch("one")), Refusal::NotFound(_)));
    let directory = trial.book.directory().unwrap();
    assert_eq!((directory.sites.len(), directory.patches.len()), (3, 9));
}

/// Another's patches may lie on the ground of a site, and the boxes that tell are kept meanwhile.
#[test]
fn a_site_that_is_recorded_in_the_midst_of_a_decision_is_a_neighbour_from_then_on() {
    let mut trial = Trial::with_two_patches();
    let heath: Vec<_> = [site("heath"), patch("heath/bank", "nettle-shoot")]
        .map(|record| fact(trial.new_id(), day(1), record))
        .into();
    let around =
        |moment: &Moment| patches(&moment.ledger(&Scope::Patch(patch_name("wood/bank"))).unwrap());
    let found = trial.book.decide(|moment| {
        let before = around(moment);
        moment.record(&heath, &[]).unwrap();
        Err::<Decision<()>, _>((before, around(moment)))
    });
    let (before, since) = found.unwrap().unwrap_err();
    assert_eq!(before, ["wood/bank", "wood/ride"]);
    assert_eq!(since, ["heath/bank", "wood/bank", "wood/ride"]);
}
