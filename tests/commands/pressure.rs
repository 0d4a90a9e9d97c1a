//! `pressure`: how hard each patch was used.

use crate::said::has;
use crate::trial::Trial;

fn used_bank() -> Trial {
    let trial = Trial::with_a_surveyed_bank();
    trial.run("cut bank 4kg --people 9 --by Ida --on 2021-03-15").done();
    trial.run("cut bank 9kg --by Ida --on 2021-04-20").done();
    trial
}

#[test]
fn a_season_is_shown_as_a_table_and_drawn_as_a_picture_for_each_site() {
    let trial = used_bank();
    let said = trial.run("pressure --season 2020/21 --on 2021-05-01").done();
    has(
        &said,
        &[
            "Pressure in the season 2020/21, to 1 May 2021",
            "OVER THE LIMIT - Hill/Bank on 20 Apr 2021, 9 kg cut where",
            "HILL",
            "S O N D J F M A M J J A",
            "taken hardest",
            "visits missing",
            "Bank",
            "13 kg",
            "OVER",
            "Field",
            "not known",
            "Most trodden: Hill/Bank 3 %",
            "How to read it:",
            "Drawn: reports/hill-2020-21.svg",
            "Drawn: reports/hill-2020-21-weeks.svg",
        ],
    );
    let drawing = trial.read("reports/hill-2020-21.svg");
    let svg = roxmltree::Document::parse(&drawing).unwrap();
    assert_eq!(svg.root_element().attribute("role"), Some("img"));
    assert!(
        svg.descendants().any(|node| node.text().is_some_and(|text| text.trim() == "Bank")),
        "{drawing}"
    );
}

