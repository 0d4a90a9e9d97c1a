//! `--blur`: what others get of a day, and what they cannot find by laying days side by side.

use std::collections::BTreeSet;
use std::fs;

use geo::Point;
use serde_json::Value;
use stintbook::ground::{Blur, Square};

use crate::hill::{SOUTH, WEST, polygon};
use crate::said::has;
use crate::trial::Trial;

const SIDE: f64 = 0.0002;
const DAYS: [&str; 3] = ["2021-03-15", "2021-04-02", "2021-09-01"];
const SIZES: [&str; 3] = ["1km", "2km", "10km"];

/// In the middle of a site of some two kilometres.
fn square() -> Square {
    Blur::FINEST.square(Point::new(WEST, SOUTH))
}

/// A holding that its keeper could have drawn otherwise without anyone being the wiser.
struct Holding {
    site: &'static str,
    patches: [&'static str; 2],
    person: &'static str,
    /// Where in the square the middle of its first patch lies, from 0 to 1 eastward and northward.
    at: (f64, f64),
    /// How far the redraw of 1 April moves it, in degrees of longitude.
    moved: f64,
}

const IDAS: Holding = Holding {
    site: "Hill",
    patches: ["Bank", "Alder wood"],
    person: "Ida",
    at: (0.5, 0.5),
    moved: 0.00005,
};

fn ring(west: f64, south: f64, side: f64) -> String {
    let (east, north) = (west + side, south + side);
    polygon(&[(west, south), (east, south), (east, north), (west, north), (west, south)])
}

impl Holding {
    fn corner(&self) -> (f64, f64) {
        let [least, most] = square().corners();
        let within = |least: f64, most: f64, at: f64| least + (most - least) * at - SIDE / 2.0;
        (within(least.x, most.x, self.at.0), within(least.y, most.y, self.at.1))
    }

