//! `report`: a season on one site, for those who own the land.

use std::collections::BTreeSet;
use std::fs;

use crate::said::has;
use crate::trial::Trial;

fn used_bank() -> Trial {
    let trial = Trial::with_a_surveyed_bank();
    trial.run("cut bank 1kg --people 9 --by Ida --on 2021-03-15 --recorded-on 2021-03-15").done();
    trial.run("cut bank 9kg --by Ida --on 2021-04-20 --recorded-on 2021-04-20").done();
    trial
}

const FILES: [&str; 4] = [
    "hill-2020-21-patches.csv",
    "hill-2020-21-patches.geojson",
    "hill-2020-21-visits.csv",
    "hill-2020-21.html",
];

/// With plain spaces between numbers and their units.
fn page(trial: &Trial) -> String {
    trial.read("reports/hill-2020-21.html").replace('\u{a0}', " ")
}

#[test]
fn a_page_and_its_tables_are_written_to_the_last_day_that_is_told() {
    let trial = used_bank();
    let said = trial.run("report hill --season 2020/21").done();
    has(&said, &["Written: reports/hill-2020-21.html", "hill-2020-21-visits.csv"]);
    assert_eq!(trial.files("reports"), FILES);
    let page = page(&trial);
    has(&page, &["Season report for the landowner", "from 1 Sep 2020 to 20 Apr 2021"]);
    assert!(!page.contains("Ida"));
}

#[test]
fn the_season_may_be_left_out_and_the_last_day_named() {
    let trial = used_bank();
    trial.run("report hill --on 2021-04-01").done();
    let page = page(&trial);
    has(&page, &["from 1 Sep 2020 to 1 Apr 2021", "Something was cut on 1 day"]);
    assert!(
        ![" 9 kg", ">9 kg"].iter().any(|cut| page.contains(cut)),
        "a cut after the last day told is in the report"
    );
}

/// What is known of a season does not change by telling it again.
#[test]
fn the_same_book_gives_the_same_bytes_and_a_later_season_leaves_them_as_they_are() {
    let trial = used_bank();
    let pages = |command: &str| {
        trial.run(command).done();
        FILES.map(|file| trial.read(&format!("reports/{file}")))
    };
    let first = pages("report hill --season 2020/21 --on 2021-04-20");
    assert_eq!(first, pages("report hill --season 2020/21"));
    assert_eq!(first, pages("report --all --season 2020/21"));
    trial.run("cut bank 2kg --by Ida --on 2021-09-15").done();
    assert_eq!(first, pages("report hill --season 2020/21 --on 2021-04-20"));
}

#[test]
fn a_correction_changes_the_report_and_is_told_in_it() {
    let trial = used_bank();
    trial.run("report hill --season 2020/21").done();
    let before = page(&trial);
    let cut = trial.id_of("9 kg from Hill/Bank");
    trial.run(&format!("correct {cut} mass_g=900 --why misread --by Ida")).done();
    trial.run("report hill --season 2020/21").done();
    let after = page(&trial);
    has(&after, &["a cut of Bank, 20 Apr 2021, was put right: 900 g, not 9 kg."]);
    let fingerprint = |page: &str| {
        let line = page.split("fingerprint of the facts: ").nth(1).unwrap();
        line.split(". ").next().unwrap().to_owned()
    };
    assert_ne!(fingerprint(&before), fingerprint(&after));
    assert!(!after.contains("misread"));
}

#[test]
fn a_figure_is_traced_to_facts_that_the_history_has() {
    let trial = used_bank();
    let said = trial.run("report hill --season 2020/21 --trace p1-taken").done();
    has(&said, &["Behind p1-taken of Hill, season 2020/21:", "cut, Bank: 9 kg"]);
    let ids: Vec<&str> = said.lines().skip(1).filter_map(|line| line.split("  ").next()).collect();
    assert_eq!(ids.len(), 2, "{said}");
    let history = trial.history();
    for id in ids {
        assert!(history.contains(id), "`{id}` is not in:\n{history}");
    }
    assert!(trial.files("reports").is_empty());
    has(&trial.run("report hill --trace p9-taken").wrong(), &["`p9-taken` is no figure"]);
    has(&trial.run("report hill --trace taken").wrong(), &["is no figure of this report"]);
}

