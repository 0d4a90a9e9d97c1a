//! KML 2.0 to 2.3: a placemark a feature, its folder the layer, its data the properties.

use geo::{Coord, Geometry, GeometryCollection, LineString, Point, Polygon};
use roxmltree::Node;

use super::gathering::Gathering;
use crate::maps::Properties;
use crate::maps::text::{children, document, is, said};

/// How deep shapes lie in each other at most.
const DEEPEST: usize = 8;

pub(super) fn read(text: &str, found: &mut Gathering) -> Result<(), String> {
    let document = document(text)?;
    let all = document.root().descendants();
    for element in all.filter(Node::is_element) {
        match element.tag_name().name() {
            "Placemark" => placemark(element, found)?,
            "NetworkLink" => found.remark("what it links to elsewhere is not fetched"),
            "GroundOverlay" | "PhotoOverlay" | "ScreenOverlay" => {
                found.remark("pictures laid over the map are left out");
            }
            _ => {}
        }
    }
    Ok(())
}

fn placemark(element: Node, found: &mut Gathering) -> Result<(), String> {
    let folder = element.ancestors().skip(1).find(|it| is(*it, "Folder") || is(*it, "Document"));
    let layer = folder.and_then(|folder| said(folder, "name")).unwrap_or_default();
    let mut shapes = Vec::new();
    let mut walked = false;
    for child in element.children() {
        walked |= child.tag_name().name().ends_with("Track");
        shapes.extend(shape(child, DEEPEST)?);
    }
    let shape = match shapes.len() {
        0 => None,
        1 => Some(shapes.remove(0)),
        _ => Some(Geometry::GeometryCollection(GeometryCollection(shapes))),
    };
    match shape {
        Some(shape) if walked => found.walk(&layer, properties(element), shape),
        shape => found.draw(&layer, properties(element), shape),
    }
}

fn properties(element: Node) -> Properties {
    let mut all = Properties::new();
    let own = ["name", "description", "address"];
    for (name, text) in own.into_iter().filter_map(|name| Some((name, said(element, name)?))) {
        all.insert(name.to_owned(), text.into());
    }
    if let Some(stamp) = children(element, "TimeStamp").next()
        && let Some(when) = said(stamp, "when")
    {
        all.insert("time".to_owned(), when.into());
    }
    for data in children(element, "ExtendedData").flat_map(|it| it.descendants()) {
        let text = match data.tag_name().name() {
            "Data" => said(data, "value"),
            "SimpleData" => data.text().map(|text| text.trim().to_owned()),
            _ => continue,
        };
        // What was typed as data goes before what stands beside the sign on the screen.
        if let (Some(name), Some(text)) = (data.attribute("name"), text)
            && !text.is_empty()
        {
            all.insert(name.to_owned(), text.into());
        }
    }
    all
}

fn shape(element: Node, deepest: usize) -> Result<Option<Geometry>, String> {
    if deepest == 0 {
        return Err("shapes lie too deep in each other; save them one by one".to_owned());
    }
    Ok(match element.tag_name().name() {
        "Point" => coordinates(element)?.first().map(|at| Geometry::Point(Point(*at))),
        "LineString" => Some(Geometry::LineString(line(element)?)),
        "LinearRing" => Some(Geometry::Polygon(Polygon::new(line(element)?, Vec::new()))),
        "Polygon" => {
            let ring = |boundary: Node| -> Result<LineString, String> {
                let ring = children(boundary, "LinearRing").next();
                match ring {
                    Some(ring) => line(ring),
                    None => Ok(LineString(Vec::new())),
                }
            };
            let outer = children(element, "outerBoundaryIs").next();
            let outer = outer.map_or(Ok(LineString(Vec::new())), ring)?;
            let inner = children(element, "innerBoundaryIs").map(ring);
            Some(Geometry::Polygon(Polygon::new(outer, inner.collect::<Result<_, _>>()?)))
        }
        "MultiGeometry" | "MultiTrack" => {
            let mut parts = Vec::new();
            for child in element.children() {
                parts.extend(shape(child, deepest - 1)?);
            }
            Some(Geometry::GeometryCollection(GeometryCollection(parts)))
        }
        "Track" => {
            let places = children(element, "coord").filter_map(|coord| coord.text());
            let places = places.map(|text| {
                let mut numbers = text.split_whitespace();
                position(numbers.next(), numbers.next(), text)
            });
            Some(Geometry::LineString(LineString(places.collect::<Result<_, _>>()?)))
        }
        _ => None,
    })
}

fn line(element: Node) -> Result<LineString, String> {
    coordinates(element).map(LineString)
}

/// `lon,lat,height` with blanks between them; blanks behind a comma are forgiven.
fn coordinates(element: Node) -> Result<Vec<Coord>, String> {
    let text = said(element, "coordinates").unwrap_or_default();
    let mut joined = String::with_capacity(text.len());
    for piece in text.split_whitespace() {
        if !(joined.is_empty() || joined.ends_with(',') || piece.starts_with(',')) {
            joined.push(' ');
        }
        joined.push_str(piece);
    }
    let places = joined.split(' ').filter(|place| !place.is_empty());
    let read = places.map(|place| {
        let mut numbers = place.split(',');
        position(numbers.next(), numbers.next(), place)
    });
    read.collect()
}

fn position(lon: Option<&str>, lat: Option<&str>, text: &str) -> Result<Coord, String> {
    let degrees = |text: Option<&str>| -> Option<f64> {
        text?.parse().ok().filter(|value: &f64| value.is_finite())
    };
    degrees(lon).zip(degrees(lat)).map(|(x, y)| Coord { x, y }).ok_or_else(|| {
        let text: String = text.chars().take(40).collect();
        format!(
            "`{text}` is no longitude and latitude with a comma between them; mend or delete it"
        )
    })
}
