//! A page says what the command says: every section, to the last figure.

use super::served::{Desk, sections};

/// Each page, and the command line that answers the same.
const PAGES: [(&str, &[&str]); 16] = [
    ("/week", &["week", "--map", "--format", "html"]),
    (
        "/week?all=yes&why=yes&people=9",
        &["week", "--map", "--all", "--why", "--people", "9", "--format", "html"],
    ),
    (
        "/week?site=Gullhythe&on=2027-04-20",
        &["week", "--map", "--site", "Gullhythe", "--on", "2027-04-20", "--format", "html"],
    ),
    ("/due?until=2027-04-30", &["due", "--until", "2027-04-30", "--format", "html"]),
    ("/calendar", &["calendar", "--format", "html"]),
    ("/calendar?month=2027-04", &["calendar", "--month", "2027-04", "--format", "html"]),
    (
        "/planned?site=Gullhythe&ahead=1+month",
        &["calendar", "--site", "Gullhythe", "--ahead", "1 month", "--format", "html"],
    ),
    (
        "/patch?patch=Wendlestow%2FMill+bank&people=9",
        &["check", "mill bank", "--people", "9", "--full", "--format", "html"],
    ),
    ("/patch?patch=slipway", &["check", "slipway", "--full", "--format", "html"]),
    ("/records?site=Wendlestow", &["history", "--site", "Wendlestow", "--format", "html"]),
    ("/walks", &["walk", "list", "--format", "html"]),
    ("/walk?walk=creek+walk", &["walk", "split", "creek walk", "--format", "html"]),
    ("/walk/plan?walk=creek+walk", &["walk", "plan", "--walk", "creek walk", "--format", "html"]),
    (
        "/walks/try?site=Wendlestow&want=green+leaf%3D2kg&on=2027-03-20",
        &[
            "walk",
            "plan",
            "--site",
            "Wendlestow",
            "--want",
            "green leaf=2kg",
            "--on",
            "2027-03-20",
            "--format",
            "html",
        ],
    ),
    (
        "/boxes?month=2027-04&count=12&each=green+leaf%3D150g&without=chickweed-tops&packing=yes",
        &[
            "box",
            "--month",
            "2027-04",
            "--count",
            "12",
            "--each",
            "green leaf=150g",
            "--without",
            "chickweed-tops",
            "--packing",
            "--format",
            "html",
        ],
    ),
    ("/crops?crop=ramsons-leaf", &["crops", "ramsons-leaf", "--format", "html"]),
];

#[test]
fn every_section_of_a_page_is_the_commands_own() {
    let desk = Desk::open();
    for (path, words) in PAGES {
        let page = desk.get(path);
        assert_eq!(page.status, 200, "{path}");
        let told = sections(&desk.typed(words));
        assert!(!told.is_empty(), "{path}: the command says nothing");
        let without =
            |sections: &[String]| sections.iter().map(|it| without_ways(it)).collect::<Vec<_>>();
        assert_eq!(without(&page.sections()), without(&told), "{path}");
    }
}

fn without(sections: &[String]) -> Vec<String> {
    sections.iter().map(|text| without_ways(text)).collect()
}

/// Without what is said of commands, which a page says as its own ways.
fn without_ways(text: &str) -> String {
    let commands = text.split("`stintbook").enumerate().map(|(n, part)| match n {
        0 => part,
        _ => part.split_once('`').map_or(part, |(_, rest)| rest),
    });
    let text: String = commands.collect();
    let ways = text.split('“').enumerate().map(|(n, part)| match n {
        0 => part,
        _ => part.split_once('”').map_or(part, |(_, rest)| rest),
    });
    let text: String = ways.collect::<String>().replace(", typed where the book is kept,", "");
    // An option is what it is called on the form of its page.
    text.split_whitespace().filter(|word| !word.trim_matches('`').starts_with("--")).collect()
}

#[test]
fn a_report_and_a_sheet_are_the_files_that_the_commands_write() {
    let desk = Desk::open();
    desk.typed(&["report", "Wendlestow"]);
    desk.typed(&["walk", "sheet", "creek walk", "--out", "sheet.html"]);
    let file = |name: &str| std::fs::read_to_string(desk.folder.path().join(name)).unwrap();
    let site = "site=Wendlestow";
    let report = file("reports/wendlestow-2026-27.html");
    assert_eq!(desk.get(&format!("/report/print?{site}")).body, report);
    let shown = desk.get(&format!("/report?{site}")).sections();
    assert_eq!(without(&shown), without(&sections(&report)));
    let patches = file("reports/wendlestow-2026-27-patches.csv");
    let kept = desk.get(&format!("/report/patches.csv?{site}"));
    assert_eq!(kept.body, patches);
    let name = "attachment; filename=\"wendlestow-2026-27-patches.csv\"";
    assert_eq!(kept.header("content-disposition"), Some(name));
    assert_eq!(desk.get("/walk/sheet?walk=creek+walk").body, file("sheet.html"));
    assert_eq!(desk.get("/week.csv").body, desk.typed(&["week", "--format", "csv"]));
    assert_eq!(desk.get("/due.ics").body, desk.typed(&["due", "--format", "ics"]));
}

#[test]
fn names_on_a_page_lead_to_what_they_name() {
    let desk = Desk::open();
    let week = desk.get("/week").body;
    let link = "<a href=\"/patch?patch=Wendlestow%2FMill+bank\">Mill bank</a>";
    assert!(week.contains(link));
    let walks = desk.get("/walks").body;
    assert!(walks.contains("<a href=\"/walk?walk=creek+walk\">creek walk</a>"));
    assert!(desk.get("/patch?patch=Mill+bnk").body.contains("did you mean"));
    // What else can be asked stands behind what is told in short, and before the rest.
    let patch = desk.get("/patch?patch=Wendlestow%2FMill+bank").body;
    let parts = ["<section id=\"said\"", "<nav class=\"besides\"", "<section id=\"fatal\""];
    let [short, besides, rest] = parts.map(|part| patch.find(part).unwrap());
    assert!(short < besides && besides < rest, "{short} {besides} {rest}");
}

#[test]
fn what_is_wrong_is_said_in_the_words_of_the_form() {
    let desk = Desk::open();
    let page = desk.get("/patch?patch=slipway&people=none");
    assert_eq!(page.status, 422);
    assert!(page.body.contains("`none` is not a number of people; write 1 or more"));
    let page = desk.get("/due?until=2027-03-01");
    assert_eq!(page.status, 422);
    assert!(
        page.body.contains("“Until” 1 Mar 2027 lies before the day asked about"),
        "{}",
        page.body
    );
    let page = desk.get("/patch?patch=sl%C3%ADpwey");
    assert_eq!(page.status, 404);
    assert!(page.body.contains("Gullhythe/Slipway"));
}
