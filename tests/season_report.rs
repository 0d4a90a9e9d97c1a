//! The season report for a site's owner: what it adds up, what it leaves out, how it is laid out.

#![allow(clippy::unwrap_used, reason = "a failed unwrap fails the test")]

mod holding;

use std::collections::BTreeSet;

use geo::{Geometry, Point};
use holding::{Holding, assessed, ledger};
use jiff::civil::{Date, date};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use stintbook::assess::prepare;
use stintbook::assess::season_report::{
    Background, FigureId, OfPatch, OfSite, Proposal, Righted, SeasonReport, Span, last_day_told,
    season_report,
};
use stintbook::catalogue::Catalogue;
use stintbook::records::*;
use stintbook::report::{season_document, season_geojson, season_patches_csv, season_visits_csv};
use stintbook::units::{Amount, Metres, Season};
use uuid::Uuid;

const TO: Date = date(2021, 5, 1);

fn season() -> Season {
    "2020/21".parse().unwrap()
}

/// Nettles surveyed on 1 March and cut on 15 March and on 20 April, the second time far over.
fn used_bank() -> Holding {
    Holding::new("Sandwick")
        .patch("Bank", "nettle-tops")
        .surveyed(date(2021, 3, 1), 120.0)
        .cut(date(2021, 3, 15), "900g", 4)
        .cut_as(date(2021, 4, 20), "9kg", None, Taken::All)
        .patch("Field", "nettle-tops")
}

/// Each fact under an id of its own, in the order of the ledger.
fn numbered(mut ledger: Ledger) -> Ledger {
    let mut last = 0;
    let mut next = move || {
        last += 1;
        FactId(Uuid::from_u128(last))
    };
    for site in &mut ledger.sites {
        site.site.id = next();
        site.permissions.iter_mut().for_each(|fact| fact.id = next());
        site.closures.iter_mut().for_each(|fact| fact.id = next());
        site.walks.iter_mut().for_each(|fact| fact.id = next());
        for patch in &mut site.patches {
            patch.patch.id = next();
            patch.surveys.iter_mut().for_each(|fact| fact.id = next());
            patch.glances.iter_mut().for_each(|fact| fact.id = next());
            patch.cuts.iter_mut().for_each(|fact| fact.id = next());
        }
    }
    ledger
}

/// What is made of the report on the ledger's first site.
fn with_report<T>(ledger: &Ledger, to: Date, make: impl FnOnce(&SeasonReport) -> T) -> T {
    with_corrections(ledger, &[], to, make)
}

fn with_corrections<T>(
    ledger: &Ledger,
    righted: &[Righted],
    to: Date,
    make: impl FnOnce(&SeasonReport) -> T,
) -> T {
    let span = Span::new(season(), to).unwrap();
    let prepared = prepare(ledger, Catalogue::built_in(), span.to).unwrap();
    let background = Background::new(ledger, &prepared, righted, span);
    make(&season_report(&ledger.sites[0], &background))
}

fn html(ledger: &Ledger) -> String {
    with_report(ledger, TO, |report| season_document(report).unwrap().html())
}

fn markdown(ledger: &Ledger) -> String {
    with_report(ledger, TO, |report| season_document(report).unwrap().markdown())
}

/// The words of the page, without those of its pictures and its style.
fn text_with_spaces_as_they_are(html: &str) -> String {
    let body = html.split_once("<body>").unwrap().1;
    let outside: Vec<&str> =
        body.split("<svg").map(|part| part.split("</svg>").last().unwrap()).collect();
    let outside = outside.concat();
    outside
        .split('<')
        .skip(1)
        .map(|part| part.split_once('>').unwrap().1.to_owned() + "|")
        .collect()
}

