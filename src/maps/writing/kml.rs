//! KML 2.2 (OGC 07-147r2): a folder a layer, a placemark a feature, its properties as data.

use std::collections::BTreeSet;

use geo::{Coord, Geometry, LineString, Polygon};
use serde_json::Value;

use super::xml::{element, escaped};
use crate::maps::{Feature, Layer, Map};

/// How solid the colour of a surface is, and that of a line, as KML has them: hexadecimal, before
/// blue, green and red.
const SURFACE: &str = "66";
const LINE: &str = "ff";

/// The map as KML.
pub fn kml(map: &Map) -> String {
    let features = map.layers.iter().flat_map(|layer| &layer.features);
    let colours: BTreeSet<&str> = features.map(|feature| feature.colour).collect();
    let styles: String = colours.into_iter().map(style).collect();
    let folders: String = map.layers.iter().map(folder).collect();
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
         <kml xmlns=\"http://www.opengis.net/kml/2.2\">\n<Document>\n{}\n{}\n\
         {styles}{folders}</Document>\n</kml>\n",
        element("name", &map.title),
        element("description", &map.about.join("\n")),
    )
}

fn style(colour: &str) -> String {
    let ink: String = [4, 2, 0].into_iter().filter_map(|at| colour.get(at..at + 2)).collect();
    format!(
        "<Style id=\"c{colour}\"><IconStyle><color>{LINE}{ink}</color></IconStyle>\
         <LineStyle><color>{LINE}{ink}</color><width>2</width></LineStyle>\
         <PolyStyle><color>{SURFACE}{ink}</color></PolyStyle></Style>\n"
    )
}

fn folder(layer: &Layer) -> String {
    let placemarks: String = layer.features.iter().map(placemark).collect();
    format!("<Folder>\n{}\n{placemarks}</Folder>\n", element("name", &layer.name))
}

fn placemark(feature: &Feature) -> String {
    let own = [("id", feature.id.clone()), ("title", feature.title.clone())];
    let own = own.into_iter().map(|(name, text)| datum(name, &text));
    // Two of one name, and programs rename one of them.
    let given = feature.properties.iter().filter(|(name, _)| *name != "name");
    let given = given.filter_map(|(name, value)| {
        let text = match value {
            Value::Null => return None,
            Value::String(text) => text.clone(),
            other => other.to_string(),
        };
        Some(datum(name, &text))
    });
    let data: String = own.chain(given).collect();
    format!(
        "<Placemark>\n{}\n{}\n<styleUrl>#c{}</styleUrl>\n<ExtendedData>\n{data}</ExtendedData>\n\
         {}\n</Placemark>\n",
        element("name", &feature.name),
        element("description", &feature.about),
        feature.colour,
        shape(&feature.shape),
    )
}

fn datum(name: &str, text: &str) -> String {
    format!("<Data name=\"{}\">{}</Data>\n", escaped(name), element("value", text))
}

fn shape(geometry: &Geometry) -> String {
    match geometry {
        Geometry::Point(point) => format!("<Point>{}</Point>", coordinates(&[point.0])),
        Geometry::Line(line) => shape(&LineString::from(*line).into()),
        Geometry::LineString(line) => {
            format!("<LineString>{}</LineString>", coordinates(&line.0))
        }
        Geometry::Polygon(polygon) => drawn(polygon),
        Geometry::Rect(rect) => drawn(&Polygon::from(*rect)),
        Geometry::Triangle(triangle) => drawn(&triangle.to_polygon()),
        Geometry::MultiPoint(points) => several(points.iter().copied()),
        Geometry::MultiLineString(lines) => several(lines.iter().cloned()),
        Geometry::MultiPolygon(polygons) => several(polygons.iter().cloned()),
        Geometry::GeometryCollection(shapes) => several(shapes.iter().cloned()),
    }
}

fn several<T: Into<Geometry>>(parts: impl Iterator<Item = T>) -> String {
    let parts: String = parts.map(|part| shape(&part.into())).collect();
    format!("<MultiGeometry>{parts}</MultiGeometry>")
}

fn drawn(polygon: &Polygon) -> String {
    let ring = |name: &str, ring: &LineString| {
        format!("<{name}><LinearRing>{}</LinearRing></{name}>", coordinates(&ring.0))
    };
    let holes = polygon.interiors().iter().map(|hole| ring("innerBoundaryIs", hole));
    let outer = ring("outerBoundaryIs", polygon.exterior());
    format!("<Polygon>{outer}{}</Polygon>", holes.collect::<String>())
}

fn coordinates(positions: &[Coord]) -> String {
    let positions: Vec<String> = positions.iter().map(|at| format!("{},{}", at.x, at.y)).collect();
    format!("<coordinates>{}</coordinates>", positions.join(" "))
}
