//! GeoJSON files, good and bad, with what is said of them.

use geo::{Coord, Geometry};
use jiff::civil::date;
use serde_json::{Value, json};
use stintbook::records::{Footprint, Record};
use stintbook::units::Metres;

use crate::world::world;

/// One feature, signed, in a collection of its own.
fn alone(properties: Value, geometry: Value) -> String {
    collection(json!([{ "type": "Feature", "properties": properties, "geometry": geometry }]))
}

fn collection(features: Value) -> String {
    json!({
        "type": "FeatureCollection",
        "by": "Ada",
        "date": "2027-01-05",
        "features": features,
    })
    .to_string()
}

fn zone(geometry: Value) -> String {
    alone(json!({ "kind": "zone", "name": "edge", "site": "shore" }), geometry)
}

fn patch(geometry: Value) -> String {
    let properties =
        json!({ "kind": "patch", "name": "new", "site": "north wood", "crop": "nettle-tops" });
    alone(properties, geometry)
}

fn polygon(ring: Value) -> Value {
    json!({ "type": "Polygon", "coordinates": [ring] })
}

fn square() -> Value {
    polygon(json!([
        [-19.99, 48.01],
        [-19.989, 48.01],
        [-19.989, 48.011],
        [-19.99, 48.011],
        [-19.99, 48.01]
    ]))
}

fn ground(text: &str) -> Footprint {
    match world().read(text).unwrap().entries.pop().unwrap().record {
        Record::Patch(patch) => patch.footprint,
        other => panic!("{other:?} is no patch"),
    }
}

/// RFC 7946, appendix A: the geometry examples A.1 to A.6, as printed there.
#[test]
fn the_geometry_examples_of_rfc_7946_are_read() {
    for (geometry, positions) in [
        (json!({ "type": "Point", "coordinates": [100.0, 0.0] }), 1),
        (json!({ "type": "LineString", "coordinates": [[100.0, 0.0], [101.0, 1.0]] }), 2),
        (
            json!({ "type": "Polygon", "coordinates": [
                [[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]]
            ] }),
            5,
        ),
        (
            json!({ "type": "Polygon", "coordinates": [
                [[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]],
                [[100.8, 0.8], [100.8, 0.2], [100.2, 0.2], [100.2, 0.8], [100.8, 0.8]]
            ] }),
            10,
        ),
        (json!({ "type": "MultiPoint", "coordinates": [[100.0, 0.0], [101.0, 1.0]] }), 2),
        (
            json!({ "type": "MultiLineString", "coordinates": [
                [[100.0, 0.0], [101.0, 1.0]], [[102.0, 2.0], [103.0, 3.0]]
            ] }),
            4,
        ),
        (
            json!({ "type": "MultiPolygon", "coordinates": [
                [[[102.0, 2.0], [103.0, 2.0], [103.0, 3.0], [102.0, 3.0], [102.0, 2.0]]],
                [
                    [[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]],
                    [[100.2, 0.2], [100.2, 0.8], [100.8, 0.8], [100.8, 0.2], [100.2, 0.2]]
                ]
            ] }),
            15,
        ),
    ] {
        let intake = world().read(zone(geometry.clone())).unwrap();
        let Record::Zone(zone) = &intake.entries[0].record else { panic!("no zone") };
        assert_eq!(geo::CoordsIter::coords_count(&zone.shape), positions);
        let written = geojson::GeometryValue::from(&zone.shape);
        assert_eq!(written.type_name(), geometry["type"].as_str().unwrap());
    }
}

/// RFC 7946, appendix A.7.
#[test]
fn a_geometry_collection_is_to_be_taken_apart() {
    let collection = json!({ "type": "GeometryCollection", "geometries": [
        { "type": "Point", "coordinates": [100.0, 0.0] },
        { "type": "LineString", "coordinates": [[101.0, 0.0], [102.0, 1.0]] }
    ] });
    assert_eq!(
        world().refused(zone(collection)),
        "FILE, feature 1 (`edge`), `geometry`: it is a GeometryCollection\n  \
         expected a feature for each of its shapes"
    );
}

