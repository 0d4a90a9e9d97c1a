//! The walk sheet, made of walks told by hand.

#![allow(clippy::unwrap_used, reason = "a failed unwrap fails the test")]

use geo::Point;
use jiff::civil::{Date, date};
use stintbook::assess::{Briefing, Lack, PartyStint, Stop, StopShare};
use stintbook::ground::centre;
use stintbook::records::{Closure, Ledger, LookAlikeGrade, Party, Purpose};
use stintbook::report::{WalkSheet, walk_sheet};
use stintbook::rules::Reason;
use stintbook::units::{Amount, Metres};

mod holding;
use holding::{Holding, crop, ledger};

const DAY: Date = date(2027, 3, 20);
const MADE: Date = date(2027, 3, 15);

/// A wood with a hedge of nettles, and a shore.
fn ground() -> Ledger {
    let wood = Holding::new("North wood")
        .patch("gate bank", "ramsons-leaf")
        .patch("lane", "nettle-tops")
        .permitted(|leave| {
            leave.ask_first = true;
            leave.largest_party = Some(12);
            leave.to = Some(date(2027, 8, 31));
            leave.cap_per_visit = Some(Amount::grams(3000.0));
        });
    let shore = Holding::new("Shore").patch("creek", "sea-purslane-leaf");
    ledger([wood, shore])
}

/// One stop for each patch of the ledger, 650 g each, in the order of the ledger.
fn stops(ledger: &Ledger) -> Vec<Stop> {
    let patches = ledger.patches().map(|(_, facts)| &facts.patch.record);
    patches
        .map(|patch| Stop {
            patch: patch.name.clone(),
            crop: crop(&patch.crop),
            centre: centre(&patch.footprint),
            quota: 650.0,
            one_in: Some(12),
            why: Reason::Spent,
            found_growing: vec![],
            people_at_once: 15,
            stays_standing: 0.0,
        })
        .collect()
}

fn stint(number: u32, party: &str, shares: &[(usize, u32, f64)]) -> PartyStint {
    let shares = shares.iter().map(|&(stop, turn, amount)| StopShare { stop, turn, amount });
    PartyStint { number, party: party.parse().unwrap(), shares: shares.collect() }
}

fn briefing(stops: Vec<Stop>, parties: Vec<PartyStint>) -> Briefing {
    let mut sites: Vec<_> = stops.iter().map(|stop| stop.patch.site().clone()).collect();
    sites.dedup();
    Briefing {
        walk: "spring walk".parse().unwrap(),
        day: DAY,
        leader: "Ottoline".into(),
        sites,
        purpose: Purpose::Walk,
        start: None,
        stops,
        length: Metres(1240.0),
        parties,
        seed: 7,
        is_held: true,
        short: vec![],
    }
}

fn two_parties() -> Vec<PartyStint> {
    vec![
        stint(1, "2+1", &[(0, 1, 120.0), (1, 2, 90.0)]),
        stint(2, "2", &[(1, 1, 80.0), (0, 2, 80.0)]),
    ]
}

fn sheet(briefing: &Briefing, ledger: &Ledger) -> String {
    walk_sheet(&WalkSheet { briefing, ledger, made_on: MADE })
}

fn usual() -> String {
    let ledger = ground();
    sheet(&briefing(stops(&ledger), two_parties()), &ledger)
}

/// The text of a page without its tags and styles.
fn words(page: &str) -> String {
    let mut page = page.to_owned();
    while let (Some(from), Some(to)) = (page.find("<style>"), page.find("</style>")) {
        page.replace_range(from..to + "</style>".len(), "");
    }
    let parts = page.split('<').filter_map(|part| part.split_once('>')).map(|(_, text)| text);
    let text = parts.collect::<Vec<_>>().join(" ");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What stands between one heading of the second rank and the next.
fn part<'a>(page: &'a str, id: &str) -> &'a str {
    let after = page.split(&format!("<section id=\"{id}\"")).nth(1).unwrap();
    after.split("</section>").next().unwrap()
}

#[test]
fn a_limit_is_said_in_units_that_people_can_use() {
    let ledger = ground();
    let stop = |quota, one_in| {
        let mut stops = stops(&ledger);
        stops[0] = Stop { quota, one_in, ..stops[0].clone() };
        stops
    };
    let cases = [
        (Some(12), vec![stint(1, "2", &[(0, 1, 80.0)])], "1 leaf in 12 650 g in all 40 g each"),
        (None, two_parties(), "by weight 650 g in all 40 g each"),
        (
            Some(1),
            vec![stint(1, "1", &[(0, 1, 60.0)]), stint(2, "2", &[(0, 1, 60.0)])],
            "650 g in all 60 g a party",
        ),
        (
            Some(20),
            vec![stint(1, "1", &[(0, 1, 60.0)]), stint(2, "2", &[(0, 1, 90.0)])],
            "1 leaf in 20 650 g in all 60 g to 90 g a party",
        ),
        (Some(12), vec![], "1 leaf in 12 650 g in all"),
    ];
    for (one_in, parties, expected) in cases {
        let page = sheet(&briefing(stop(650.0, one_in), parties), &ledger);
        let stops = words(part(&page, "stops"));
        let said = format!("gate bank Ramsons (wild garlic), leaf {expected} ");
        assert!(stops.contains(&said), "no `{said}` in: {stops}");
    }
}

