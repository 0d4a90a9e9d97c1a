//! Shapes as bytes (well-known binary, ISO 19125), and the header that a GeoPackage puts before
//! them (OGC 12-128r18, 2.1.3).

use geo::{BoundingRect, Coord, Geometry, LineString, Polygon};

/// WGS84 longitude and latitude.
pub(super) const WGS84: i32 = 4326;

const LITTLE_ENDIAN: u8 = 1;

/// Of a GeoPackage's header: numbers are little-endian; behind the system four bounds.
const FLAGS: u8 = 0b0000_0001;
const WITH_BOUNDS: u8 = 0b0000_0010;

/// A shape as a GeoPackage keeps it; a point has no bounds before it.
pub(super) fn blob(shape: &Geometry) -> Vec<u8> {
    let mut bytes = b"GP\0".to_vec();
    let bounds = match shape {
        Geometry::Point(_) => None,
        _ => shape.bounding_rect(),
    };
    bytes.push(FLAGS | bounds.map_or(0, |_| WITH_BOUNDS));
    bytes.extend(WGS84.to_le_bytes());
    if let Some(bounds) = bounds {
        let (least, most) = (bounds.min(), bounds.max());
        for bound in [least.x, most.x, least.y, most.y] {
            bytes.extend(bound.to_le_bytes());
        }
    }
    write(shape, &mut bytes);
    bytes
}

fn write(shape: &Geometry, out: &mut Vec<u8>) {
    match shape {
        Geometry::Point(point) => {
            begin(1, out);
            position(point.0, out);
        }
        Geometry::LineString(line) => {
            begin(2, out);
            positions(line, out);
        }
        Geometry::Line(line) => write(&LineString::from(*line).into(), out),
        Geometry::Polygon(polygon) => {
            begin(3, out);
            count(1 + polygon.interiors().len(), out);
            positions(polygon.exterior(), out);
            polygon.interiors().iter().for_each(|ring| positions(ring, out));
        }
        Geometry::Rect(rect) => write(&Polygon::from(*rect).into(), out),
        Geometry::Triangle(triangle) => write(&triangle.to_polygon().into(), out),
        Geometry::MultiPoint(points) => several(4, points.0.iter().copied(), out),
        Geometry::MultiLineString(lines) => several(5, lines.0.iter().cloned(), out),
        Geometry::MultiPolygon(polygons) => several(6, polygons.0.iter().cloned(), out),
        Geometry::GeometryCollection(shapes) => several(7, shapes.0.iter().cloned(), out),
    }
}

fn several<T: Into<Geometry>>(
    kind: u32,
    parts: impl ExactSizeIterator<Item = T>,
    out: &mut Vec<u8>,
) {
    begin(kind, out);
    count(parts.len(), out);
    parts.for_each(|part| write(&part.into(), out));
}

fn begin(kind: u32, out: &mut Vec<u8>) {
    out.push(LITTLE_ENDIAN);
    out.extend(kind.to_le_bytes());
}

fn count(n: usize, out: &mut Vec<u8>) {
    out.extend(u32::try_from(n).unwrap_or(u32::MAX).to_le_bytes());
}

fn positions(line: &LineString, out: &mut Vec<u8>) {
    count(line.0.len(), out);
    line.0.iter().for_each(|at| position(*at, out));
}

fn position(at: Coord, out: &mut Vec<u8>) {
    out.extend(at.x.to_le_bytes());
    out.extend(at.y.to_le_bytes());
}