#[test]
fn a_visit_that_bears_on_what_may_be_cut_is_behind_its_figures() {
    let trial = used_bank();
    trial.run("visit hill/bank --trouble sprayed --on 2021-04-18 --by Ida").done();
    trial.run("visit hill/bank --weather rain --on 2021-04-19 --by Ida").done();
    let visits = |figure: &str| {
        let said = trial.run(&format!("report hill --season 2020/21 --trace {figure}")).done();
        let lines = said.lines().filter(|line| line.contains("visit, Bank"));
        lines.map(|line| line.contains("2021-04-18")).collect::<Vec<bool>>()
    };
    for figure in ["terms", "p1-allowed", "p1-stood"] {
        assert_eq!(visits(figure), [true], "{figure}");
    }
    assert_eq!(visits("p1-taken"), [false; 0]);
}

#[test]
fn each_kind_of_figure_of_the_demo_is_traced_to_facts() {
    let trial = Trial::new();
    trial.run("demo").done();
    let page = trial.read("reports/wendlestow-2026-27.html");
    let figures = page.split(" title=\"").skip(1).map(|after| after.split('"').next().unwrap());
    // One of each kind: that of patch 13, which has been cut. No patch has a trend yet.
    let kinds: BTreeSet<&str> =
        figures.filter(|figure| !figure.contains('-') || figure.starts_with("p13-")).collect();
    assert_eq!(kinds.len(), 12, "{kinds:?}");
    for figure in kinds {
        let report =
            format!("--book demo.sqlite report Wendlestow --season 2026/27 --trace {figure}");
        let said = trial.run(&report).done();
        has(&said, &[&format!("Behind {figure} of Wendlestow, season 2026/27:")]);
        assert!(said.lines().count() > 1, "{said}");
        for fact in said.lines().skip(1) {
            let words: Vec<&str> = fact.trim_start_matches("  - ").split("  ").collect();
            assert!(words.len() == 3 && words[1].starts_with("202"), "`{fact}`");
        }
    }
}

#[test]
fn where_one_page_cannot_be_written_the_others_are_and_it_is_named() {
    let trial = Trial::new();
    trial.run("demo").done();
    fs::remove_dir_all(trial.path("reports")).unwrap();
    fs::create_dir_all(trial.path("reports/gullhythe-2026-27.html")).unwrap();
    let said = trial.run("--book demo.sqlite report --all --season 2026/27").failed();
    has(&said, &["could not write `reports/gullhythe-2026-27.html`: "]);
    for site in ["ammerlow", "wendlestow"] {
        assert!(trial.read(&format!("reports/{site}-2026-27.html")).ends_with("</html>\n"));
    }
}

#[test]
fn markdown_is_written_for_who_asks_for_it() {
    let trial = used_bank();
    let said = trial.run("report hill --format md").done();
    has(&said, &["Written: reports/hill-2020-21.md"]);
    assert_eq!(trial.files("reports"), ["hill-2020-21.md"]);
    let text = trial.read("reports/hill-2020-21.md");
    has(&text, &["# Hill, season 2020/21", "- **2** days with a cut", "## Patch by patch"]);
}

#[test]
fn what_cannot_be_reported_is_refused_with_the_way_out() {
    let trial = used_bank();
    has(&trial.run("report hlil").wrong(), &["did you mean `Hill`?"]);
    has(&trial.run("report").wrong(), &["<SITE>"]);
    has(&trial.run("report hill --all").wrong(), &["cannot be used with"]);
    has(
        &trial.run("report hill --season 2030/31").wrong(),
        &["the season 2030/31 has not begun by 20 Apr 2021"],
    );
    has(
        &Trial::on_hill().run("report hill").wrong(),
        &["no survey, glance or cut is recorded yet"],
    );
}
