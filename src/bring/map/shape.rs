//! Shapes that are gathered in one another made plain, and told in a few words.

use geo::orient::{Direction, Orient};
use geo::{
    Geodesic, GeodesicArea, Geometry, Length, LineString, MultiLineString, MultiPoint,
    MultiPolygon, Point, Polygon,
};

use crate::units::{Metres, SquareMetres};

/// Without a collection round it: of shapes of one sort the one shape that they make.
///
/// # Errors
/// Shapes of several sorts.
pub(super) fn plain(shape: &Geometry) -> Result<Geometry, String> {
    let mut parts = Parts::default();
    match shape {
        Geometry::GeometryCollection(all) => all.0.iter().for_each(|shape| parts.gather(shape)),
        Geometry::MultiPoint(points) if points.0.len() == 1 => parts.points.extend(&points.0),
        Geometry::MultiPolygon(ground) if ground.0.len() == 1 => parts.gather(shape),
        Geometry::MultiLineString(lines) if lines.0.len() == 1 => parts.gather(shape),
        other => return Ok(other.clone()),
    }
    let Parts { mut points, mut lines, mut ground } = parts;
    Ok(match (points.len(), lines.len(), ground.len()) {
        (0, 0, 0) => return Err("it draws nothing; delete it".to_owned()),
        (1, 0, 0) => points.remove(0).into(),
        (_, 0, 0) => MultiPoint(points).into(),
        (0, 1, 0) => lines.remove(0).into(),
        (0, _, 0) => MultiLineString(lines).into(),
        (0, 0, 1) => ground.remove(0).into(),
        (0, 0, _) => MultiPolygon(ground).into(),
        _ => {
            return Err(
                "it is drawn of points, lines and ground together; make a feature of each \
                        in a mapping program"
                    .to_owned(),
            );
        }
    })
}

#[derive(Default)]
struct Parts {
    points: Vec<Point>,
    lines: Vec<LineString>,
    ground: Vec<Polygon>,
}

impl Parts {
    fn gather(&mut self, shape: &Geometry) {
        match shape {
            Geometry::Point(point) => self.points.push(*point),
            Geometry::MultiPoint(points) => self.points.extend(&points.0),
            Geometry::Line(line) => self.lines.push((*line).into()),
            Geometry::LineString(line) => self.lines.push(line.clone()),
            Geometry::MultiLineString(lines) => self.lines.extend(lines.0.iter().cloned()),
            Geometry::Polygon(polygon) => self.ground.push(polygon.clone()),
            Geometry::MultiPolygon(polygons) => self.ground.extend(polygons.0.iter().cloned()),
            Geometry::Rect(rect) => self.ground.push((*rect).into()),
            Geometry::Triangle(triangle) => self.ground.push(triangle.to_polygon()),
            Geometry::GeometryCollection(all) => all.0.iter().for_each(|shape| self.gather(shape)),
        }
    }
}

/// `ground of 332 m²`, `a line of 120 m`, `a point`.
pub(super) fn told(shape: &Geometry) -> String {
    // A ring that is wound the other way encloses the rest of the Earth.
    let ground = |ground: MultiPolygon| {
        let area = ground.orient(Direction::Default).geodesic_area_unsigned();
        format!("ground of {}", SquareMetres(area))
    };
    let line = |length: f64| format!("a line of {}", Metres(length));
    match shape {
        Geometry::Polygon(polygon) => ground(polygon.clone().into()),
        Geometry::MultiPolygon(polygons) => ground(polygons.clone()),
        Geometry::LineString(way) => line(Geodesic.length(way)),
        Geometry::MultiLineString(ways) => line(Geodesic.length(ways)),
        Geometry::MultiPoint(points) => format!("{} points", points.0.len()),
        _ => "a point".to_owned(),
    }
}