/// Words as a reader meets them, whatever lines and marks stand between.
fn text_of(html: &str) -> String {
    let mut text = String::new();
    for part in html.split('<').skip(1) {
        text += part.split_once('>').unwrap().1;
        text.push(' ');
    }
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn has(text: &str, wanted: &[&str]) {
    for words in wanted {
        assert!(text.contains(words), "lacks `{words}`:\n{text}");
    }
}

#[test]
fn what_was_allowed_is_what_check_would_have_said_that_morning() {
    let uncut = Holding::new("Sandwick")
        .patch("Bank", "nettle-tops")
        .surveyed(date(2021, 3, 1), 120.0)
        .ledger();
    let expected = assessed(&uncut, date(2021, 3, 15))[0].ruling.most.unwrap();
    assert!(expected > 0.0);
    with_report(&used_bank().ledger(), TO, |report| {
        let bank = &report.patches[0];
        let allowed = bank.cut_days()[0].take.allowed.unwrap();
        assert!((allowed - expected).abs() < 1e-9, "{allowed} {expected}");
        assert!((bank.taken() - 9900.0).abs() < 1e-9);
        assert_eq!(bank.overruns().map(|cut| cut.day).collect::<Vec<_>>(), [date(2021, 4, 20)]);
        let (hardest, part) = bank.season.hardest().unwrap();
        assert_eq!(hardest.day, date(2021, 4, 20));
        assert!((part - 9000.0 / hardest.take.allowed.unwrap()).abs() < 1e-9);
    });
}

#[test]
fn the_season_is_told_in_plain_sentences_made_from_the_data() {
    let ledger = used_bank().ledger();
    has(
        &text_of(&html(&ledger)),
        &[
            "9.9 kg in all, on 2 days, from 1 of the site's 2 patches: Common nettle, tops 9.9 kg.",
            "Yes, at 1 of 2 cuts: Bank on 20 Apr 2021, 9 kg where it could bear",
            "Yes, as far as the records tell: 1 permission and 0 closures were kept.",
            "1 is not measured yet.",
            "The season runs on to 31 Aug 2021; this report ends on 1 May 2021.",
            "1 cut without a count of people.",
            "Not measured yet: Field.",
            "Field, 6 samples, because it was never measured",
            "This tool does not identify plants.",
            "Nobody who gathered, measured or wrote things down is named",
        ],
    );
}

#[test]
fn where_little_is_known_the_report_says_so_and_draws_nothing() {
    let bare = Holding::new("Sandwick").ledger();
    let page = html(&bare);
    has(
        &text_of(&page),
        &[
            "No patch is recorded on this site, so there is little to report.",
            "Nothing was measured or cut by then, so there is no course to draw.",
            "No cut is recorded from these days.",
        ],
    );
    let unmeasured = Holding::new("Sandwick").patch("Field", "nettle-tops").ledger();
    has(
        &text_of(&html(&unmeasured)),
        &[
            "nothing was cut on the site's 1 patch.",
            "No patch had been measured by then, so how they stand is not known.",
            "Cannot be told yet of its one patch. Surveys at the same time of the year would tell: \
             3 more at Field.",
            "The longest time without any record of this site is 243 days, from 1 Sep 2020 to \
             1 May 2021",
        ],
    );
}

/// What was agreed and what the patch can bear are two things: each is answered by itself.
#[test]
fn what_was_agreed_and_what_a_patch_can_bear_are_told_apart() {
    let holding = |amount: &str, people: u32| {
        Holding::new("Sandwick")
            .permitted(|permission| {
                permission.largest_party = Some(4);
                permission.cap_per_visit = Some(Amount::grams(5000.0));
            })
            .patch("Bank", "nettle-tops")
            .surveyed(date(2021, 3, 1), 400.0)
            .cut(date(2021, 3, 15), amount, people)
            .ledger()
    };
    let told = |ledger: &Ledger| {
        let text = text_of(&html(ledger));
        with_report(ledger, TO, |report| {
            (report.kept_terms(), report.past_bearing().len(), report.overruns().len(), text)
        })
    };
    // 400 g on 314 m² bear more than 900 g; the party of 6 broke the word given, and no more.
    let (kept, past, over, text) = told(&holding("900g", 6));
    assert_eq!((kept, past, over), (false, 0, 1));
    has(
        &text,
        &["Not in everything: a party of 6, where 4 was agreed.", "No: the one cut never took"],
    );
    // Two patches' worth in one: within the cap of a day, and more than the patch can bear.
    let bears = assessed(
        &Holding::new("Sandwick")
            .patch("Bank", "nettle-tops")
            .surveyed(date(2021, 3, 1), 120.0)
            .ledger(),
        date(2021, 3, 15),
    )[0]
    .ruling
    .bearable()
    .unwrap();
    let poor = Holding::new("Sandwick")
        .permitted(|permission| permission.cap_per_visit = Some(Amount::grams(5.0 * bears)))
        .patch("Bank", "nettle-tops")
        .surveyed(date(2021, 3, 1), 120.0)
        .cut(date(2021, 3, 15), &format!("{:.0}g", 3.0 * bears), 4)
        .ledger();
    let (kept, past, over, text) = told(&poor);
    assert_eq!((kept, past, over), (true, 1, 1));
    has(
        &text,
        &[
            "Yes, as far as the records tell: 1 permission",
            "Yes, at 1 of 1 cuts: Bank on 15 Mar 2021",
        ],
    );
    let (kept, past, over, text) = told(&holding("900g", 4));
    assert_eq!((kept, past, over), (true, 0, 0));
    has(&text, &["Yes, as far as the records tell", "No: the one cut never took"]);
    assert!(!text.contains('▲'), "nothing is amiss:\n{text}");
}

#[test]
fn a_season_stands_beside_the_one_before_to_the_same_day_and_whole() {
    let ledger = Holding::new("Sandwick")
        .patch("Bank", "nettle-tops")
        .surveyed(date(2020, 3, 1), 120.0)
        .cut(date(2020, 3, 20), "700g", 3)
        .cut(date(2020, 5, 2), "400g", 8)
        .surveyed(date(2021, 3, 1), 120.0)
        .cut(date(2021, 3, 15), "900g", 4)
        .ledger();
    with_report(&ledger, TO, |report| {
        let before = report.before.clone().unwrap();
        let sum = |told: &stintbook::assess::season_report::SeasonTold| {
            (told.days, told.most_people, told.taken.iter().map(|(_, amount)| amount).sum::<f64>())
        };
        assert_eq!(sum(&report.told), (1, Some(4), 900.0));
        assert_eq!(sum(&before.so_far), (1, Some(3), 700.0));
        assert_eq!(sum(&before.whole), (2, Some(8), 1100.0));
        assert_eq!(before.so_far.span.to, date(2020, 5, 1));
        assert_eq!(before.kept_terms, Some(true));
    });
    has(
        &text_of(&html(&ledger)),
        &["Season 2020/21, to 1 May 2019/20, to 1 May 2019/20, whole", "Taken 900 g 700 g 1.1 kg"],
    );
    with_report(&used_bank().ledger(), TO, |report| assert!(report.before.is_none()));
    has(
        &text_of(&html(&used_bank().ledger())),
        &["of the one before, 2019/20, nothing is recorded"],
    );
}

/// Nobody can say that a patch does not decline before it has been measured often enough.
#[test]
fn better_or_worse_is_said_only_where_it_can_be_told() {
    let years = |per_m2: [f64; 4]| {
        let mut holding = Holding::new("Sandwick").patch("Bank", "nettle-tops");
        for (year, per_m2) in (2018..).zip(per_m2) {
            holding = holding.surveyed(date(year, 3, 1), per_m2);
        }
        text_of(&html(
            &holding.patch("Field", "nettle-tops").surveyed(date(2021, 3, 1), 120.0).ledger(),
        ))
    };
    let worse = years([400.0, 280.0, 196.0, 137.2]);
    has(
        &worse,
        &[
            "Worse from year to year: Bank (−30 % a year).",
            "Cannot be told yet of 1 of 2 patches.",
            "2 more at Field.",
        ],
    );
    let better = years([137.2, 196.0, 280.0, 400.0]);
    has(&better, &["Better from year to year: Bank (+43 % a year)."]);
    let untold = text_of(&html(&used_bank().ledger()));
    has(&untold, &["Cannot be told yet of any of the 2 patches."]);
    for text in [worse, better, untold] {
        assert!(!text.contains("seen to decline"), "{text}");
    }
}

/// Lettering of the drawings: a page of 720 units prints 180 mm wide, a map of 350 units 88 mm,
/// one of 600 units 150 mm; a phone shows a map of 350 units 355 px wide.
#[test]
fn no_lettering_of_the_page_is_under_seven_and_a_half_points() {
    let mut holding = used_bank();
    for n in 0..50 {
        let name = format!("Hedge {n}");
        holding = holding.patch(&name, "nettle-tops").surveyed(date(2021, 3, 1), 120.0);
    }
    const POINTS_A_MM: f64 = 72.0 / 25.4;
    let mut seen = BTreeSet::new();
    for ledger in [used_bank().ledger(), holding.ledger()] {
        let page = html(&ledger);
        for svg in page.split("<svg ").skip(1).map(|after| after.split("</svg>").next().unwrap()) {
            let view_box = between(svg, "viewBox=\"", "\"");
            let wide: f64 = view_box.split(' ').nth(2).unwrap().parse().unwrap();
            let printed_mm = match wide as u32 {
                7200 => 180.0,
                600 => 150.0,
                350 => 88.0,
                other => panic!("a drawing of {other} units"),
            };
            seen.insert(wide as u32);
            for after in svg.split("font-size=\"").skip(1) {
                let size: f64 = after.split('"').next().unwrap().parse().unwrap();
                // The plotting library's text is smaller than asked for by 1.24.
                let points = size * printed_mm / wide * POINTS_A_MM;
                assert!(points >= 7.5, "{size} of {wide} units: {points:.2} pt");
                if wide < 400.0 {
                    assert!(size * 355.0 / wide >= 11.0, "{size} units on a phone");
                }
            }
        }
    }
    assert_eq!(seen, BTreeSet::from([350, 600, 7200]));
    let page = html(&used_bank().ledger());
    let print = page.split("@media print").nth(1).unwrap().split("</style>").next().unwrap();
    let points = print.split("font-size: ").skip(1).filter_map(|after| {
        after.split(';').next().unwrap().strip_suffix("pt")?.parse::<f64>().ok()
    });
    let points: Vec<f64> = points.collect();
    assert!(points.len() > 5 && points.iter().all(|size| *size >= 7.5), "{points:?}");
}

#[test]
fn caps_count_over_all_patches_of_the_site() {
    let holding = |amount: &str| {
        Holding::new("Sandwick")
            .permitted(|permission| permission.cap_per_visit = Some(Amount::grams(2000.0)))
            .patch("Bank", "nettle-tops")
            .surveyed(date(2021, 3, 1), 400.0)
            .cut(date(2021, 3, 15), amount, 6)
            .patch("Field", "nettle-tops")
            .surveyed(date(2021, 3, 1), 400.0)
            .cut(date(2021, 3, 15), amount, 6)
            .ledger()
    };
    with_report(&holding("900g"), TO, |report| {
        let held = report.agreements[0].day.clone().unwrap();
        assert!(report.kept_terms() && !held.is_over);
        assert!((held.most - 1800.0).abs() < 1e-9);
    });
    with_report(&holding("1.1kg"), TO, |report| {
        assert!(report.agreements[0].day.as_ref().unwrap().is_over && !report.kept_terms());
    });
    has(
        &text_of(&html(&holding("1.1kg"))),
        &["2.2 kg of Common nettle, tops cut on 15 Mar 2021, where 2 kg a day was agreed"],
    );
}

#[test]
fn of_two_permissions_the_roomier_one_counts() {
    let mut ledger = Holding::new("Sandwick")
        .permitted(|permission| permission.largest_party = Some(4))
        .patch("Bank", "nettle-tops")
        .surveyed(date(2021, 3, 1), 400.0)
        .cut(date(2021, 3, 15), "900g", 6)
        .ledger();
    with_report(&ledger, TO, |report| assert!(report.agreements[0].party_over));
    let mut second = ledger.sites[0].permissions[0].clone();
    second.record.largest_party = None;
    ledger.sites[0].permissions.push(second);
    with_report(&ledger, TO, |report| assert!(report.kept_terms()));
}

#[test]
fn cuts_on_shut_ground_and_without_leave_are_named() {
    let shut = Holding::new("Sandwick")
        .closed(date(2021, 3, 10), Some(date(2021, 3, 20)))
        .patch("Bank", "nettle-tops")
        .surveyed(date(2021, 3, 1), 120.0)
        .cut(date(2021, 3, 15), "900g", 6)
        .ledger();
    has(
        &text_of(&html(&shut)),
        &["not kept: Bank on 15 Mar 2021", "cuts while the whole site was closed"],
    );
    let bare = Holding::new("Sandwick")
        .permitted(|permission| permission.to = Some(date(2021, 3, 14)))
        .patch("Bank", "nettle-tops")
        .surveyed(date(2021, 3, 1), 120.0)
        .cut(date(2021, 3, 15), "900g", 6)
        .ledger();
    has(&text_of(&html(&bare)), &["1 cut without leave", "Bank, on 15 Mar 2021"]);
    with_report(&bare, TO, |report| {
        let renews = |proposal: &&Proposal| matches!(proposal, Proposal::Renew { .. });
        assert_eq!(report.proposals.iter().filter(renews).count(), 1);
    });
    // Another that holds to the last day of the next season takes over; one that ends the day
    // before does not, and ends too early itself.
    let last = season().following().last_day();
    for (to, renewals) in [(last, 0), (last.yesterday().unwrap(), 2)] {
        let mut both = bare.clone();
        let mut second = both.sites[0].permissions[0].clone();
        second.record.to = Some(to);
        both.sites[0].permissions.push(second);
        with_report(&numbered(both), TO, |report| {
            let renews = |proposal: &&Proposal| matches!(proposal, Proposal::Renew { .. });
            assert_eq!(report.proposals.iter().filter(renews).count(), renewals);
        });
    }
}

#[test]
fn days_without_a_survey_to_believe_are_counted() {
    // A survey of nettles is believed for 90 days: from 1 March to 30 May.
    with_report(&used_bank().ledger(), date(2021, 6, 9), |report| {
        let before = (date(2021, 3, 1) - date(2020, 9, 1)).get_days().unsigned_abs();
        let after = 10;
        assert_eq!(report.gaps.days_not_known, [(1, before + after)]);
        assert_eq!(report.gaps.longest_silence, Some((date(2020, 9, 1), date(2021, 2, 28))));
    });
}

#[test]
fn what_was_put_right_is_told_without_the_reason() {
    let ledger = used_bank().ledger();
    let cut = ledger.sites[0].patches[0].cuts[0].clone().map(Record::Cut);
    let mut was = cut.clone();
    was.id = FactId(Uuid::from_u128(77));
    if let Record::Cut(cut) = &mut was.record {
        cut.amount = Amount::grams(9000.0);
    }
    let correction = Correction {
        id: FactId(Uuid::from_u128(78)),
        replaced: was.id,
        replacement: Replacement::By(cut.id),
        why: "Zebedee misread the scales".into(),
        recorded_on: date(2021, 3, 20),
        by: "Zebedee".into(),
    };
    let righted = Righted::all(&[(was, Some(correction)), (cut, None)]);
    with_corrections(&ledger, &righted, TO, |report| {
        let text = text_of(&season_document(report).unwrap().html());
        has(&text, &["20 Mar 2021: a cut of Bank, 15 Mar 2021, was put right: 900 g, not 9 kg."]);
        assert!(!text.contains("Zebedee"));
    });
}

/// Two patches cut on one walk that starts on another site, and one cut by whoever came.
fn walked_bank() -> Ledger {
    let walk = "Zebedee's outing";
    let here = Holding::new("Sandwick")
        .patch("Bank", "nettle-tops")
        .surveyed(date(2021, 3, 1), 400.0)
        .cut(date(2021, 3, 15), "900g", 9)
        .on_walk(walk)
        .cut(date(2021, 4, 20), "500g", 5)
        .patch("Field", "nettle-tops")
        .surveyed(date(2021, 3, 1), 400.0)
        .cut_as(date(2021, 3, 15), "400g", None, Taken::All)
        .on_walk(walk);
    let there = Holding::new("Toftby")
        .walk(walk, date(2021, 3, 15), &["Sandwick"], "4+1; 3+1")
        .walk("later outing", date(2021, 4, 10), &["Sandwick"], "2")
        .walk("outing of next season", date(2021, 9, 10), &["Sandwick"], "2");
    numbered(ledger([here, there]))
}

#[test]
fn the_people_of_a_day_are_those_of_its_walk() {
    let ledger = walked_bank();
    with_report(&ledger, TO, |report| {
        let people: Vec<(Option<u32>, u32)> =
            report.visits.iter().map(|visit| (visit.people(), visit.children())).collect();
        assert_eq!(people, [(Some(9), 2), (Some(5), 0)]);
        let traced = report.trace(FigureId::Site(OfSite::People)).unwrap();
        let kinds: Vec<&str> = traced.iter().map(|fact| fact.kind.name()).collect();
        assert_eq!(kinds, ["walk", "cut", "cut", "cut"]);
    });
    let text = text_of(&html(&ledger));
    has(
        &text,
        &[
            "1 recorded walk came on the site, with 9 people, 2 of them children.",
            "15 Mar 2021, 9 people, 2 of them children: Bank 900 g; Field 400 g",
            "Where no walk is recorded, the number of a day is that of the largest party",
            "1 cut without a count of people.",
            "1 recorded walk was to come here, but no cut here is recorded of it.",
        ],
    );
    assert!(!text.contains("outing"), "a walk's name may hold a person's:\n{text}");
}

#[test]
fn cuts_of_an_unknown_walk_are_counted_by_their_own_people() {
    let mut ledger = walked_bank();
    ledger.sites[1].walks.clear();
    with_report(&ledger, TO, |report| {
        assert_eq!(report.visits[0].people(), Some(9));
        assert!(report.visits[0].may_be_more() && report.walks.came.is_empty());
    });
    assert!(!text_of(&html(&ledger)).contains("recorded walk"));
}

/// 200 passes on 100 m² halve the cover of the softest ground (Hylgaard and Liddle 1981), which
/// stands in where nobody said what grows; a party nobody counted is one person.
#[test]
fn feet_of_a_year_are_told_against_what_the_ground_bears() {
    let passes = 2.0 * (4.0 + 1.0) * 100.0 / (std::f64::consts::PI * 10.0 * 10.0);
    let ledger = numbered(used_bank().ledger());
    with_report(&ledger, TO, |report| {
        let feet = report.patches[0].feet();
        assert!((feet.passes_per_100m2.unwrap() / passes - 1.0).abs() < 0.01, "{feet:?}");
        assert!((feet.part_of_limit.unwrap() * 200.0 / passes - 1.0).abs() < 0.01);
        let kinds = report.trace("p1-feet".parse().unwrap()).unwrap();
        assert_eq!(
            kinds.iter().map(|f| f.kind.name()).collect::<Vec<_>>(),
            ["patch", "cut", "cut"]
        );
    });
    has(
        &text_of(&html(&ledger)),
        &["Feet pressed Bank most: roughly 2 % of what its ground bears in a year."],
    );
    let mut bare = ledger;
    bare.sites[0].patches[0].patch.record.underfoot = Some(Underfoot::Bare);
    let text = text_of(&html(&bare));
    assert!(text.contains("feet wear nothing") && !text.contains("Feet pressed"), "{text}");
}

/// The names and words of people, wherever a book keeps them.
#[test]
fn nobody_is_named_and_no_words_of_their_own_are_shown() {
    const NAME: &str = "Zebedee";
    let mut ledger = used_bank()
        .glanced(date(2021, 4, 1), "30kg")
        .walk(NAME, date(2021, 3, 15), &[], "2+1")
        .closed(date(2021, 4, 1), None)
        .overridden("nettle-tops", CropField::KeptStanding, "0.8")
        .ledger();
    let site = &mut ledger.sites[0];
    site.site.record.occupier = Some(NAME.into());
    site.site.record.cautions = Some(NAME.into());
    site.site.record.protected = Some(NAME.into());
    site.closures[0].record.reason = NAME.into();
    site.overrides[0].record.source = NAME.into();
    site.permissions[0].record.note = Some(NAME.into());
    site.zones.push(Fact {
        id: FactId(Uuid::from_u128(50)),
        happened_on: date(2020, 1, 1),
        recorded_on: date(2020, 1, 1),
        by: NAME.into(),
        file: Some(NAME.into()),
        record: Zone {
            site: site.site.record.name.clone(),
            name: "Sett".into(),
            shape: Geometry::Point(Point::new(-19.99, 47.01)),
            buffer: Metres(4.0),
            reason: Some(NAME.into()),
        },
    });
    site.walks[0].by = NAME.into();
    for patch in &mut site.patches {
        patch.patch.record.note = Some(NAME.into());
        patch.surveys.iter_mut().for_each(|fact| {
            fact.by = NAME.into();
            fact.record.placement = Placement::Drawn { plan: Some(NAME.into()) };
        });
        patch.glances.iter_mut().for_each(|fact| fact.by = NAME.into());
        patch.cuts.iter_mut().for_each(|fact| {
            fact.by = NAME.into();
            fact.record.walk = Some(WalkName::new(NAME).unwrap());
        });
    }
    with_report(&ledger, TO, |report| {
        let document = season_document(report).unwrap();
        let everything = [
            document.html(),
            document.markdown(),
            season_patches_csv(report).unwrap(),
            season_visits_csv(report).unwrap(),
            season_geojson(report),
        ];
        for text in everything {
            assert!(text.contains("Bank"), "{text}");
            for name in [NAME, "Ana"] {
                assert!(!text.contains(name), "`{name}` is in:\n{text}");
            }
        }
    });
}

#[test]
fn the_page_stands_alone_and_reads_in_order() {
    let page = html(&used_bank().ledger());
    for fetched in ["<script", "src=", "href=\"http", "url(http", "@import", "<link"] {
        assert!(!page.contains(fetched), "the page has `{fetched}`");
    }
    has(&page, &["<html lang=\"en-GB\">", "<main id=\"content\"", "<header", "<footer>"]);
    assert_eq!(page.matches("<h1").count(), 1);
    assert_eq!(page.matches("<table>").count(), page.matches("<caption>").count());
    assert!(page.matches("<table>").count() >= 3);
    let ids: Vec<&str> =
        page.split(" id=\"").skip(1).map(|after| after.split('"').next().unwrap()).collect();
    assert_eq!(ids.len(), ids.iter().collect::<BTreeSet<_>>().len(), "{ids:?}");
    let ranks = page.split("<h").skip(1).filter_map(|after| after[..1].parse::<u8>().ok());
    let ranks: Vec<u8> = ranks.collect();
    assert!(ranks.windows(2).all(|pair| pair[1] <= pair[0] + 1), "{ranks:?}");
}

/// A page has to go by e-mail: a large holding that is cut all the time makes half a megabyte or so.
#[test]
fn the_page_of_a_large_holding_stays_small() {
    let mut holding = Holding::new("Sandwick");
    for n in 0..60 {
        let patch = holding.patch(&format!("Bank {n}"), "nettle-tops");
        holding = (0..12).fold(patch.surveyed(date(2020, 9, 1), 120.0), |holding, month| {
            let day = date(2020, 9, 3 + n % 20).saturating_add(jiff::Span::new().months(month));
            holding.cut(day, "300g", 6)
        });
    }
    let ledger = holding.ledger();
    let page =
        with_report(&ledger, date(2021, 8, 31), |report| season_document(report).unwrap().html());
    // The budget is a megabyte; the cautions of 25 crops are some hundred kilobytes of it.
    assert!(page.len() < 750_000, "{} bytes", page.len());
}

#[test]
fn no_line_of_the_page_ends_between_a_number_and_its_unit() {
    let page = html(&used_bank().ledger());
    let words = text_with_spaces_as_they_are(&page);
    assert!(words.matches("\u{a0}kg").count() > 5 && words.contains("\u{a0}%"));
    for unit in [" kg", " g", " %", " m²"] {
        for (at, _) in words.match_indices(unit) {
            let before = words[..at].chars().next_back().unwrap();
            let after = words[at + unit.len()..].chars().next().unwrap();
            let is_unit = before.is_ascii_digit() && !after.is_alphanumeric();
            assert!(!is_unit, "a line may end in `{}`", &words[at.saturating_sub(12)..at + 6]);
        }
    }
}

#[test]
fn the_markdown_holds_the_same_sections_in_narrow_lines() {
    let ledger = used_bank().ledger();
    let (page, text) = (html(&ledger), markdown(&ledger));
    let headings: Vec<&str> =
        page.split("<h2").skip(1).map(|after| between(after, ">", "<")).collect();
    assert!(headings.len() >= 8);
    for heading in headings {
        assert!(text.contains(&format!("\n## {heading}\n")), "`{heading}` is not in:\n{text}");
    }
    for line in text.lines() {
        assert!(line.chars().count() <= 76 || !line.trim_start().contains(' '), "{line}");
    }
    has(&text, &["**1 Bank (Common nettle, tops)**", "(!) "]);
}

fn between<'t>(text: &'t str, first: &str, last: &str) -> &'t str {
    text.split_once(first).unwrap().1.split(last).next().unwrap()
}