#[test]
fn each_kind_of_shape_makes_its_kind_of_footprint() {
    let with = |more: Value, geometry: Value| {
        let mut all =
            json!({ "kind": "patch", "name": "new", "site": "Shore", "crop": "nettle-tops" });
        all.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        ground(&alone(all, geometry))
    };
    let point = || json!({ "type": "Point", "coordinates": [-20.0, 48.0, 12.5] });
    let line = json!({ "type": "LineString", "coordinates": [[-20.0, 48.0], [-20.0, 48.001]] });
    assert!(matches!(with(json!({}), square()), Footprint::Area(_)));
    assert!(matches!(
        with(json!({ "width_m": 1.5 }), line),
        Footprint::Strip { width: Metres(1.5), .. }
    ));
    assert!(matches!(
        with(json!({ "radius_m": "4" }), point()),
        Footprint::Disc { radius: Metres(4.0), .. }
    ));
    assert!(matches!(with(json!({ "plants": 14 }), point()), Footprint::Plants { count: 14, .. }));
}

#[test]
fn a_clockwise_ring_and_repeated_positions_make_no_difference() {
    let plain = ground(&patch(square()));
    let clockwise = polygon(json!([
        [-19.99, 48.01],
        [-19.99, 48.011],
        [-19.989, 48.011],
        [-19.989, 48.011],
        [-19.989, 48.01],
        [-19.99, 48.01]
    ]));
    let Footprint::Area(turned) = ground(&patch(clockwise)) else { panic!("no area") };
    let Footprint::Area(plain) = plain else { panic!("no area") };
    assert_eq!(turned.0[0].exterior().0.len(), 5);
    let sorted = |ring: &geo::LineString| {
        let mut corners: Vec<Coord> = ring.0[1..].to_vec();
        corners.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
        corners
    };
    assert_eq!(sorted(turned.0[0].exterior()), sorted(plain.0[0].exterior()));
    assert!(geo::Area::signed_area(&turned) > 0.0 && geo::Area::signed_area(&plain) > 0.0);
}

