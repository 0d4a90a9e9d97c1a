//! `export --format dwca`, read as the Darwin Core text guide (TDWG 2023) says that it is read.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::File;
use std::io::Read;

use geo::{Distance, Geodesic, Point};
use roxmltree::Document;

use crate::hill::{SOUTH, WEST};
use crate::said::has;
use crate::trial::Trial;

const TERMS: &str = include_str!("../fixtures/darwin_core_terms.txt");
const NAMESPACE: &str = "http://rs.tdwg.org/dwc/terms/";
const TEXT: &str = "http://rs.tdwg.org/dwc/text/";
const GLANCE: &str =
    "patch,date,by,standing,recorded_on\nHill/Field,2021-03-05,Bo,3kg,2021-03-05\n";

type Row = BTreeMap<String, String>;

/// What the archive's own description makes of it: core rows and extension rows, each with its key.
struct Archive {
    core: Vec<Row>,
    measurements: Vec<Row>,
    all: String,
}

fn surveyed() -> Trial {
    let trial = Trial::with_a_surveyed_bank();
    trial.load("glances.csv", GLANCE).done();
    trial
}

fn exported(trial: &Trial, more: &str) -> Archive {
    trial.run(&format!("export out --format dwca --on 2021-03-15 {more}")).done();
    let file = File::open(trial.path("out/occurrences.zip")).unwrap();
    let mut zip = zip::ZipArchive::new(file).unwrap();
    let mut text = |name: &str| {
        let mut text = String::new();
        zip.by_name(name).unwrap().read_to_string(&mut text).unwrap();
        text
    };
    let meta = text("meta.xml");
    let meta = Document::parse(&meta).unwrap();
    let root = meta.root_element();
    assert_eq!((root.tag_name().name(), root.tag_name().namespace()), ("archive", Some(TEXT)));
    let mut all = text(root.attribute("metadata").unwrap());
    let mut rows = |element: &str, class: &str, key: &str| -> Vec<Row> {
        let sheet = root.children().find(|it| it.has_tag_name((TEXT, element))).unwrap();
        assert_eq!(sheet.attribute("rowType"), Some(&*format!("{NAMESPACE}{class}")));
        assert_eq!(sheet.attribute("encoding"), Some("UTF-8"));
        let location = sheet.descendants().find(|it| it.has_tag_name((TEXT, "location"))).unwrap();
        let body = text(location.text().unwrap());
        all += &body;
        let delimiter = sheet.attribute("fieldsTerminatedBy").unwrap().as_bytes()[0];
        let skipped: usize = sheet.attribute("ignoreHeaderLines").unwrap().parse().unwrap();
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(delimiter)
            .has_headers(false)
            .from_reader(body.as_bytes());
        let lines: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        let index =
            |node: roxmltree::Node| -> usize { node.attribute("index").unwrap().parse().unwrap() };
        let key = sheet.children().find(|it| it.has_tag_name((TEXT, key))).unwrap();
        let fields: Vec<(usize, String)> = sheet
            .children()
            .filter(|it| it.has_tag_name((TEXT, "field")))
            .map(|it| (index(it), it.attribute("term").unwrap().to_owned()))
            .collect();
        let row = |line: &csv::StringRecord| {
            let named = fields.iter().map(|(at, term)| {
                (term.strip_prefix(NAMESPACE).unwrap().to_owned(), line[*at].to_owned())
            });
            named.chain([("key".to_owned(), line[index(key)].to_owned())]).collect()
        };
        lines[skipped..].iter().map(row).collect()
    };
    let core = rows("core", "Occurrence", "id");
    let measurements = rows("extension", "MeasurementOrFact", "coreid");
    Archive { core, measurements, all }
}

fn listed(part: usize) -> BTreeSet<String> {
    let part = TERMS.split("\n\n").nth(part).unwrap();
    let lines = part.lines().filter(|line| !line.starts_with('#'));
    lines.flat_map(str::split_whitespace).map(str::to_owned).collect()
}

#[test]
fn every_field_is_a_term_of_the_standard_and_every_measurement_has_its_occurrence() {
    for more in ["", "--whole"] {
        let archive = exported(&surveyed(), more);
        assert_eq!((archive.core.len(), archive.measurements.len()), (2, 2));
        for (rows, terms) in [(&archive.core, listed(0)), (&archive.measurements, listed(1))] {
            let used: BTreeSet<String> =
                rows[0].keys().filter(|it| *it != "key").cloned().collect();
            assert!(used.is_subset(&terms), "{:?}", used.difference(&terms));
            assert!(used.len() > 5);
        }
        let ids: BTreeSet<&String> = archive.core.iter().map(|row| &row["occurrenceID"]).collect();
        assert_eq!(ids.len(), 2, "ids tell rows apart");
        assert!(archive.measurements.iter().all(|row| ids.contains(&row["key"])));
    }
}