    fn book(&self) -> Trial {
        let Self { site, patches: [first, second], person, .. } = self;
        let trial = Trial::with_book();
        let (west, south) = self.corner();
        let whole = square().middle();
        let boundary = ring(whole.x() - 0.02, whole.y() - 0.02, 0.04);
        let drawn = |kind: &str, more: &str, geometry: &str| {
            format!(
                "{{\"type\": \"Feature\", \"properties\": {{\"kind\": \"{kind}\", {more}}}, \
                 \"geometry\": {geometry}}}"
            )
        };
        let patch = |name: &str, crop: &str, geometry: &str| {
            let more = format!(
                "\"name\": \"{name}\", \"site\": \"{site}\", \"crop\": \"{crop}\", \
                 \"note\": \"{person} knows it\""
            );
            drawn("patch", &more, geometry)
        };
        let gate = format!("{{\"type\": \"Point\", \"coordinates\": [{west},{south}]}}");
        let features = [
            drawn("site", &format!("\"name\": \"{site}\", \"occupier\": \"{person}\""), &boundary),
            patch(first, "nettle-tops", &ring(west, south, SIDE)),
            patch(second, "nettle-tops", &ring(whole.x() + 0.003, whole.y(), SIDE)),
            drawn(
                "landmark",
                &format!("\"name\": \"{person}'s gate\", \"site\": \"{site}\", \"what\": \"gate\""),
                &gate,
            ),
        ];
        let collection = |features: &str| {
            format!(
                "{{\"type\": \"FeatureCollection\", \"by\": \"{person}\", \"date\": \
                 \"2020-01-02\", \"recorded_on\": \"2020-01-02\", \"features\": [{features}]}}"
            )
        };
        trial.write("places.geojson", collection(&features.join(",")));
        let masses = ["30", "20", "40", "25", "35", "30", "28", "32"];
        let rows = [first, second].into_iter().flat_map(|patch| {
            masses
                .map(|mass| format!("{site}/{patch},2021-03-01,{person},0.25,{mass},2021-03-01\n"))
        });
        let rows: String = rows.collect();
        trial.write(
            "surveys.csv",
            format!("patch,date,by,frame_area_m2,mass_g,recorded_on\n{rows}"),
        );
        trial.write(
            "permissions.csv",
            format!(
                "site,basis,for,from,lifts_code_cap,by,recorded_on\n\
                 {site},written,own use; walk; sale,2020-01-01,yes,{person},2020-01-01\n"
            ),
        );
        trial.run("load places.geojson permissions.csv surveys.csv").done();
        let signed = format!("--by {person} --recorded-on 2021-04-01 --on 2021-04-01");
        trial.run(&format!("cut \"{site}/{first}\" 1kg --people 2 {signed}")).done();
        trial.write("moved.geojson", ring(west + self.moved, south, SIDE));
        trial.run(&format!("redraw \"{site}/{first}\" moved.geojson --why crept {signed}")).done();
        trial
    }
}

/// What may be asked for with --blur, as bytes: every format in one size, and two in the others.
fn outputs(trial: &Trial) -> Vec<(String, Vec<u8>)> {
    let mut all = Vec::new();
    for (day, size) in DAYS.into_iter().flat_map(|day| SIZES.map(|size| (day, size))) {
        let is_first = size == SIZES[0];
        let shown: &[&str] = &["json", "table", "html", "md", "csv", "geojson"];
        for format in if is_first { shown } else { &shown[..1] } {
            let words = format!("week --blur {size} --on {day} --format {format}");
            let said = trial.run(&words).done();
            all.push((words, said.into_bytes()));
        }
        let maps: &[&str] = &["geojson", "gpkg", "kml", "gpx"];
        for format in if is_first { maps } else { &maps[..1] } {
            let folder = format!("{size}-{day}-{format}");
            let words = format!("export {folder} --blur {size} --on {day} --format {format}");
            trial.run(&words).done();
            let file = trial.path(&format!("{folder}/map.{format}"));
            all.push((words, fs::read(file).unwrap()));
        }
    }
    all
}

#[test]
fn what_is_blurred_is_the_same_wherever_in_its_square_a_patch_lies_and_whoever_keeps_it() {
    let others = [
        Holding { at: (0.0005, 0.9995), moved: -0.00005, ..IDAS },
        Holding {
            site: "Mere",
            patches: ["Zig", "Old wall"],
            person: "Bo",
            at: (0.98, 0.02),
            moved: 0.00005,
        },
    ];
    let told = outputs(&IDAS.book());
    for other in others {
        for ((words, one), (_, another)) in told.iter().zip(outputs(&other.book())) {
            assert!(*one == another, "`{words}` tells of two holdings which is which");
        }
    }
}

#[test]
fn laid_side_by_side_the_answers_of_all_days_lead_to_the_finest_square_and_to_nobody() {
    // At the very edge, over which the redraw leads.
    let holding = Holding { at: (0.9995, 0.5), ..IDAS };
    let trial = holding.book();
    let mut places = BTreeSet::new();
    for (words, bytes) in outputs(&trial) {
        let text = String::from_utf8_lossy(&bytes).to_lowercase();
        for private in ["hill", "bank", "alder", "ida", "gate", "knows it", "boundary"] {
            let clean = text.replace("side_m", "").replace("alder buckthorn", "");
            assert!(!clean.contains(private), "`{words}` has `{private}`");
        }
        if let (true, Ok(json)) = (words.contains("json"), serde_json::from_slice(&bytes)) {
            let json: Value = json;
            let rows = json["patches"].as_array().or_else(|| json["features"].as_array()).unwrap();
            assert_eq!(rows.len(), 2, "{words}");
            for row in rows {
                let row = row.get("properties").unwrap_or(row);
                let name = row["name"].as_str().unwrap().to_owned();
                assert!(name.starts_with("nettle-tops"), "{name}");
                let number = |of: &str| row[of].as_f64().unwrap();
                let side = number("square_side_m");
                places.insert((side as u32, format!("{},{}", number("lon"), number("lat"))));
            }
        }
    }
    // One square of each size, on every day: those of which one lies within the other.
    assert_eq!(places.len(), SIZES.len(), "{places:?}");
    let middles: Vec<Square> =
        Blur::sizes().take(3).map(|size| size.square(square().middle())).collect();
    for ((_, place), square) in places.iter().zip(middles) {
        let (lon, lat) = place.split_once(',').unwrap();
        let lie = Point::new(lon.parse::<f64>().unwrap(), lat.parse::<f64>().unwrap());
        assert_eq!(square.blur().square(lie), square);
    }
}

#[test]
fn what_is_drawn_where_a_patch_was_keeps_its_square() {
    let holding = Holding { at: (0.9995, 0.5), ..IDAS };
    let trial = holding.book();
    let (west, south) = holding.corner();
    let half = |from: f64| {
        let (a, b) =
            (west + holding.moved + from * SIDE, west + holding.moved + (from + 0.5) * SIDE);
        polygon(&[(a, south), (b, south), (b, south + SIDE), (a, south + SIDE), (a, south)])
    };
    let part = |name: &str, shape: String| {
        format!(
            "{{\"type\": \"Feature\", \"properties\": {{\"name\": \"{name}\"}}, \"geometry\": \
             {shape}}}"
        )
    };
    let parts = [part("East", half(0.5)), part("West", half(0.0))].join(",");
    trial.write(
        "parts.geojson",
        format!("{{\"type\": \"FeatureCollection\", \"features\": [{parts}]}}"),
    );
    trial
        .run("split Hill/Bank parts.geojson --by Ida --on 2021-04-10 --recorded-on 2021-04-10")
        .done();
    let week = trial.run("week --blur 1km --on 2021-04-15 --format json").done();
    let week: Value = serde_json::from_str(&week).unwrap();
    let squares: BTreeSet<&str> = week["patches"]
        .as_array()
        .unwrap()
        .iter()
        .map(|it| it["square"].as_str().unwrap())
        .collect();
    assert_eq!(week["patches"].as_array().unwrap().len(), 3);
    assert_eq!(squares.len(), 1, "{squares:?}");
}

#[test]
fn a_blurred_answer_says_what_it_is_and_still_what_may_be_cut() {
    let trial = IDAS.book();
    let week = trial.run("week --blur 1km --on 2021-03-15").done();
    has(&week, &["squares of 1 km", "It is no leave", "nettle-tops 1 in 1km-", "open"]);
    has(&week, &["This tool does not identify plants."]);
    let json = trial.run("week --blur 1km --on 2021-03-15 --format json").done();
    let json: Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["schema"], "stintbook.blurred/1");
    let exact = trial.run("week --on 2021-03-15 --format json").done();
    let exact: Value = serde_json::from_str(&exact).unwrap();
    for patch in json["patches"].as_array().unwrap() {
        let most = patch["most_g"].as_f64().unwrap();
        let all = exact["patches"].as_array().unwrap();
        let known = all.iter().map(|patch| patch["most_g"].as_f64().unwrap());
        let near = known.filter(|known| *known >= most && *known < 2.0 * most);
        assert!(near.count() > 0, "{most} is none of the amounts, nor a little less");
    }
    has(&trial.run("export others --blur 1km --format kml").done(), &["Blurred for others"]);
    has(&trial.run("export exact --format kml").done(), &["Places are exact", "--blur 1km"]);
}

#[test]
fn a_size_in_between_is_refused_and_so_is_what_would_tell_the_place_after_all() {
    let trial = IDAS.book();
    let said = trial.run("week --blur 5km").wrong();
    has(&said, &["no squares of `5km`", "1km, 2km, 10km, 50km, 100km"]);
    for more in ["--near -20,48 --within 50m", "--why", "--people 4"] {
        trial.run(&format!("week --blur 1km {more}")).wrong();
    }
    trial.run("export out --blur 1km").wrong();
    trial.run("export out --blur 1km --format kml --whole").wrong();
}
