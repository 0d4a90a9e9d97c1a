//! The page that a leader prints, or carries on a phone.

use serde_json::Value;
use stintbook::units::Amount;

use crate::said::has;
use crate::trial::Trial;

const AS_OF: &str = "--book demo.sqlite --recorded-on 2027-03-15";

/// The demo, with a walk of two named parties on its wood.
fn demo_walk() -> Trial {
    let trial = Trial::new();
    trial.run("demo").done();
    trial.write("parties.csv", "party,adults,children\nWren,2,1\nMoss,1,0\n");
    let new = "walk new \"spring walk\" --on 2027-03-20 --leader Ida --site Wendlestow";
    let who = "--parties parties.csv --want ramsons-leaf=1kg --seed 7";
    trial.run(&format!("{new} {who} {AS_OF}")).done();
    trial
}

fn sheet(trial: &Trial, options: &str) -> String {
    trial.run(&format!("walk sheet \"spring walk\" {options} {AS_OF}")).done()
}

const USUAL: &str = "reports/spring-walk-2027-03-20.html";

#[test]
fn a_sheet_goes_where_it_is_wanted_and_comes_with_the_cautions() {
    let trial = demo_walk();
    let said = sheet(&trial, "");
    let cautions = ["lily of the valley", "This tool does not identify plants."];
    has(&said, &[&format!("Written: {USUAL}"), "Nothing is set aside for this walk"]);
    has(&said, &cautions);
    sheet(&trial, "--out here/to-print.html");
    assert_eq!(trial.read("here/to-print.html"), trial.read(USUAL));
}

#[test]
fn a_sheet_made_after_the_hold_says_that_it_is_held() {
    let trial = demo_walk();
    sheet(&trial, "");
    assert!(trial.read(USUAL).contains("Not held."));
    trial.run(&format!("walk hold \"spring walk\" {AS_OF}")).done();
    let said = sheet(&trial, "");
    assert!(!said.contains("Nothing is set aside"), "{said}");
    let page = trial.read(USUAL);
    assert!(page.contains("Held. ") && !page.contains("Not held."), "{page}");
}

#[test]
fn a_sheet_names_neither_who_leads_nor_who_comes() {
    let trial = demo_walk();
    sheet(&trial, "");
    let page = trial.read(USUAL);
    assert!(page.contains("Party 1: 2 adults and 1 child"));
    for name in ["Ida", "Wren", "Moss"] {
        assert!(!page.contains(name), "{name} is named");
    }
}

#[test]
fn a_sheet_begins_where_the_walk_does() {
    let trial = demo_walk();
    sheet(&trial, "--start -12.4001,53.1001");
    let page = trial.read(USUAL);
    assert!(page.contains("53.10010, -12.40010 (latitude, longitude)"));
    assert!(page.contains("class=\"map-start\""), "the start is not on the map");
}

#[test]
fn a_walk_that_nobody_planned_is_refused_with_the_nearest_name() {
    let trial = demo_walk();
    let said = trial.run(&format!("walk sheet \"sprig walk\" {AS_OF}")).wrong();
    assert!(said.contains("did you mean `spring walk`?"), "{said}");
}

/// On its stops, its slips, its table for the day and its map, and on the field page of the walk:
/// what the split says.
#[test]
fn a_figure_of_a_walk_has_one_value_on_the_sheet_and_on_the_field_page() {
    let trial = Trial::with_a_walk();
    let recorded = "--recorded-on 2021-03-10";
    trial.run(&format!("walk hold \"spring walk\" {recorded}")).done();
    let split = trial.run("walk split \"spring walk\" --on 2021-03-10 --format json").done();
    let split: Value = serde_json::from_str(&split).unwrap();
    trial.run(&format!("walk sheet \"spring walk\" {recorded}")).done();
    let sheet = trial.read("reports/spring-walk-2021-03-20.html").replace('\u{a0}', " ");
    trial.run("field --walk \"spring walk\" --on 2021-03-10 -o field.html").done();
    let field = trial.read("field.html");
    let field = field.split("id=\"answers\">").nth(1).unwrap().split("</script>").next().unwrap();
    let field: Value = serde_json::from_str(field).unwrap();

    let stops = split["stops"].as_array().unwrap();
    let parties = split["parties"].as_array().unwrap();
    let said = |grams: &Value| Amount::grams(grams.as_f64().unwrap()).to_string();
    let (mut read, mut shared) = (0, 0);
    for (n, stop) in stops.iter().enumerate() {
        let (name, quota) = (stop["patch"].as_str().unwrap(), &stop["quota_g"]);
        let shares: Vec<f64> = parties
            .iter()
            .flat_map(|party| party["shares"].as_array().unwrap())
            .filter(|share| share["patch"] == name)
            .map(|share| share["share_g"].as_f64().unwrap())
            .collect();
        let given: f64 = shares.iter().sum();
        let standing = stop["stays_standing_g"].as_f64().unwrap();
        assert!((given + standing - quota.as_f64().unwrap()).abs() < 0.01, "{name}: {shares:?}");
        let (card, shown) = (after(&sheet, &format!("</span> {name}<")), said(quota));
        let limit = card.split("</ul>").next().unwrap();
        assert!(limit.contains(&format!("<li>{shown} in all</li>")), "{name}: {limit}");
        let one_in = stop["one_in"].as_u64().map(|n| format!(" in {n}</li>"));
        assert!(one_in.is_none_or(|one_in| limit.contains(&one_in)), "{name}: {limit}");
        let least = shares.iter().copied().fold(f64::INFINITY, f64::min);
        let most = shares.iter().copied().fold(0.0, f64::max);
        let each = [least, most].map(|grams| Amount::grams(grams).to_string());
        let each = if each[0] == each[1] { each[0].clone() } else { each.join(" to ") };
        assert!(limit.contains(&format!("<li>{each} a party</li>")), "{name}: {limit}");
        let described = after(&sheet, "map-1-desc\">");
        assert!(described.contains(&format!("{shown} in all, {each} a party.")), "{name}");
        let of_day = after(&sheet, "id=\"afterwards\"");
        let row = after(of_day, &format!("{} {name}<", n + 1));
        assert!(row.split("</tr>").next().unwrap().contains(&format!("<td>{shown}</td>")));
        let on_phone = field["walk"]["stops"][n]["quota"].as_f64().unwrap();
        assert!((on_phone - quota.as_f64().unwrap()).abs() < 0.001, "{name}: {on_phone}");
        read += 1;
    }
    for (n, party) in parties.iter().enumerate() {
        let slip = after(&sheet, &format!("<h3>Party {}: ", n + 1));
        let slip = slip.split("</article>").next().unwrap();
        let on_phone = field["walk"]["parties"][n]["shares"].as_array().unwrap();
        let shares = party["shares"].as_array().unwrap();
        assert_eq!(on_phone.len(), shares.len());
        for (share, on_phone) in shares.iter().zip(on_phone) {
            let row = after(slip, &format!(" {}<", share["patch"].as_str().unwrap()));
            let shown = format!("<td>{}<", said(&share["share_g"]));
            assert!(row.split("</tr>").next().unwrap().contains(&shown), "{shown}: {row}");
            assert_eq!(on_phone["most"], share["share_g"]);
            shared += 1;
        }
    }
    assert!(read >= 2 && shared >= 4, "{read}, {shared}");
}

fn after<'t>(text: &'t str, what: &str) -> &'t str {
    text.split_once(what).unwrap_or_else(|| panic!("no `{what}`")).1
}