#[test]
fn the_tables_beside_the_page_hold_the_same_figures() {
    with_report(&used_bank().ledger(), TO, |report| {
        let patches = season_patches_csv(report).unwrap();
        let mut rows = csv::Reader::from_reader(patches.as_bytes());
        let column = rows.headers().unwrap().iter().position(|name| name == "taken_g").unwrap();
        let taken: Vec<f64> =
            rows.records().map(|row| row.unwrap()[column].parse().unwrap()).collect();
        assert_eq!(taken, [9900.0, 0.0]);
        let visits = season_visits_csv(report).unwrap();
        assert_eq!(visits.lines().count(), 1 + 2);
        let map: serde_json::Value = serde_json::from_str(&season_geojson(report)).unwrap();
        assert_eq!(map["schema"], "stintbook.season/1");
        assert_eq!(map["features"][0]["geometry"]["type"], "Point");
        assert_eq!(map["features"][0]["properties"]["radius_m"], 10.0);
        assert_eq!(map["features"][0]["properties"]["taken_g"], 9900.0);
    });
}

#[test]
fn the_fingerprint_changes_with_every_fact_of_the_span_and_with_none_after_it() {
    let of = |ledger: &Ledger| with_report(ledger, TO, |report| report.fingerprint.clone());
    let told = of(&numbered(used_bank().ledger()));
    assert_eq!(told, of(&numbered(used_bank().ledger())));
    let later = used_bank().surveyed(date(2021, 6, 1), 100.0).ledger();
    assert_eq!(told, of(&numbered(later)));
    let more = used_bank().glanced(date(2021, 4, 25), "30kg").ledger();
    assert_ne!(told, of(&numbered(more)));
}