#[test]
fn each_fault_of_a_shape_has_its_own_sentence() {
    for (geometry, told) in [
        (
            Value::Null,
            "it has no geometry\n  \
             expected Point, MultiPoint, LineString, MultiLineString, Polygon or MultiPolygon",
        ),
        (
            json!({ "type": "Circle", "coordinates": [0, 0] }),
            "`Circle` is no type of GeoJSON geometry\n  \
             expected Point, MultiPoint, LineString, MultiLineString, Polygon or MultiPolygon",
        ),
        (
            json!({ "type": "MultiPoint", "coordinates": [[-20.0, 48.0]] }),
            "a MultiPoint is no ground of a patch\n  \
             expected a Polygon, MultiPolygon, LineString, MultiLineString or Point",
        ),
        (
            json!({ "type": "Point", "coordinates": [-20.0, 48.0] }),
            "a point alone covers no ground\n  expected `radius_m` or `plants`",
        ),
        (
            polygon(json!([[-20.0, 48.0], [-19.9, 48.0], [-20.0, 48.0]])),
            "a ring has 3 positions\n  \
             expected 4 positions or more, the last the same as the first",
        ),
        (
            polygon(json!([[-20.0, 48.0], [-20.0, 48.0]])),
            "a ring has 2 positions\n  \
             expected 4 positions or more, the last the same as the first",
        ),
        (
            json!({ "type": "Polygon", "coordinates": [] }),
            "the polygon has no ring\n  expected a list of rings, the outer one first",
        ),
        (polygon(json!([])), "a ring is empty\n  expected 4 positions or more"),
        (
            polygon(json!([[-20.0, 48.0], [-19.999, 48.0], [-19.999, 48.001], [-20.0, 48.001]])),
            "a ring is not closed: it starts at `-20,48` and ends at `-20,48.001`\n  \
             expected the first position again at its end",
        ),
        (
            polygon(json!([
                [-20.0, 48.0],
                [-19.999, 48.001],
                [-19.999, 48.0],
                [-20.0, 48.001],
                [-20.0, 48.0]
            ])),
            "a ring crosses or touches itself, like a bow tie\n  \
             expected a ring whose edges meet at their ends only",
        ),
        (
            polygon(json!([[-20.0, 48.0], [-19.999, 48.0], [-19.998, 48.0], [-20.0, 48.0]])),
            "a ring encloses no ground\n  \
             expected 3 different corners or more, not all on one line",
        ),
        (
            polygon(json!([[-20.0, 48.0], [-20.0, 48.0], [-20.0, 48.0], [-20.0, 48.0]])),
            "a ring encloses no ground\n  \
             expected 3 different corners or more, not all on one line",
        ),
        (
            polygon(json!([[179.9, 48.0], [-179.9, 48.0], [-179.9, 48.1], [179.9, 48.0]])),
            "it crosses the antimeridian\n  \
             expected two parts, one on each side of longitude 180",
        ),
        (
            polygon(json!([[-20.0, 48.0], [-19.9, 48.0], [-19.9, 48.1], [-20.0, 48.0]])),
            "the patch covers 41.5 km²\n  expected 1 km² at most; map the stands in it, or check \
             that the positions are degrees",
        ),
        (
            polygon(json!([[48.0, -120.0], [48.1, -120.0], [48.1, -120.1], [48.0, -120.0]])),
            "`-120.0` is no latitude; longitude and latitude look swapped\n  \
             expected longitude first, then latitude",
        ),
        (
            polygon(json!([[48.01, -19.99], [48.01, -19.989], [48.011, -19.989], [48.01, -19.99]])),
            "it lies far from `north wood`, yet on it with its axes swapped\n  \
             expected longitude first, then latitude",
        ),
        (
            polygon(json!([[400000.0, 300000.0]])),
            "`300000.0` is no latitude\n  expected degrees from -90 to 90",
        ),
        (
            polygon(json!([[1e308, 0.0]])),
            "`1e+308` is no longitude\n  expected degrees from -180 to 180",
        ),
        (
            polygon(json!([["-20.0", "48.0"]])),
            "`[\"-20.0\",\"48.0\"]` is no position\n  \
             expected `[longitude, latitude]`, two numbers in degrees",
        ),
        (
            polygon(json!([[-20.0]])),
            "`[-20.0]` is no position\n  expected `[longitude, latitude]`, two numbers in degrees",
        ),
        (
            json!({ "type": "Polygon", "coordinates": [5] }),
            "`5` stands where a list of positions should\n  expected lists of \
             `[longitude, latitude]`, nested as the geometry's type asks",
        ),
        (
            json!({ "type": "Polygon", "coordinates": [
                [[-20.0, 48.0], [-19.999, 48.0], [-19.999, 48.001], [-20.0, 48.0]],
                [[-19.9, 48.0], [-19.899, 48.0], [-19.899, 48.001], [-19.9, 48.0]]
            ] }),
            "a hole lies outside the ring round it\n  expected holes inside the first ring",
        ),
        (
            json!({ "type": "MultiPolygon", "coordinates": [
                square()["coordinates"], square()["coordinates"]
            ] }),
            "two of its parts lie over each other\n  expected parts that touch at points only; \
             join those that share ground or an edge",
        ),
        (
            json!({ "type": "LineString", "coordinates": [[-20.0, 48.0], [-20.0, 48.0]] }),
            "the line has no length\n  expected 2 different positions or more",
        ),
        (
            json!({ "type": "MultiLineString", "coordinates": [] }),
            "it has 0 parts\n  expected 1 to 500 parts",
        ),
    ] {
        assert_eq!(
            world().refused(patch(geometry)),
            format!("FILE, feature 1 (`new`), `geometry`: {told}")
        );
    }
}

#[test]
fn a_site_has_a_boundary_of_a_sensible_size() {
    let site = json!({ "kind": "site", "name": "moor" });
    assert_eq!(
        world().refused(alone(site.clone(), json!({ "type": "Point", "coordinates": [0, 0] }))),
        "FILE, feature 1 (`moor`), `geometry`: a Point bounds no site\n  \
         expected a Polygon or MultiPolygon"
    );
    let huge = polygon(json!([[0, 0], [10, 0], [10, 10], [0, 0]]));
    assert_eq!(
        world().refused(alone(site, huge)),
        "FILE, feature 1 (`moor`), `geometry`: the site covers 618643 km²\n  \
         expected 1000 km² at most; check that the positions are degrees"
    );
}