#[test]
fn pieces_are_counted_by_their_name_and_never_in_parts_of_one() {
    let ledger = ledger([Holding::new("Common").patch("elder", "elder-flower")]);
    let parties = vec![stint(1, "3", &[(0, 1, 2.0)]), stint(2, "2", &[(0, 1, 2.0)])];
    let stop = Stop { quota: 5.0, one_in: Some(9), ..stops(&ledger).remove(0) };
    let page = sheet(&briefing(vec![stop], parties), &ledger);
    let text = words(part(&page, "stops"));
    assert!(text.contains("1 head in 9 5 heads in all 2 heads a party"), "{text}");
}

/// A leader reads from the top: what may be cut, what to watch for, and only then what is written.
#[test]
fn amounts_and_dangers_come_first_and_blanks_last() {
    let page = usual();
    let at = |needle: &str| page.find(needle).unwrap_or_else(|| panic!("no `{needle}`"));
    let sections =
        ["stops", "before", "crops", "way", "parties", "care", "emergency", "afterwards"];
    let places = sections.map(|id| at(&format!("<section id=\"{id}\"")));
    assert!(places.is_sorted(), "{places:?}");
    let amounts = words(part(&page, "stops"));
    let first = "1 gate bank: 1 leaf in 12, 650 g in all";
    assert!(amounts.find(first).unwrap() < amounts.find("Held.").unwrap(), "{amounts}");
    assert!(at("class=\"line\"") > places[1], "a blank comes before what to watch for");
}

/// The order and form of RFC 5870: latitude first, decimal degrees of WGS84.
#[test]
fn each_stop_has_a_link_that_a_phone_opens_in_its_map() {
    let ledger = ground();
    let mut all = stops(&ledger);
    all[0].centre = Some(Point::new(-12.34269, 53.0855));
    all[1].centre = Some(Point::new(f64::NAN, 53.0));
    let page = sheet(&briefing(all, two_parties()), &ledger);
    let way = part(&page, "way");
    assert!(way.contains("<a href=\"geo:53.08550,-12.34269\">53.08550, -12.34269</a>"), "{way}");
    assert!(!page.contains("NaN"));
}

#[test]
fn no_lettering_of_a_printed_sheet_is_under_seven_and_a_half_points() {
    let page = usual();
    let print = page.split("@media print").last().unwrap().split("</style>").next().unwrap();
    let sizes = print.split("font-size: ").skip(1).filter_map(|after| {
        after.split(';').next().unwrap().split_whitespace().next()?.strip_suffix("pt")?.parse().ok()
    });
    let sizes: Vec<f64> = sizes.collect();
    assert!(sizes.len() > 10 && sizes.iter().all(|size| *size >= 7.5), "{sizes:?}");
}

#[test]
fn nobody_is_named_on_the_page() {
    let page = usual();
    let text = words(&page);
    assert!(!page.contains("Ottoline"), "the leader is named");
    let who_wrote = text.split(|c: char| !c.is_alphanumeric()).any(|word| word == "Ana");
    assert!(!who_wrote, "who wrote a fact is named");
    assert!(text.contains("Party 1: 2 adults and 1 child"), "{text}");
    assert!(text.contains("1 child comes"), "{text}");
}

#[test]
fn the_parties_have_their_turns_and_starting_places() {
    let page = usual();
    let text = words(part(&page, "parties"));
    assert!(text.contains("Party 2: 2 adults names, by hand Starts at stop 2, lane."), "{text}");
    let stops = words(part(&page, "stops"));
    assert!(stops.contains("Turn 1: party 1 (3 people). Turn 2: party 2 (2 people)."), "{stops}");
}

#[test]
fn a_party_without_a_share_is_told_so() {
    let ledger = ground();
    let page = sheet(&briefing(stops(&ledger), vec![stint(1, "0+2", &[])]), &ledger);
    assert!(words(&page).contains("Has no share: this party cuts nothing"));
}