#[test]
fn the_span_ends_with_the_season_and_never_before_it_begins() {
    let span = Span::new(season(), date(2025, 1, 1)).unwrap();
    assert_eq!((span.to, span.days_left(), span.days()), (date(2021, 8, 31), 0, 365));
    assert_eq!(
        Span::new(season(), date(2020, 8, 31)).unwrap_err().to_string(),
        "the season 2020/21 has not begun by 31 Aug 2020; name an earlier season, or a later day \
         with --on"
    );
    assert_eq!(last_day_told(&used_bank().ledger()), Some(date(2021, 4, 20)));
    assert_eq!(last_day_told(&ledger([Holding::new("Sandwick")])), None);
}

#[test]
fn a_figure_is_traced_to_the_facts_behind_it() {
    with_report(&numbered(used_bank().ledger()), TO, |report| {
        let ids = |figure: &str| {
            let facts = report.trace(figure.parse().unwrap()).unwrap();
            facts.iter().map(|fact| fact.kind.name()).collect::<Vec<_>>()
        };
        assert_eq!(ids("p1-taken"), ["cut", "cut"]);
        assert_eq!(ids("p1-stood"), ["patch", "survey", "cut", "cut"]);
        assert_eq!(ids("p1-allowed"), ["patch", "permission", "survey", "cut", "cut"]);
        assert_eq!(ids("p2-stood"), ["patch"]);
        assert_eq!(ids("visits"), ["cut", "cut"]);
        assert!(report.trace("p9-taken".parse().unwrap()).is_err());
    });
}