#[test]
fn each_wrong_property_is_told() {
    let line = || json!({ "type": "LineString", "coordinates": [[-20.0, 48.0], [-20.0, 48.001]] });
    for (change, told) in [
        (
            json!({ "width_m": -2 }),
            "`width_m`: `-2` is not a width\n  expected for a line: the full width of the hedge \
             or verge in metres, over 0, at most 100",
        ),
        (
            json!({ "width_m": null }),
            "`width_m`: nothing is there\n  expected for a line: the full width of the hedge or \
             verge in metres, over 0, at most 100",
        ),
        (
            json!({ "width_m": 101 }),
            "`width_m`: `101` is too much for a width\n  expected 100 at most",
        ),
        (
            json!({ "width_m": [2] }),
            "`width_m`: `[2]` is neither text nor a number\n  expected for a line: the full width \
             of the hedge or verge in metres, over 0, at most 100",
        ),
        (
            json!({ "radius_m": 3 }),
            "`radius_m`: a line has no `radius_m`\n  expected nothing here, or another shape",
        ),
        (
            json!({ "width": 3 }),
            "`width`: patches have no such property; did you mean `width_m`?\n  expected one of \
             `kind`, `name`, `site`, `crop`, `width_m`, `radius_m`, `plants`, `underfoot`, `note`, `date`, \
             `by`, `recorded_on`, `fact`",
        ),
        (
            json!({ "crop": "netle-shoot" }),
            "`crop`: no crop is called `netle-shoot`; did you mean `nettle-tops`?\n  \
             expected the name of a crop in the catalogue",
        ),
        (
            json!({ "site": "nroth wood" }),
            "`site`: no site is called `nroth wood`; did you mean `north wood`?\n  \
             expected the name of a site in this file or in the book",
        ),
        (
            json!({ "date": "2027-04-31" }),
            "`date`: `2027-04-31` is not a day: April 2027 has 30 days\n  expected the day it was \
             set down, like `2027-03-14`; may be left out where `recorded_on` is given; once for all features if it \
             stands beside `features`",
        ),
        (
            json!({ "kind": "path" }),
            "`kind`: `path` is no kind of feature\n  expected `site`, `zone`, `patch`, `redraw` or `landmark`",
        ),
        (
            json!({ "kind": null }),
            "`kind`: nothing is there\n  expected `site`, `zone`, `patch`, `redraw` or `landmark`",
        ),
    ] {
        let mut properties = json!({
            "kind": "patch", "name": "new", "site": "shore", "crop": "nettle-tops", "width_m": 2,
        });
        properties.as_object_mut().unwrap().extend(change.as_object().unwrap().clone());
        assert_eq!(
            world().refused(alone(properties, line())),
            format!("FILE, feature 1 (`new`), {told}")
        );
    }
    let slash = json!({ "kind": "patch", "name": "a/b", "site": "shore", "crop": "nettle-tops" });
    assert_eq!(
        world().refused(alone(slash, square())),
        "FILE, feature 1 (`a/b`), `name`: `a/b` is not a name; use letters, digits, spaces, `-`, \
         `'` and `.`, 60 at most\n  expected a name that no other patch of the site has"
    );
}

#[test]
fn a_drawing_programs_own_properties_are_passed_over_and_said() {
    let properties = json!({
        "kind": "zone", "name": "edge", "site": "shore", "stroke": "#555555", "fid": 7,
    });
    let intake = world().read(alone(properties, square())).unwrap();
    assert_eq!(
        intake.remarks,
        ["feature 1 (`edge`): `stroke` is not used", "feature 1 (`edge`): `fid` is not used"]
    );
}

#[test]
fn zones_and_patches_may_stand_before_their_site() {
    let feature = |properties: Value| json!({ "type": "Feature", "properties": properties, "geometry": square() });
    let patch = json!({ "kind": "patch", "name": "a", "site": "MOOR", "crop": "nettle-tops" });
    let zone = json!({ "kind": "zone", "name": "a", "site": "moor", "buffer_m": 2.5 });
    let site = json!({ "kind": "site", "name": "Moor" });
    let features = [&patch, &zone, &site].map(|properties| feature(properties.clone()));
    let intake = world().read(collection(json!(features))).unwrap();
    let keys: Vec<&str> = intake.entries.iter().map(|entry| entry.key.as_str()).collect();
    assert_eq!(keys, ["Moor", "Moor/a", "Moor/a"]);
    assert_eq!(intake.entries[0].happened_on, date(2027, 1, 5));
    assert_eq!(intake.entries[0].recorded_on, None);
    let twice = collection(json!([feature(site.clone()), feature(patch), feature(site)]));
    assert_eq!(
        world().refused(twice),
        "FILE, feature 3 (`Moor`), `name`: feature 1 (`Moor`) already has this name\n  \
         expected a name that no other site has"
    );
}