#[test]
fn whether_it_is_held_is_said_plainly_and_with_the_day() {
    let ledger = ground();
    let held = briefing(stops(&ledger), two_parties());
    let open = Briefing { is_held: false, ..held.clone() };
    let (held, open) = (words(&sheet(&held, &ledger)), words(&sheet(&open, &ledger)));
    assert!(held.contains("Held. The amounts below are set aside"), "{held}");
    assert!(open.contains("Not held. The amounts below are what would be allowed"), "{open}");
    for text in [held, open] {
        assert!(text.contains("20 Mar 2027") && text.contains("15 Mar 2027"), "{text}");
    }
}

#[test]
fn the_terms_of_leave_and_the_asking_are_on_the_page() {
    let text = words(part(&usual(), "before"));
    for said in [
        "In writing, until 31 Aug 2027, for ramsons (wild garlic), leaf; common nettle, tops.",
        "At most 12 people at once.",
        "Of each crop at most 3 kg a day.",
        "Ask the occupier before you go",
    ] {
        assert!(text.contains(said), "no `{said}` in: {text}");
    }
}

#[test]
fn missing_leave_and_too_large_a_party_stand_out() {
    let without = |page: String| words(part(&page, "before"));
    let mut ledger = ground();
    ledger.sites[0].permissions[0].record.largest_party = Some(4);
    ledger.sites[1].permissions.clear();
    let text = without(sheet(&briefing(stops(&ledger), two_parties()), &ledger));
    assert!(text.contains("▲ 4 people may come at once, and this walk has 5."), "{text}");
    assert!(text.contains("▲ No leave for walks is on record for that day."), "{text}");
}

#[test]
fn look_alikes_are_graded_in_words_the_gravest_first() {
    let page = usual();
    let crops = words(part(&page, "crops"));
    let mut found = 0;
    for name in ["ramsons-leaf", "nettle-tops", "sea-purslane-leaf"] {
        for look_alike in &crop(name).look_alikes {
            found += 1;
            assert!(crops.contains(&*look_alike.name), "{} is not named", look_alike.name);
            if look_alike.grade == LookAlikeGrade::Fatal {
                let plain = look_alike.name.split(" (").next().unwrap();
                assert!(words(part(&page, "before")).contains(plain), "{plain} is not up front");
                assert!(words(part(&page, "stops")).contains(plain), "{plain} is not at its stop");
            }
        }
    }
    assert!(found > 0);
    let (fatal, poisonous) = (crops.find("Fatal, it kills"), crops.find("Poisonous, it makes"));
    assert!(fatal.unwrap() < poisonous.unwrap_or(usize::MAX), "{crops}");
}

#[test]
fn care_suits_the_ground() {
    let lines = |crop: &str| {
        let ledger = ledger([Holding::new("Place").patch("patch", crop)]);
        words(part(&sheet(&briefing(stops(&ledger), two_parties()), &ledger), "care"))
    };
    let (shore, wood, fungi) =
        (lines("sea-purslane-leaf"), lines("ramsons-leaf"), lines("jelly-ear"));
    for said in ["high and low water", "slippery", "sewage", "biotoxins"] {
        assert!(shore.contains(said), "no `{said}` in: {shore}");
        assert!(!wood.contains(said), "`{said}` in: {wood}");
    }
    assert!(fungi.contains("One kind to a basket"), "{fungi}");
    assert!(!shore.contains("One kind to a basket"), "{shore}");
    for text in [shore, wood, fungi] {
        assert!(text.contains("The bull is in the lower field."), "{text}");
        assert!(text.contains("Dogs") && text.contains("Clean hands"), "{text}");
        assert!(text.contains("common practice"), "{text}");
    }
}

#[test]
fn the_tide_is_written_down_where_there_is_one() {
    let at = |crop: &str| {
        let ledger = ledger([Holding::new("Place").patch("patch", crop)]);
        words(&sheet(&briefing(stops(&ledger), vec![]), &ledger))
    };
    assert!(at("sea-purslane-leaf").contains("High water to be written by hand"));
    assert!(!at("ramsons-leaf").contains("High water"));
}

#[test]
fn the_start_has_its_grid_reference_where_there_is_a_grid() {
    let ledger = ground();
    let mut walk = briefing(stops(&ledger), vec![]);
    // The reference by a program of others: tests/fixtures/ground/grid.csv checks the function.
    walk.start = Some(Point::new(-19.99, 47.01));
    let text = words(&sheet(&walk, &ledger));
    let reference = stintbook::ground::grid_reference(walk.start.unwrap()).unwrap();
    let said = format!("Start {reference} (WGS84 grid), or 47.01000, -19.99000");
    assert!(text.contains(&said), "no `{said}` in: {text}");
    walk.start = Some(Point::new(10.0, 89.0));
    assert!(words(&sheet(&walk, &ledger)).contains("Start 89.00000, 10.00000"));
}

