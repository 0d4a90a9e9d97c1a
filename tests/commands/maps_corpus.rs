//! Many messy maps, each with what should come of it; what the book has of them is looked at to the
//! last position.

use std::fs;

use geojson::{Feature, FeatureCollection};

use crate::messy::{Came, Outcome};
use crate::trial::Trial;

const MAPS: &str = include_str!("../fixtures/bring/maps.txt");
/// What `Trial::on_hill` drew.
const KNOWN: [&str; 4] = ["Hill", "Bank", "Field", "Wood"];

/// What came of it otherwise than it should; nothing where it came as it should.
fn fault(file: &str, text: &str, outcome: &str, wanted: &[&str]) -> Option<String> {
    let trial = Trial::on_hill();
    trial.write(file, text);
    let bring = |more: &str| trial.run(&format!("bring {file} --yes --sure {more}"));
    let first = bring("");
    let (how, words) = outcome.split_once(' ').unwrap_or((outcome, ""));
    if how != "at" && (first.status != 2 || !drawn(&trial).is_empty()) {
        return Some(format!("it was taken unasked: {first:?}"));
    }
    if how == "refused" {
        let told = first.err.split_whitespace().collect::<Vec<_>>().join(" ");
        return (!told.contains(words)).then_some(told);
    }
    let words = if how == "after" { words } else { "" };
    let said = if how == "after" { bring(words) } else { first };
    let found = drawn(&trial);
    if said.status != 0 || found != wanted {
        return Some(format!("{found:#?}\n{said:?}"));
    }
    let again = bring(words);
    (again.status != 0 || drawn(&trial) != found).then(|| format!("again it adds: {again:?}"))
}

/// A line for each place that is new, as in the fixture.
fn drawn(trial: &Trial) -> Vec<String> {
    if trial.path("all").exists() {
        fs::remove_dir_all(trial.path("all")).unwrap();
    }
    trial.run("export all --whole").done();
    let places: FeatureCollection = trial.read("all/places.geojson").parse().unwrap();
    let text = |feature: &Feature, name: &str| {
        feature.property(name).and_then(|it| it.as_str()).map(str::to_owned)
    };
    let new = places
        .features
        .iter()
        .filter(|feature| text(feature, "name").is_none_or(|name| !KNOWN.contains(&name.as_str())));
    let line = |feature: &Feature| {
        let shape = geo::Geometry::<f64>::try_from(feature.geometry.clone().unwrap()).unwrap();
        let positions: Vec<geo::Coord> = geo::CoordsIter::coords_iter(&shape).collect();
        let bound = |of: fn(&geo::Coord) -> f64, pick: fn(f64, f64) -> f64| {
            positions.iter().map(of).reduce(pick).unwrap()
        };
        let sizes = ["width_m", "radius_m", "plants"]
            .into_iter()
            .filter_map(|name| Some(format!(" {name} {}", feature.property(name)?.as_f64()?)));
        format!(
            "{} {} {} {}{} {:.4} {:.4} {:.4} {:.4}",
            text(feature, "kind").unwrap(),
            text(feature, "name").unwrap(),
            text(feature, "crop").or_else(|| text(feature, "what")).unwrap(),
            positions.len(),
            sizes.collect::<String>(),
            bound(|at| at.x, f64::min),
            bound(|at| at.y, f64::min),
            bound(|at| at.x, f64::max),
            bound(|at| at.y, f64::max),
        )
    };
    let mut lines: Vec<String> = new.map(line).collect();
    lines.sort();
    lines
}

/// Tracks as phones make them, and maps as programs draw them.
pub fn came() -> (Vec<Came>, Vec<Came>) {
    let (mut tracks, mut maps) = (Vec::new(), Vec::new());
    for block in MAPS.split("\n=== ").skip(1) {
        let (head, rest) = block.split_once('\n').unwrap();
        let (text, recorded) = rest.split_once("\n---").unwrap();
        let [what, file, outcome] = head.split(" | ").collect::<Vec<_>>()[..] else {
            panic!("{head}");
        };
        let wanted: Vec<&str> = recorded.lines().filter(|line| !line.is_empty()).collect();
        let fault = fault(file, text, outcome, &wanted).map(|why| format!("{what}: {why}"));
        let outcome = match outcome.split_once(' ') {
            Some(("after", words)) => Outcome::After(words.to_owned()),
            Some(("refused", words)) => Outcome::Refused(words.to_owned()),
            _ => Outcome::AtOnce,
        };
        let of = if file.ends_with(".gpx") { &mut tracks } else { &mut maps };
        of.push(Came { outcome, fault });
    }
    (tracks, maps)
}