#[test]
fn every_figure_that_a_page_names_can_be_traced() {
    let shut = used_bank().closed(date(2021, 4, 1), None).ledger();
    let bare = Holding::new("Sandwick").ledger();
    let mut traced = BTreeSet::new();
    for ledger in [numbered(shut), walked_bank(), numbered(bare)] {
        with_report(&ledger, TO, |report| {
            let page = season_document(report).unwrap().html();
            for after in page.split(" title=\"").skip(1) {
                let figure: FigureId = after.split('"').next().unwrap().parse().unwrap();
                for fact in report.trace(figure).unwrap() {
                    assert!(fact.id.0 != Uuid::nil() && fact.day <= TO, "{figure}: {fact:?}");
                }
                traced.insert(figure.to_string());
            }
        });
    }
    for figure in OfPatch::ALL.into_iter().filter(|figure| *figure != OfPatch::Trend) {
        assert!(traced.contains(&FigureId::Patch(1, figure).to_string()), "{traced:?}");
    }
    for figure in OfSite::ALL {
        assert!(traced.contains(figure.name()), "{traced:?}");
    }
}

#[derive(Clone, Debug)]
struct RandomCut {
    patch: usize,
    day: u8,
    grams: f64,
    people: Option<u32>,
}

fn random_cuts() -> impl Strategy<Value = Vec<RandomCut>> {
    let grams = prop_oneof![1 => Just(0.0), 4 => 1.0..20_000.0_f64];
    let cut = (0..3_usize, 0..200_u8, grams, proptest::option::of(1..40_u32));
    let cut = cut.prop_map(|(patch, day, grams, people)| RandomCut { patch, day, grams, people });
    proptest::collection::vec(cut, 0..12)
}

