//! Landmarks and emergency cards: recorded once, on every sheet, and nothing private with others.

use crate::hill::{SOUTH, WEST, places};
use crate::said::has;
use crate::trial::Trial;

fn landmark(name: &str, what: &str, (east, north): (f64, f64), note: &str) -> String {
    format!(
        "{{\"type\": \"Feature\", \"properties\": {{\"kind\": \"landmark\", \"site\": \"Hill\", \
         \"name\": \"{name}\", \"what\": \"{what}\", \"note\": \"{note}\"}}, \"geometry\": \
         {{\"type\": \"Point\", \"coordinates\": [{}, {}]}}}}",
        WEST + east,
        SOUTH + north
    )
}

const CARD: &str = "\
site,emergency_number,occupier_phone,vehicle_way_in,hospital,tide_station,note,date,by,recorded_on
Hill,the red one,\"Old Tam, extension 9\",the north track,Moor infirmary,,gate code at the hut,2020-01-02,Ida,2020-01-02
";

impl Trial {
    fn with_landmarks() -> Self {
        let trial = Self::with_a_walk();
        let features = [
            landmark("Yard", "parking", (0.0005, 0.009), ""),
            landmark("Lower gate", "gate", (0.0095, 0.001), ""),
            landmark("Old shaft", "hazard", (0.004, 0.006), "open, in the bracken"),
            landmark("Cairn", "signal", (0.008, 0.008), ""),
        ];
        trial.load("landmarks.geojson", places(&features)).done();
        trial.load("emergencies.csv", CARD).done();
        trial
    }

    fn sheet(&self, more: &str) -> String {
        self.run(&format!("walk sheet spring --recorded-on 2021-03-11 --out sheet.html {more}"))
            .done();
        self.read("sheet.html").replace('\u{a0}', " ")
    }
}

/// What the words of a page are, without its tags.
fn words(page: &str) -> String {
    let mut text = String::new();
    let mut is_tag = false;
    for c in page.chars() {
        match c {
            '<' => is_tag = true,
            '>' => is_tag = false,
            c if !is_tag => text.push(c),
            _ => {}
        }
    }
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_sheet_starts_where_one_parks_and_its_emergency_card_is_filled_in() {
    let trial = Trial::with_landmarks();
    let page = words(&trial.sheet(""));
    for told in [
        "Yard; ",
        "48.00900, -19.99950 (latitude, longitude)",
        "the north track",
        "Moor infirmary",
        "Old Tam, extension 9",
        "Cairn (48.00800, -19.99200)",
        "gate code at the hut",
    ] {
        assert!(page.contains(told), "no `{told}` in {page}");
    }
    // Still to be written by hand: the advice line, two people's phones, first aid.
    let card = page.split("In an emergency").nth(1).unwrap().split("What to say").next().unwrap();
    assert_eq!(card.matches("to be written by hand").count(), 4, "{card}");
    let hazard = page.find("Old shaft , HAZARD; open, in the bracken");
    let hazard = hazard.or_else(|| page.find("Old shaft, HAZARD; open, in the bracken")).unwrap();
    assert!(hazard < page.find("Lower gate, gate").unwrap(), "hazards come first");
}

#[test]
fn a_start_may_be_named_by_a_beginning_and_an_unknown_one_is_told() {
    let trial = Trial::with_landmarks();
    assert!(words(&trial.sheet("--start lower")).contains("Lower gate; "));
    assert!(words(&trial.sheet("--start -19.995,48.002")).contains("48.00200, -19.99500"));
    let said = trial.run("walk sheet spring --start pier --out sheet.html").wrong();
    has(&said, &["no landmark of the walk's sites is called `pier`; there are `Cairn`"]);
    // The further from where it begins, the longer the way.
    let length = |start: &str| {
        let plan = trial.run(&format!("walk plan --walk spring {start} --format json")).done();
        let plan: serde_json::Value = serde_json::from_str(&plan).unwrap();
        plan["length_m"].as_f64().unwrap_or_else(|| panic!("{plan}"))
    };
    let (by_default, from_gate) = (length(""), length("--start \"lower gate\""));
    assert_eq!(by_default, length("--start yard"));
    assert!((by_default - from_gate).abs() > 50.0, "{by_default} and {from_gate}");
}

#[test]
fn what_grows_beside_the_way_is_on_the_sheet_until_someone_clears_it() {
    let trial = Trial::with_landmarks();
    let bare = crate::hill::patch("Gully", "nettle-tops", 8);
    trial.load("gully.json", places(&[bare])).done();
    trial.run("visit gully --look-alike \"dog's mercury\" --by Ida --on 2021-03-09").done();
    let told = "On the way: dog's mercury was found growing on Hill/Gully on 9 Mar 2021.";
    assert!(words(&trial.sheet("")).contains(told));
    trial.run("visit gully --cleared \"dog's mercury\" --by Ida --on 2021-03-12").done();
    assert!(!words(&trial.sheet("")).contains("mercury was found"));
}

#[test]
fn a_telephone_is_on_no_report_and_in_no_export_for_others() {
    let trial = Trial::with_landmarks();
    trial.run("visit hill --asked yes --whom \"Mrs Vane\" --by Ida --on 2021-03-10").done();
    trial.write("p.jpg", b"not a picture");
    trial
        .run(
            "visit bank --stage leaf --photo p.jpg --note \"Bo was here\" --by Ida --on 2021-03-10",
        )
        .done();
    trial.run("cut bank 500g --people 4 --by Bo --on 2021-03-12").done();
    trial.run("report hill --season 2020/21 --on 2021-05-01").done();
    trial.run("export others").done();
    trial.run("export mine --whole").done();
    let all = |folder: &str| {
        let files = trial.files(folder);
        files.iter().map(|file| trial.read(&format!("{folder}/{file}"))).collect::<String>()
    };
    let private = ["extension 9", "Mrs Vane", "p.jpg", "Bo", "Ida"];
    let (reports, others, mine) = (all("reports"), all("others"), all("mine"));
    for told in private {
        assert!(mine.contains(told), "no `{told}` in the whole export");
        assert!(!others.contains(told), "`{told}` in the export for others");
    }
    for told in ["extension 9", "Mrs Vane", "p.jpg"] {
        assert!(!reports.contains(told), "`{told}` in the report");
    }
    assert!(others.contains("person 1") && others.contains("Moor infirmary"));
    assert!(!others.contains("corrections") && !mine.contains("person 1"));
}

#[test]
fn an_export_for_others_makes_a_book_that_allows_the_same() {
    let trial = Trial::with_landmarks();
    trial.run("cut bank 500g --people 4 --by Bo --on 2021-03-12").done();
    trial.run("glance field 30kg --by Cy --on 2021-03-12").done();
    trial.run("export others").done();
    trial.run("new theirs").done();
    let files = trial.files("others").join(" others/");
    let theirs = "--book theirs/stintbook.sqlite";
    trial.run(&format!("load others/{files} {theirs}")).done();
    let [here, there] =
        ["", theirs].map(|book| trial.run(&format!("week --on 2021-03-15 {book}")).done());
    assert_eq!(here, there);
}
