//! GPX 1.1 for a phone or a receiver: a waypoint for each feature, and tracks round or along those
//! that cover ground.

use geo::{Centroid, Coord, Geometry, LineString, Polygon};

use super::xml::element;
use crate::maps::{Feature, Layer, Map};

/// The map as GPX.
pub fn gpx(map: &Map) -> String {
    let features = || map.layers.iter().flat_map(named);
    let waypoints: String = features().filter_map(|(layer, it)| waypoint(layer, it)).collect();
    let tracks: String = features().map(|(layer, feature)| track(layer, feature)).collect();
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
         <gpx version=\"1.1\" creator=\"stintbook\" xmlns=\"http://www.topografix.com/GPX/1/1\">\n\
         <metadata>{}{}</metadata>\n{waypoints}{tracks}</gpx>\n",
        element("name", &map.title),
        element("desc", &map.about.join("\n")),
    )
}

/// Each feature with the name of its layer.
fn named(layer: &Layer) -> impl Iterator<Item = (&str, &Feature)> {
    layer.features.iter().map(|feature| (layer.name.as_str(), feature))
}

fn waypoint(layer: &str, feature: &Feature) -> Option<String> {
    let middle = feature.shape.centroid()?;
    Some(format!("<wpt{}>{}</wpt>\n", at(middle.0), said(layer, feature)))
}

/// Nothing for points.
fn track(layer: &str, feature: &Feature) -> String {
    let mut lines = Vec::new();
    gather(&feature.shape, &mut lines);
    if lines.is_empty() {
        return String::new();
    }
    let segment = |line: &LineString| {
        let points: String = line.0.iter().map(|place| format!("<trkpt{}/>", at(*place))).collect();
        format!("<trkseg>{points}</trkseg>\n")
    };
    let segments: String = lines.iter().map(segment).collect();
    format!("<trk>{}\n{segments}</trk>\n", said(layer, feature))
}

fn said(layer: &str, feature: &Feature) -> String {
    element("name", &feature.title) + &element("desc", &feature.about) + &element("type", layer)
}

fn at(place: Coord) -> String {
    format!(" lat=\"{}\" lon=\"{}\"", place.y, place.x)
}

/// The lines of a shape, and the rings of its ground.
fn gather(shape: &Geometry, lines: &mut Vec<LineString>) {
    let mut rings = |polygon: &Polygon| {
        lines.push(polygon.exterior().clone());
        lines.extend(polygon.interiors().iter().cloned());
    };
    match shape {
        Geometry::Point(_) | Geometry::MultiPoint(_) => {}
        Geometry::Line(line) => lines.push(LineString::from(*line)),
        Geometry::LineString(line) => lines.push(line.clone()),
        Geometry::MultiLineString(all) => lines.extend(all.iter().cloned()),
        Geometry::Polygon(polygon) => rings(polygon),
        Geometry::MultiPolygon(polygons) => polygons.iter().for_each(rings),
        Geometry::Rect(rect) => rings(&Polygon::from(*rect)),
        Geometry::Triangle(triangle) => rings(&triangle.to_polygon()),
        Geometry::GeometryCollection(all) => all.iter().for_each(|shape| gather(shape, lines)),
    }
}