#[test]
fn a_season_is_a_page_and_a_text_too_with_each_sites_pictures_told_apart() {
    let ask = "pressure --season 2026/27 --on 2027-03-14 --book demo.sqlite --format";
    let trial = Trial::new();
    trial.run("demo").done();
    let page = trial.run(&format!("{ask} html")).done();
    let mut ids: Vec<&str> =
        page.split(" id=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    let all = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), all, "two things have one id");
    let pictures = page.matches("<svg").count();
    assert_eq!(pictures, 6, "one of what was used and one of the rest for each of three sites");
    let text = trial.run(&format!("{ask} md")).done();
    has(&text, &["## Over the limit", "**Top hedge (sloe)**", "246 % OVER"]);
}

#[test]
fn weeks_are_shown_in_the_place_of_the_table() {
    let trial = used_bank();
    let ask = "pressure --season 2020/21 --on 2021-05-01 --weeks";
    let said = trial.run(ask).done();
    has(
        &said,
        &[
            "Pressure week by week in the season 2020/21, to 1 May 2021",
            "Sep Oct",
            "feet",
            "How to read it: a column is a week,",
            "Drawn: reports/hill-2020-21-weeks.svg",
        ],
    );
    assert!(!said.contains("hardest cut"), "{said}");
    has(&trial.run(&format!("{ask} --format csv")).wrong(), &["`--weeks` is for reading"]);
    let page = trial.run(&format!("{ask} --format html")).done();
    has(&page, &["Pressure week by week", "<th scope=\"row\">Bank", "<svg"]);
    assert!(!page.contains("a column is a week"), "what explains letters stands on a page");
}

#[test]
fn machines_get_every_day_of_the_season_and_no_picture() {
    let trial = used_bank();
    let ask = "pressure --season 2020/21 --on 2021-05-01 --crop nettle-tops --format";
    let csv = trial.run(&format!("{ask} csv")).done();
    // 1 September to 1 May are 243 days, for two patches.
    assert_eq!(csv.lines().count(), 1 + 2 * 243);
    let json: serde_json::Value =
        serde_json::from_str(&trial.run(&format!("{ask} json")).done()).unwrap();
    assert_eq!(json["patches"].as_array().unwrap().len(), 2);
    assert!(trial.files("reports").is_empty());
    has(
        &trial.run(&format!("{ask} geojson")).wrong(),
        &["possible values: table, html, md, csv, json"],
    );
}

#[test]
fn seasons_that_cannot_be_are_refused_and_empty_ones_shown() {
    let trial = used_bank();
    for bad in ["2021", "2021/23", "21/22", "x"] {
        has(
            &trial.run(&format!("pressure --season {bad}")).wrong(),
            &["is not a season; write it as"],
        );
    }
    has(&trial.run("pressure --season 2010/11").done(), &["season 2010/11", "not known"]);
    has(&Trial::with_book().run("pressure --season 2020/21").done(), &["No patch to show"]);
}

/// The whole book is printed site by site as it is made; one site is read alone.
#[test]
fn the_days_of_the_whole_book_are_those_of_its_sites_one_after_the_other() {
    let trial = Trial::new();
    trial.run("demo").done();
    let asked = "pressure --book demo.sqlite --on 2027-03-15 --season 2026/27 --format csv";
    let whole = trial.run(asked).done();
    let (headings, days) = whole.split_once('\n').unwrap();
    let of_site = |site: &str| {
        let said = trial.run(&format!("{asked} --site {site}")).done();
        let (own, days) = said.split_once('\n').unwrap();
        assert_eq!(own, headings);
        days.to_owned()
    };
    let sites = ["Ammerlow", "Gullhythe", "Wendlestow"].map(of_site);
    assert_eq!(sites.concat(), days);
    assert!(days.lines().count() > 1000, "{}", days.lines().count());
    let of_crop = trial.run(&format!("{asked} --crop ramsons-leaf")).done();
    let of_crop: Vec<&str> = of_crop.lines().skip(1).collect();
    let column = headings.split(',').position(|name| name == "crop").unwrap();
    let kept = days.lines().filter(|day| day.split(',').nth(column) == Some("ramsons-leaf"));
    assert_eq!(of_crop, kept.collect::<Vec<_>>());
}

/// All sites are read a few at a time, one site at once.
#[test]
fn what_is_told_of_all_sites_is_what_is_told_of_each_in_the_order_of_their_names() {
    let trial = Trial::new();
    trial.run("demo").done();
    let asked = |rest: &str| {
        let words = format!("--book demo.sqlite pressure --season 2026/27 --on 2027-03-15 {rest}");
        trial.run(&words).done()
    };
    let csv = asked("--format csv");
    let (headings, lines) = csv.split_once('\n').unwrap();
    let site_of = |line: &str| line.split(',').nth(1).unwrap().to_owned();
    let mut sites: Vec<String> = lines.lines().map(site_of).collect();
    sites.dedup();
    assert!(sites.len() == 3 && sites.is_sorted(), "{sites:?}");
    let alone = |format: &str| -> Vec<String> {
        sites.iter().map(|site| asked(&format!("--site \"{site}\" --format {format}"))).collect()
    };
    let of_each: Vec<String> = alone("csv")
        .into_iter()
        .map(|text| text.strip_prefix(&format!("{headings}\n")).unwrap().to_owned())
        .collect();
    assert_eq!(of_each.concat(), lines);
    let patches = |text: &str| -> Vec<serde_json::Value> {
        let told: serde_json::Value = serde_json::from_str(text).unwrap();
        told["patches"].as_array().unwrap().clone()
    };
    let whole = asked("--format json");
    let of_each: Vec<_> = alone("json").iter().flat_map(|text| patches(text)).collect();
    assert_eq!(of_each.len(), 28);
    assert_eq!(of_each, patches(&whole));
    for table in ["table", "table --weeks"] {
        let whole = asked(&format!("--format {table}"));
        for (site, text) in sites.iter().zip(alone(table)) {
            let block = |text: &str| {
                let start = text.find(&format!("\n{}", site.to_uppercase())).unwrap();
                let rest = &text[start + 1..];
                rest[..rest.find("\n\n").unwrap()].to_owned()
            };
            assert_eq!(block(&whole), block(&text), "{table}");
            let file = site.to_lowercase().replace(' ', "-");
            assert!(whole.contains(&format!("Drawn: reports/{file}-2026-27.svg")), "{whole}");
        }
    }
}