#[test]
fn a_place_must_say_when_and_by_whom_it_was_set_down() {
    let features = json!([{
        "type": "Feature", "geometry": square(),
        "properties": { "kind": "site", "name": "moor", "recorded_on": "2027-02-01" },
    }]);
    let unsigned = json!({ "type": "FeatureCollection", "features": features });
    assert_eq!(
        world().refused(unsigned.to_string()),
        "FILE, feature 1 (`moor`), `by`: nothing is there\n  \
         expected the name of who saw or did it"
    );
    let signed = json!({ "type": "FeatureCollection", "by": "Ada", "features": features });
    let entry = world().read(signed.to_string()).unwrap().entries.pop().unwrap();
    assert_eq!(entry.happened_on, date(2027, 2, 1));
    assert_eq!(entry.recorded_on, Some(date(2027, 2, 1)));
}

#[test]
fn what_is_no_collection_of_features_is_refused() {
    let expected = "expected an object of type `FeatureCollection` with a list `features`";
    for (text, told) in [
        ("[]", format!("FILE: `[]` is no collection of features\n  {expected}")),
        ("{}", format!("FILE: `{{}}` is no collection of features\n  {expected}")),
        (
            "{\"type\":\"Topology\",\"features\":[]}",
            format!("FILE: the type `Topology` is none that can be read\n  {expected}"),
        ),
        (
            "{\"type\": \"FeatureCollection\", \"features\": [5]}",
            "FILE, feature 1: `5` is no feature\n  expected an object of type `Feature`".into(),
        ),
        (
            "{\"type\":\"FeatureCollection\",\"features\":[{\"type\":\"Feature\"}]}",
            "FILE, feature 1: it has no properties\n  expected properties, `kind` among them"
                .into(),
        ),
        (
            "{\"type\": \"FeatureCollection\",\n \"features\": [NaN]}",
            "FILE, line 2: this is not JSON at `NaN]}`\n  \
             expected JSON; a number in it is plain digits with a point, `NaN` is none"
                .into(),
        ),
        (
            "{\"type\": 1e309}",
            "FILE, line 1: a number is too large for any computer\n  expected degrees and metres"
                .into(),
        ),
        (
            "{\"type\":\"FeatureCollection\",\"features\":[],\
             \"crs\":{\"properties\":{\"name\":\"EPSG:27700\"}}}",
            "FILE: its positions are in another system: \
             `{\"properties\":{\"name\":\"EPSG:27700\"}}`\n  \
             expected WGS84 longitude and latitude (EPSG:4326), as RFC 7946 has it"
                .into(),
        ),
    ] {
        assert_eq!(world().refused(text), told);
    }
    let crs = "{\"type\":\"FeatureCollection\",\"features\":[],\
               \"crs\":{\"properties\":{\"name\":\"urn:ogc:def:crs:OGC:1.3:CRS84\"}}}";
    assert_eq!(world().read(crs).unwrap().remarks, ["nothing in it yet: no features"]);
}

#[test]
fn byte_order_marks_and_line_ends_make_no_difference() {
    let plain = patch(square());
    let marked = format!("\u{feff}\r\n{}", plain.replace(",", ",\r\n"));
    assert_eq!(world().read(marked), world().read(plain));
}

#[test]
fn a_shape_is_kept_to_the_last_digit() {
    let point = json!({ "type": "Point", "coordinates": [-20.123456789012345, 48.1] });
    let intake = world().read(zone(point)).unwrap();
    let Record::Zone(zone) = &intake.entries[0].record else { panic!("no zone") };
    let Geometry::Point(point) = &zone.shape else { panic!("no point") };
    assert_eq!(point.x().to_bits(), (-20.123456789012345_f64).to_bits());
}

#[test]
fn a_name_finds_its_place_and_its_double_however_its_accents_and_case_are_written() {
    let square = square();
    let own = |properties: Value| json!({"type": "Feature", "properties": properties, "geometry": square});
    let site = own(json!({"kind": "site", "name": "Öre", "by": "Ann", "date": "2020-01-02"}));
    let patch = |name: &str| {
        own(json!({"kind": "patch", "name": name, "site": "o\u{308}re", "crop": "nettle-tops",
                   "by": "Ann", "date": "2020-01-02"}))
    };
    let intake = world().read(collection(json!([patch("Bäch"), site]))).unwrap();
    let names: Vec<&str> = intake.entries.iter().map(|entry| entry.key.as_str()).collect();
    assert_eq!(names, ["Öre", "Öre/Bäch"]);
    let told = world().refused(collection(json!([site, patch("Bäch"), patch("BA\u{308}CH")])));
    assert!(told.contains("already has this name"), "{told}");
}