#[test]
fn what_was_surveyed_is_there_with_its_amount_and_doubt_in_a_square_that_holds_the_place() {
    let archive = exported(&surveyed(), "");
    let bank = archive.core.iter().find(|row| row["eventDate"] == "2021-03-01").unwrap();
    assert_eq!(bank["basisOfRecord"], "HumanObservation");
    assert_eq!(bank["occurrenceStatus"], "present");
    assert_eq!(bank["scientificName"], "Urtica dioica");
    // 30 g on a quarter of a square metre, on some 332 m².
    let number = |row: &Row, name: &str| row[name].parse::<f64>().unwrap();
    let standing = number(bank, "organismQuantity");
    assert!((39_000.0..41_000.0).contains(&standing), "{standing}");
    assert_eq!(bank["organismQuantityType"], "fresh biomass in grams");
    let measured = archive.measurements.iter().find(|row| row["key"] == bank["occurrenceID"]);
    // The ten masses have a deviation of 5.85 g: 1.85 g of 30 g, or 6 %.
    let accuracy = number(measured.unwrap(), "measurementAccuracy");
    assert!((accuracy / standing - 0.0617).abs() < 0.002, "{accuracy} of {standing}");
    let told = Point::new(number(bank, "decimalLongitude"), number(bank, "decimalLatitude"));
    let lies = Point::new(WEST + 0.0011, SOUTH + 0.0051);
    let away = Geodesic.distance(told, lies);
    let within = number(bank, "coordinateUncertaintyInMeters");
    assert!(away > 20.0 && away <= within, "{away} of {within}");
    assert!((700.0..760.0).contains(&within), "half the diagonal of a kilometre: {within}");
    assert_eq!(bank["geodeticDatum"], "EPSG:4326");
    assert_eq!(bank["coordinatePrecision"], "0.000001");
    has(&bank["dataGeneralizations"], &["generalized", "square of 1 km"]);
    has(&bank["informationWithheld"], &["recorder"]);
    let glance = archive.core.iter().find(|row| row["eventDate"] == "2021-03-05").unwrap();
    assert_eq!(number(glance, "organismQuantity"), 3000.0);
    has(&glance["samplingProtocol"], &["by eye"]);
}

#[test]
fn nobody_and_no_place_is_named_unless_all_is_asked_for() {
    let trial = surveyed();
    let archive = exported(&trial, "--blur 10km");
    for private in ["Hill", "Bank", "Field", "Ida", "Bo,"] {
        assert!(!archive.all.contains(private), "{private}");
    }
    has(&archive.core[0]["dataGeneralizations"], &["square of 10 km"]);
    let trial = surveyed();
    let whole = exported(&trial, "--whole");
    assert_eq!(whole.core[0]["recordedBy"], "Ida");
    let number = |name: &str| whole.core[0][name].parse::<f64>().unwrap();
    assert!((number("decimalLongitude") - (WEST + 0.0011)).abs() < 1e-5);
    assert!(number("coordinateUncertaintyInMeters") < 30.0);
    assert!(!whole.core[0].contains_key("dataGeneralizations"));
}

/// What the GBIF metadata profile 1.1 asks of every description, in the order of EML 2.1.1.
#[test]
fn the_description_has_what_must_be_said_in_its_order() {
    let archive = exported(&surveyed(), "");
    let end = archive.all.find("</eml:eml>").unwrap() + "</eml:eml>".len();
    let eml = Document::parse(&archive.all[..end]).unwrap();
    let root = eml.root_element();
    assert_eq!(root.tag_name().namespace(), Some("eml://ecoinformatics.org/eml-2.1.1"));
    let dataset = root.first_element_child().unwrap();
    let names: Vec<&str> = dataset
        .children()
        .filter(roxmltree::Node::is_element)
        .map(|it| it.tag_name().name())
        .collect();
    assert_eq!(
        names,
        [
            "title",
            "creator",
            "metadataProvider",
            "pubDate",
            "language",
            "abstract",
            "intellectualRights",
            "coverage",
            "contact"
        ]
    );
}
