//! Areas, lengths and distances against PROJ; `make_areas.py` beside the table made it.

use geo::{
    Euclidean, Geometry, Length, LineString, MultiLineString, MultiPoint, MultiPolygon, Point,
};
use stintbook_core::ground::{
    LocalMetres, PatchIndex, centre, footprint_area, geodesic_area, geodesic_length, site_centre,
};
use stintbook_core::records::Footprint;
use stintbook_core::units::Metres;

use crate::ground::plot::{assert_near, disc, patch, site_within, strip};

struct Row {
    name: String,
    unit: String,
    value: f64,
    shape: Geometry,
}

fn rows() -> Vec<Row> {
    let mut table = csv::Reader::from_path("../../tests/fixtures/ground/areas.csv").unwrap();
    let rows: Vec<Row> = table
        .records()
        .map(|record| {
            let record = record.unwrap();
            let shape: geojson::Geometry = record[3].parse().unwrap();
            Row {
                name: record[0].to_owned(),
                unit: record[1].to_owned(),
                value: record[2].parse().unwrap(),
                shape: shape.try_into().unwrap(),
            }
        })
        .collect();
    assert_eq!(rows.len(), 67, "the table of PROJ's values is not whole");
    rows
}

fn polygons(shape: &Geometry) -> MultiPolygon {
    match shape {
        Geometry::Polygon(polygon) => polygon.clone().into(),
        Geometry::MultiPolygon(polygons) => polygons.clone(),
        other => panic!("{other:?} has no area"),
    }
}

fn lines(shape: &Geometry) -> MultiLineString {
    match shape {
        Geometry::LineString(line) => MultiLineString(vec![line.clone()]),
        Geometry::MultiLineString(lines) => lines.clone(),
        other => panic!("{other:?} has no length"),
    }
}

fn two_points(shape: &Geometry) -> (Point, Point) {
    match shape {
        Geometry::MultiPoint(MultiPoint(points)) => (points[0], points[1]),
        other => panic!("{other:?} is not two points"),
    }
}

fn distance_by_index(from: Point, to: Point) -> f64 {
    let one = patch("one", "nettle-shoot", Footprint::Plants { centre: to, count: 1 });
    let near = PatchIndex::new([&one]).near(from.x(), from.y(), Metres(2000.0));
    assert_eq!(near.len(), 1, "{to:?} was not found from {from:?}");
    near[0].1.0
}

#[test]
fn areas_lengths_and_distances_are_those_of_proj() {
    for row in rows() {
        let found = match row.unit.as_str() {
            "m2" => geodesic_area(&polygons(&row.shape)).0,
            "m" => geodesic_length(&lines(&row.shape)).0,
            _ => {
                let (from, to) = two_points(&row.shape);
                distance_by_index(from, to)
            }
        };
        let off = (found / row.value - 1.0).abs();
        assert!(off < 1e-6, "{}: {found} {} is not {}", row.name, row.unit, row.value);
    }
}

#[test]
fn local_metres_agree_with_proj_to_a_part_in_a_thousand_within_a_kilometre() {
    for row in rows().iter().filter(|row| row.unit == "m apart") {
        let (from, to) = two_points(&row.shape);
        let apart = LineString::from(vec![from, to]);
        let metres = Euclidean.length(&LocalMetres::at(from).metres(&apart));
        assert!((metres / row.value - 1.0).abs() < 1e-3, "{}: {metres} m", row.name);
    }
}

#[test]
fn a_footprint_is_measured_as_its_kind_asks() {
    let hedge = strip(&[(0.0, 0.0), (30.0, 0.0), (30.0, 40.0)], 2.5);
    assert_near(footprint_area(&hedge).0, 70.0 * 2.5, 0.001);
    assert_near(footprint_area(&disc(0.0, 0.0, 5.0)).0, 78.539_816, 1e-6);
    let trees = Footprint::Plants { centre: Point::new(0.0, 0.0), count: 12 };
    assert_eq!(footprint_area(&trees).0, 0.0);
}

/// The cut shapes are those of RFC 7946, section 3.1.9.
#[test]
fn the_middle_of_a_shape_cut_at_the_antimeridian_is_on_it() {
    let cut: Vec<Row> = rows().into_iter().filter(|row| row.name.ends_with("-cut")).collect();
    assert_eq!(cut.len(), 2);
    for row in cut {
        let middle = match row.unit.as_str() {
            "m2" => site_centre(&site_within(polygons(&row.shape))),
            _ => centre(&Footprint::Strip { line: lines(&row.shape), width: Metres(2.0) }),
        };
        let middle = middle.unwrap();
        assert_near(middle.x().abs(), 180.0, 1e-9);
        assert_near(middle.y(), 45.0, 1e-9);
    }
}

#[test]
fn an_empty_shape_has_no_middle() {
    assert_eq!(centre(&Footprint::Area(MultiPolygon::empty())), None);
}