#[test]
fn ground_that_is_left_alone_is_listed_beside_the_map() {
    let mut ledger = ground();
    let facts = &mut ledger.sites[0];
    let site = facts.site.record.name.clone();
    let closure = |patch: Option<&str>, from, reason: &str| Closure {
        site: site.clone(),
        patch: patch.map(Into::into),
        from,
        to: Some(date(2027, 7, 31)),
        reason: reason.into(),
    };
    let template = facts.permissions[0].clone();
    for record in [
        closure(Some("heron bank"), date(2027, 3, 1), "nesting"),
        closure(None, date(2027, 4, 1), "lambing"),
    ] {
        facts.closures.push(stintbook::records::Fact {
            id: template.id,
            happened_on: DAY,
            recorded_on: DAY,
            by: "Ana".into(),
            file: None,
            record,
        });
    }
    let text = words(part(&sheet(&briefing(stops(&ledger), vec![]), &ledger), "way"));
    assert!(text.contains("heron bank is shut until 31 Jul 2027: nesting."), "{text}");
    assert!(!text.contains("lambing"), "a closure of another day: {text}");
}

#[test]
fn the_map_is_told_in_words_too() {
    let page = usual();
    let way = words(part(&page, "way"));
    assert!(
        way.contains("1, gate bank: Ramsons (wild garlic), leaf, 1 leaf in 12, 650 g in all"),
        "{way}"
    );
    assert!(part(&page, "way").contains("<li value=\"3\"><strong>creek</strong>"), "{way}");
}

#[test]
fn nothing_is_said_to_be_safe_to_eat() {
    let text = words(&usual()).to_lowercase();
    for claim in ["is safe", "are safe", "safely eat", "edible", "harmless to"] {
        for (at, _) in text.match_indices(claim) {
            let around = &text[at.saturating_sub(40)..at];
            assert!(around.contains("never a word"), "`{claim}` after `{around}`");
        }
    }
    assert!(text.contains("this tool does not identify plants"));
    assert!(text.contains("a competent person must identify every piece"));
    assert!(text.contains("local law and codes of practice come before"));
}

#[test]
fn the_page_fetches_and_runs_nothing_and_its_headings_are_in_order() {
    let page = usual();
    for foreign in ["<script", "<link", "src=", "@import", "url(http", " onclick"] {
        assert!(!page.contains(foreign), "{foreign}");
    }
    let ranks: Vec<u32> = page
        .match_indices("<h")
        .filter_map(|(at, _)| page[at + 2..].chars().next()?.to_digit(10))
        .collect();
    assert_eq!(ranks.iter().filter(|rank| **rank == 1).count(), 1);
    assert!(ranks.len() > 10, "{ranks:?}");
    for pair in ranks.windows(2) {
        assert!(pair[1] <= pair[0] + 1, "a rank is passed over: {ranks:?}");
    }
    let mut ids: Vec<&str> =
        page.split(" id=\"").skip(1).map(|rest| rest.split('"').next().unwrap()).collect();
    let all = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), all, "two things have one id");
}

#[test]
fn text_of_the_book_stays_text() {
    let mut ledger = ground();
    ledger.sites[0].site.record.cautions = Some("<script>alert(1)</script> & \"more\"".into());
    let mut walk = briefing(stops(&ledger), vec![]);
    walk.short =
        vec![Lack::AllShut(vec![Reason::ProtectedSite("only <b>half</b> of the sorrel".into())])];
    let page = sheet(&walk, &ledger);
    assert!(!page.contains("<script") && !page.contains("<b>half"), "{page}");
}

#[test]
fn an_empty_walk_and_unknown_ground_still_make_a_page() {
    let nothing = briefing(vec![], vec![]);
    assert!(words(&sheet(&nothing, &Ledger::default())).contains("There is nothing to cut"));
    let ledger = ground();
    let walk = briefing(stops(&ledger), two_parties());
    let mut odd = walk.clone();
    odd.parties.push(stint(3, "1", &[(99, 1, 10.0)]));
    odd.stops[0].quota = f64::NAN;
    odd.stops[0].centre = Some(Point::new(f64::NAN, 400.0));
    assert!(sheet(&odd, &Ledger::default()).contains("</html>"));
}

#[test]
fn the_same_walk_makes_the_same_bytes() {
    assert_eq!(usual(), usual());
}

#[test]
fn many_people_are_counted_without_overflow() {
    let ledger = ground();
    let crowd = Party { adults: u32::MAX, children: u32::MAX, stated_weight: None };
    let crowd = PartyStint { party: crowd, ..stint(1, "1", &[(0, 1, 10.0)]) };
    let page = sheet(&briefing(stops(&ledger), vec![crowd.clone(), crowd]), &ledger);
    assert!(page.contains("</html>"));
}
