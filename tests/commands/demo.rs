//! `demo`, far from the repository: an invented season to look at.

use crate::said::has;
use crate::trial::Trial;

#[test]
fn the_demo_needs_nothing_but_an_empty_folder() {
    let trial = Trial::new();
    let said = trial.run("demo").done();
    has(
        &said,
        &[
            "The demo is invented: 3 sites on open sea with 28 patches",
            "Its book is `demo.sqlite`.",
            "Week 2027-W11, 15 Mar to 21 Mar 2027",
            "ALTOGETHER, in one day",
            "This tool does not identify plants.",
            "Drawn: reports/",
            "Try next:",
        ],
    );
    assert_eq!(trial.files(""), ["demo.sqlite", "reports"]);
}

#[test]
fn every_verdict_occurs_in_the_demo() {
    let trial = Trial::new();
    trial.run("demo").done();
    let said = trial.run("week --all --book demo.sqlite --on 2027-03-15").done();
    for verdict in stintbook::rules::Verdict::ALL {
        let title = format!("\n{}: ", verdict.name().to_uppercase());
        assert!(said.contains(&title), "no patch is {verdict}:\n{said}");
    }
}

#[test]
fn a_drawing_of_each_site_is_written_and_says_what_it_shows() {
    let trial = Trial::new();
    trial.run("demo").done();
    let mut drawings = trial.files("reports");
    drawings.retain(|file| file.ends_with(".svg"));
    assert_eq!(
        drawings,
        [
            "ammerlow-2026-27-map.svg",
            "ammerlow-2026-27-weeks.svg",
            "ammerlow-2026-27.svg",
            "gullhythe-2026-27-map.svg",
            "gullhythe-2026-27-weeks.svg",
            "gullhythe-2026-27.svg",
            "wendlestow-2026-27-map.svg",
            "wendlestow-2026-27-weeks.svg",
            "wendlestow-2026-27.svg",
        ]
    );
    for drawing in drawings {
        let text = trial.read(&format!("reports/{drawing}"));
        let svg = roxmltree::Document::parse(&text).unwrap();
        let words: String = svg.descendants().filter_map(|node| node.text()).collect();
        assert!(words.contains("2026/27"), "{drawing}");
        assert!(svg.descendants().any(|node| node.has_tag_name("title")), "{drawing}");
    }
}

#[test]
fn the_season_report_of_each_site_is_written_with_its_tables() {
    let trial = Trial::new();
    let said = trial.run("demo").done();
    for site in ["ammerlow", "gullhythe", "wendlestow"] {
        has(&said, &[&format!("Written: reports/{site}-2026-27.html")]);
        for table in ["patches.csv", "visits.csv", "patches.geojson"] {
            assert!(!trial.read(&format!("reports/{site}-2026-27-{table}")).is_empty());
        }
    }
}

#[test]
fn the_demo_has_the_same_ids_each_time_so_that_its_reports_are_the_same() {
    let history = || {
        let trial = Trial::new();
        trial.run("demo").done();
        trial.run("--book demo.sqlite history").done()
    };
    assert_eq!(history(), history());
}

#[test]
fn every_command_that_the_demo_suggests_works() {
    let trial = Trial::new();
    let said = trial.run("demo").done();
    let next = said.split("Try next:\n").nth(1).unwrap();
    let suggested: Vec<&str> =
        next.lines().filter_map(|line| line.trim().strip_prefix("stintbook ")).collect();
    assert_eq!(suggested.len(), 14, "{next}");
    for words in suggested {
        let said = trial.run(words);
        assert!(said.status < 2, "`{words}`: {}", said.err);
    }
}

#[test]
fn the_demo_is_made_anew_but_never_in_the_place_of_another_file() {
    let trial = Trial::new();
    let first = trial.run("demo --folder \"my trial\"").done();
    has(&first, &["stintbook --book \"my trial/demo.sqlite\""]);
    trial
        .run("--book \"my trial/demo.sqlite\" cut \"mill bank\" 9g --by Ida --on 2027-03-15")
        .done();
    assert_eq!(trial.run("demo --folder \"my trial\"").done(), first);
    trial.write("other/demo.sqlite", "precious");
    has(&trial.run("demo --folder other").failed(), &["`other/demo.sqlite` is not a book"]);
    assert_eq!(trial.read("other/demo.sqlite"), "precious");
}
