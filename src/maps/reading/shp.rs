//! Shapefile: shapes (ESRI, Shapefile Technical Description, July 1998), with the table and the
//! system that lie beside them.

use geo::{
    Contains, Coord, Geometry, LineString, MultiLineString, MultiPoint, MultiPolygon, Point,
    Polygon, Winding,
};

use super::gathering::Gathering;
use super::{Source, dbf, ending, stem};
use crate::maps::Properties;
use crate::maps::system::System;

/// The file code 9994, big-endian.
pub(super) const MAGIC: [u8; 4] = [0, 0, 0x27, 0x0a];

const HEADER: usize = 100;
/// The most rings of one shape: each hole is held against each outer ring.
const MOST_RINGS: usize = 2000;

pub(super) fn read(source: &Source, found: &mut Gathering) -> Result<(), String> {
    let beside = |end: &str| {
        let file = source.beside.iter().find(|(name, _)| ending(name) == end);
        file.map(|(_, bytes)| bytes.as_slice())
    };
    let system = match (beside("prj"), source.system) {
        (Some(prj), told) => match (System::of_wkt(&String::from_utf8_lossy(prj)), told) {
            (Ok(system), _) => system,
            (Err(_), Some(told)) => told.clone(),
            (Err(unknown), None) => return Err(unknown),
        },
        (None, Some(told)) => told.clone(),
        (None, None) => {
            return Err(
                "there is no `.prj` beside it that says which system its positions are in; \
                        tell it with --system, like `--system EPSG:4326`"
                    .to_owned(),
            );
        }
    };
    let rows = match beside("dbf") {
        Some(table) => dbf::read(table, beside("cpg"))?,
        None => {
            found.remark("there is no `.dbf` beside it, so that its shapes have no names");
            Vec::new()
        }
    };
    let layer = stem(source.name);
    let mut rows = rows.into_iter();
    let mut rest = source.bytes.get(HEADER..).unwrap_or_default();
    while !rest.is_empty() {
        let (shape, behind) = record(rest)?;
        rest = behind;
        match rows.next() {
            // A row that was struck out.
            Some(None) => {}
            Some(Some(properties)) => draw(layer, properties, shape, &system, found)?,
            None => draw(layer, Properties::new(), shape, &system, found)?,
        }
    }
    Ok(())
}

fn draw(
    layer: &str,
    properties: Properties,
    shape: Option<Geometry>,
    system: &System,
    found: &mut Gathering,
) -> Result<(), String> {
    let shape = shape.map(|shape| system.to_wgs84(&shape)).transpose()?;
    found.draw(layer, properties, shape)
}

/// One shape and what is behind it. Lengths are in words of two bytes.
fn record(bytes: &[u8]) -> Result<(Option<Geometry>, &[u8]), String> {
    let ends = || "it ends in the middle of a shape; copy it again".to_owned();
    let (head, rest) = bytes.split_at_checked(8).ok_or_else(ends)?;
    let [_, _, _, _, a, b, c, d] = head else { return Err(ends()) };
    let words = u32::from_be_bytes([*a, *b, *c, *d]) as usize;
    let length = words.checked_mul(2).ok_or_else(ends)?;
    let (body, behind) = rest.split_at_checked(length).ok_or_else(ends)?;
    Ok((shape(body).ok_or_else(ends)??, behind))
}

/// `None` where the bytes end too early.
fn shape(body: &[u8]) -> Option<Result<Option<Geometry>, String>> {
    let kind = whole(body, 0)?;
    // 10 more with a height, 20 with a measure: both stand behind the rest.
    Some(Ok(match kind {
        0 => None,
        1 | 11 | 21 => Some(Geometry::Point(Point(place(body, 4)?))),
        8 | 18 | 28 => Some(
            MultiPoint(
                places(body, 40, count(body, 36, 40, 16)?)?.into_iter().map(Point).collect(),
            )
            .into(),
        ),
        3 | 13 | 23 => Some(lines(parts(body)?)),
        5 | 15 | 25 => return Some(ground(parts(body)?).map(Some)),
        other => {
            return Some(Err(format!(
                "it has shapes of kind {other}; save it anew as points, lines or polygons"
            )));
        }
    }))
}

/// The parts of a line or of ground: where each begins, then all positions.
fn parts(body: &[u8]) -> Option<Vec<LineString>> {
    const STARTS: usize = 44;
    let n = count(body, 36, STARTS, 4)?;
    let all = STARTS + 4 * n;
    let points = count(body, 40, all, 16)?;
    let starts: Vec<usize> =
        (0..n).map(|part| whole(body, STARTS + 4 * part)).collect::<Option<_>>()?;
    let positions = places(body, all, points)?;
    let ends = starts.iter().skip(1).copied().chain([points]);
    let part =
        |(start, end): (&usize, usize)| Some(LineString(positions.get(*start..end)?.to_vec()));
    starts.iter().zip(ends).map(part).collect()
}

fn lines(mut parts: Vec<LineString>) -> Geometry {
    match parts.len() {
        1 => Geometry::LineString(parts.remove(0)),
        _ => Geometry::MultiLineString(MultiLineString(parts)),
    }
}

/// Outer rings are wound clockwise, holes the other way; a hole belongs to the ring round it.
fn ground(parts: Vec<LineString>) -> Result<Geometry, String> {
    if parts.len() > MOST_RINGS {
        return Err(format!("a shape has {} rings; simplify it", parts.len()));
    }
    let (outer, holes): (Vec<_>, Vec<_>) = parts.into_iter().partition(|ring| !ring.is_ccw());
    let mut polygons: Vec<Polygon> =
        outer.into_iter().map(|ring| Polygon::new(ring, Vec::new())).collect();
    for hole in holes {
        let first = hole.0.first().copied().map(Point);
        let around = polygons.iter_mut().find(|polygon| {
            let ring = Polygon::new(polygon.exterior().clone(), Vec::new());
            first.is_some_and(|first| ring.contains(&first))
        });
        match around {
            Some(polygon) => polygon.interiors_push(hole),
            // Some programs wind outer rings the other way.
            None => polygons.push(Polygon::new(hole, Vec::new())),
        }
    }
    Ok(match polygons.len() {
        1 => Geometry::Polygon(polygons.remove(0)),
        _ => Geometry::MultiPolygon(MultiPolygon(polygons)),
    })
}

fn whole(bytes: &[u8], at: usize) -> Option<usize> {
    let number = bytes.get(at..)?.first_chunk::<4>()?;
    usize::try_from(i32::from_le_bytes(*number)).ok()
}

/// How many there are by the number at `at`, where each takes `size` bytes from `from` on.
fn count(bytes: &[u8], at: usize, from: usize, size: usize) -> Option<usize> {
    let count = whole(bytes, at)?;
    let room = bytes.len().checked_sub(from)?;
    (count.checked_mul(size)? <= room).then_some(count)
}

fn place(bytes: &[u8], at: usize) -> Option<Coord> {
    let number = |at: usize| bytes.get(at..)?.first_chunk::<8>().map(|it| f64::from_le_bytes(*it));
    Some(Coord { x: number(at)?, y: number(at + 8)? })
}

fn places(bytes: &[u8], from: usize, count: usize) -> Option<Vec<Coord>> {
    (0..count).map(|n| place(bytes, from + 16 * n)).collect()
}