fn cut_at_random(cuts: &[RandomCut]) -> Ledger {
    let mut holding = Holding::new("Sandwick");
    for (n, name) in ["Bank", "Field", "Hedge"].into_iter().enumerate() {
        holding = holding.patch(name, "nettle-tops").surveyed(date(2020, 10, 1), 120.0);
        let mut own: Vec<&RandomCut> = cuts.iter().filter(|cut| cut.patch == n).collect();
        own.sort_by_key(|cut| cut.day);
        for cut in own {
            let day = date(2020, 9, 15).checked_add(jiff::Span::new().days(cut.day)).unwrap();
            holding = holding.cut_as(day, &format!("{}g", cut.grams), cut.people, Taken::ByWeight);
        }
    }
    numbered(holding.ledger())
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 48,
        rng_seed: RngSeed::Fixed(7),
        ..ProptestConfig::default()
    })]

    /// Whatever was cut: patches, visits and traces tell of the same grams, and no overrun is
    /// lost.
    #[test]
    fn the_parts_of_a_report_add_up(cuts in random_cuts()) {
        let ledger = cut_at_random(&cuts);
        let all: f64 = cuts.iter().map(|cut| cut.grams).sum();
        with_report(&ledger, date(2021, 8, 31), |report| {
            let near = |sum: f64| (sum - all).abs() < 1e-6 * all.max(1.0);
            assert!(near(report.patches.iter().map(|patch| patch.taken()).sum()));
            let visits = report.visits.iter().flat_map(|visit| &visit.cuts);
            assert!(near(visits.map(|(_, amount)| amount).sum()));
            let traced = report.trace(FigureId::Site(OfSite::Visits)).unwrap();
            assert!(near(traced.iter().map(|fact| fact.amount.unwrap().value).sum()));
            let of_patches: f64 = report.patches.iter().map(|patch| {
                let figure = FigureId::Patch(patch.number, OfPatch::Taken);
                let facts = report.trace(figure).unwrap();
                facts.iter().map(|fact| fact.amount.unwrap().value).sum::<f64>()
            }).sum();
            assert!(near(of_patches));
            let over = report.patches.iter().map(|patch| patch.overruns().count()).sum::<usize>();
            assert_eq!(over, report.overruns().len());
            let page = season_document(report).unwrap().html();
            assert!(!page.contains("NaN") && !page.contains("inf "));
            for patch in &report.patches {
                assert_eq!(patch.season.visits as usize, patch.cut_days().len());
            }
        });
    }
}
