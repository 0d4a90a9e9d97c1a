//! `field`: the page for a phone shows what the week says, fetches nothing and names nobody.

use serde_json::Value;

use crate::hill::{PARTIES, SOUTH, WEST, patch_of, places, site, square};

use crate::trial::Trial;

const HOLD: &str = "walk hold \"spring walk\" --recorded-on 2021-03-10";

/// The data of a page, as its script reads them.
fn answers(page: &str) -> Value {
    let data = page.split("id=\"answers\">").nth(1).unwrap();
    serde_json::from_str(data.split("</script>").next().unwrap()).unwrap()
}

fn made(trial: &Trial, words: &str) -> (String, Value) {
    trial.run(&format!("field {words} -o field.html")).done();
    let page = trial.read("field.html");
    let answers = answers(&page);
    (page, answers)
}

fn text(answers: &Value, at: &Value) -> String {
    answers["texts"][at.as_u64().unwrap() as usize].as_str().unwrap().to_owned()
}

fn week(trial: &Trial, on: &str) -> Vec<Value> {
    let said = trial.run(&format!("week --on {on} --format json")).done();
    let week: Value = serde_json::from_str(&said).unwrap();
    week["patches"].as_array().unwrap().clone()
}

#[test]
fn every_day_has_the_verdict_the_most_and_the_count_that_the_week_has() {
    let trial = Trial::with_surveyed_patches();
    trial.run("cut bank 60g --part --by Ida --on 2021-03-12 --recorded-on 2021-03-12").done();
    let (_, answers) = made(&trial, "--on 2021-03-15 --days 5");
    assert_eq!(answers["days"].as_array().unwrap().len(), 5);
    let mut open = 0;
    for n in 0..5 {
        let on = answers["days"][n]["date"].as_str().unwrap();
        assert_eq!(on, format!("2021-03-{}", 15 + n));
        for patch in week(&trial, on) {
            let name =
                format!("{}/{}", patch["site"].as_str().unwrap(), patch["patch"].as_str().unwrap());
            let shown = answers["patches"].as_array().unwrap();
            let shown = shown.iter().find(|shown| shown["name"] == *name).unwrap();
            let day = &shown["days"][n];
            assert_eq!(
                text(&answers, &day["v"]),
                patch["verdict"].as_str().unwrap(),
                "{name} {on}"
            );
            if day["open"] == 1 {
                open += 1;
                // To whole grams, to the safe side.
                assert_eq!(day["most"].as_f64(), patch["most_g"].as_f64().map(f64::floor));
                assert_eq!(day["n"], patch["one_in"], "{name} on {on}");
            }
        }
    }
    assert!(open > 5, "only {open} days were open");
}

#[test]
fn a_page_for_a_walk_holds_its_stops_its_quota_and_its_parties_and_nobody_by_name() {
    let trial = Trial::with_a_walk();
    trial.run(HOLD).done();
    let (page, answers) = made(&trial, "--walk \"spring walk\" --on 2021-03-15");
    let split = trial.run("walk split \"spring walk\" --format json").done();
    let split: Value = serde_json::from_str(&split).unwrap();
    let walk = &answers["walk"];
    assert_eq!(walk["held"], true);
    assert_eq!(walk["day"], "2021-03-20");
    let (stops, told) = (walk["stops"].as_array().unwrap(), split["stops"].as_array().unwrap());
    assert_eq!(stops.len(), told.len());
    for (n, (stop, told)) in stops.iter().zip(told).enumerate() {
        assert_eq!(stop["patch"], n);
        assert_eq!(stop["quota"].as_f64(), told["quota_g"].as_f64());
        let most = answers["patches"][n]["days"][0]["most"].as_f64();
        assert_eq!(most, told["quota_g"].as_f64().map(f64::floor));
    }
    for (party, told) in
        walk["parties"].as_array().unwrap().iter().zip(split["parties"].as_array().unwrap())
    {
        let most: Vec<_> =
            party["shares"].as_array().unwrap().iter().map(|it| it["most"].as_f64()).collect();
        let shares: Vec<_> =
            told["shares"].as_array().unwrap().iter().map(|it| it["share_g"].as_f64()).collect();
        assert_eq!(most, shares);
    }
    for name in ["Ann", "Bo", "Cy"] {
        assert!(PARTIES.contains(name));
        assert!(
            !page.contains(&format!("{name}\"")) && !page.contains(&format!("{name} ")),
            "{name}"
        );
    }
    // What stands there before any script says the same.
    has(&page, "What is set aside for this walk and nothing else");
}

#[test]
fn a_telephone_number_is_on_it_only_where_it_is_asked_for() {
    let trial = Trial::with_surveyed_patches();
    let card = "site,emergency_number,occupier_phone,by,date,recorded_on\n\
        Hill,112,Una 555 0199,Ida,2021-01-01,2021-01-01\n";
    trial.load("emergencies.csv", card).done();
    let (page, _) = made(&trial, "--on 2021-03-15");
    has(&page, "112");
    assert!(!page.contains("555 0199"));
    has(&made(&trial, "--on 2021-03-15 --with-telephone").0, "555 0199");
}

