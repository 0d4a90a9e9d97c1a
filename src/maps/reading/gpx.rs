//! GPX 1.0 and 1.1: waypoints, routes and tracks, a layer each.

use geo::{Coord, Geometry, LineString, MultiLineString, Point};
use roxmltree::Node;

use super::gathering::Gathering;
use crate::maps::Properties;
use crate::maps::text::{children, document, is, said};
use crate::maps::way::place;

const SAID: [&str; 5] = ["name", "desc", "cmt", "type", "sym"];

pub(super) fn read(text: &str, found: &mut Gathering) -> Result<(), String> {
    let document = document(text)?;
    if document.root_element().attribute("creator") == Some("stintbook") {
        return Err(
            "this tool wrote it for a receiver, and left out what a book needs; bring what \
                    the receiver recorded, or a map that was exported as `gpkg`"
                .to_owned(),
        );
    }
    for element in document.root_element().children() {
        match element.tag_name().name() {
            "wpt" => {
                let shape = Geometry::Point(Point(place(element)?));
                found.draw("waypoints", properties(element, Some(element)), Some(shape))?;
            }
            "rte" => route(element, found)?,
            "trk" => track(element, found)?,
            _ => {}
        }
    }
    Ok(())
}

fn route(route: Node, found: &mut Gathering) -> Result<(), String> {
    let points: Vec<Node> = children(route, "rtept").collect();
    let line = line(&points)?;
    let properties = properties(route, points.first().copied());
    if line.0.len() < 2 {
        found.remark("a route with fewer than two points is left out");
        return Ok(());
    }
    found.draw("routes", properties, Some(Geometry::LineString(line)))
}

fn track(track: Node, found: &mut Gathering) -> Result<(), String> {
    let mut pieces = Vec::new();
    let mut first = None;
    for segment in children(track, "trkseg") {
        let points: Vec<Node> = children(segment, "trkpt").collect();
        first = first.or(points.first().copied());
        pieces.push(line(&points)?);
    }
    pieces.retain(|piece| piece.0.len() > 1);
    let properties = properties(track, first);
    match pieces.len() {
        0 => {
            found.remark("a track with fewer than two points is left out");
            Ok(())
        }
        1 => found.walk("tracks", properties, Geometry::LineString(pieces.remove(0))),
        _ => found.walk("tracks", properties, Geometry::MultiLineString(MultiLineString(pieces))),
    }
}

fn line(points: &[Node]) -> Result<LineString, String> {
    points.iter().map(|point| place(*point)).collect::<Result<Vec<Coord>, _>>().map(LineString)
}

/// What is said of it, with the day of its first point.
fn properties(element: Node, first: Option<Node>) -> Properties {
    let words = SAID.into_iter().filter_map(|name| Some((name, said(element, name)?)));
    let day = first.and_then(|point| said(point, "time")).map(|time| ("time", time));
    let mut all: Properties =
        words.chain(day).map(|(name, text)| (name.to_owned(), text.into())).collect();
    // What some programs add, a name and a text each.
    for extension in children(element, "extensions").flat_map(|it| it.descendants()) {
        let name = extension.tag_name().name();
        let is_leaf = extension.is_element() && !extension.children().any(|it| it.is_element());
        if let Some(text) = extension.text().map(str::trim).filter(|text| !text.is_empty())
            && is_leaf
            && !is(extension, "extensions")
            && !all.contains_key(name)
        {
            all.insert(name.to_owned(), text.into());
        }
    }
    all
}