#[test]
fn nothing_is_fetched_and_no_text_of_the_book_can_be_run() {
    let trial = Trial::with_surveyed_patches();
    let bad = "</script><script>alert(1)</script><img src=x onerror=alert(1)>&amp;";
    let card = format!(
        "site,emergency_number,vehicle_way_in,by,date,recorded_on\nHill,\"{bad}\",\"{bad}\",Ida,2021-01-01,2021-01-01\n"
    );
    trial.load("emergencies.csv", card).done();
    let csv =
        format!("site,from,reason,by,recorded_on\nHill,2021-03-10,\"{bad}\",Ida,2021-03-10\n");
    trial.load("closures.csv", csv).done();
    let look = format!(
        "site,patch,date,by,stage,look_alike,recorded_on\nHill,Bank,2021-03-10,\"{bad}\",leaf,\"{bad}\",2021-03-10\n"
    );
    trial.load("visits.csv", look).done();
    let (page, answers) = made(&trial, "--on 2021-03-15");
    assert_eq!(page.matches("<script").count(), 2, "the data and the script");
    assert_eq!(page.matches("</script").count(), 2);
    assert!(!page.contains("<img"));
    has(&page, "default-src 'none'; script-src 'sha256-");
    let other_worlds = page.replace("http://www.w3.org/2000/svg", "");
    for scheme in ["http:", "https:", "src=\"", "@import", "url(\""] {
        assert!(!other_worlds.contains(scheme), "{scheme}");
    }
    let all = answers["texts"].as_array().unwrap();
    assert!(all.iter().any(|text| text.as_str().unwrap().contains(bad)), "the text is lost");
}

#[test]
fn a_page_of_nothing_and_one_of_a_walk_that_is_not_there_are_refused() {
    let trial = Trial::with_book();
    has(&trial.run("field -o field.html").wrong(), "there is no patch for a page to show");
    let trial = Trial::with_a_walk();
    has(&trial.run("field --walk autumn").wrong(), "autumn");
    assert!(!trial.path("field.html").exists());
}

fn has(text: &str, part: &str) {
    crate::said::has(text, &[part]);
}

/// Every sentence of the page is worded in `report`: the script has names, marks and units.
#[test]
fn the_script_has_no_words_of_its_own_and_asks_for_none_that_is_not_there() {
    let trial = Trial::with_surveyed_patches();
    let (page, answers) = made(&trial, "--on 2021-03-15");
    let script = page.rsplit("<script>").next().unwrap().split("</script>").next().unwrap();
    let code: String =
        script.lines().filter(|line| !line.trim_start().starts_with(['/', '*'])).collect();
    let known = answers["words"].as_object().unwrap();
    let mut asked = 0;
    for text in code.split('"').skip(1).step_by(2) {
        let words = text.split_whitespace().filter(|word| {
            word.len() > 1 && word.chars().all(|letter| letter.is_ascii_lowercase())
        });
        // Several words are names of classes, or of a store.
        let is_sentence = text.starts_with(|first: char| first.is_uppercase()) && words.count() > 1;
        assert!(!is_sentence, "`{text}` is worded in the script");
    }
    for rest in code.split("say(\"").skip(1) {
        let name = rest.split('"').next().unwrap();
        asked += 1;
        assert!(known.contains_key(name), "no words for `{name}`");
    }
    assert!(asked > 80, "{asked}");
    for name in known.keys() {
        assert!(code.contains(&format!("\"{name}\"")), "`{name}` is said nowhere");
    }
}

/// With answers for 14 days: a phone opens it at once.
#[test]
fn a_page_of_sixty_patches_weighs_less_than_four_hundred_kilobytes() {
    let trial = Trial::with_book();
    let patches: Vec<String> = (0..60)
        .map(|n| {
            let place =
                square(WEST + 0.001 * f64::from(n % 8 + 1), SOUTH + 0.001 * f64::from(n / 8 + 1));
            let crop = ["nettle-tops", "ramsons-leaf", "chickweed-tops"][n as usize % 3];
            patch_of(&format!("Patch {n}"), crop, &place)
        })
        .collect();
    let mut features = vec![site()];
    features.extend(patches);
    let survey: String = (0..60)
        .flat_map(|n| (0..5).map(move |q| (n, q)))
        .map(|(n, q)| format!("Hill/Patch {n},2021-03-01,Ida,0.25,{},2021-03-01\n", 20 + n + q))
        .collect();
    let head = "patch,date,by,frame_area_m2,mass_g,recorded_on\n";
    trial
        .write("hill.geojson", places(&features))
        .write("permissions.csv", crate::hill::PERMISSION)
        .write("surveys.csv", format!("{head}{survey}"));
    trial.run("load hill.geojson permissions.csv surveys.csv").done();
    let (page, answers) = made(&trial, "--on 2021-03-15");
    let shown = answers["patches"].as_array().unwrap();
    assert_eq!(shown.len(), 60);
    assert_eq!(shown[0]["days"].as_array().unwrap().len(), 14);
    assert!(shown.iter().filter(|patch| patch["days"][0]["open"] == 1).count() > 20);
    assert!(page.len() < 400_000, "{} bytes", page.len());
}
