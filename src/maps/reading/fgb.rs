//! FlatGeobuf (its specification, version 3, <https://flatgeobuf.org/>): a header, an index that is
//! passed over, and a FlatBuffer a feature.

use geo::{
    Coord, Geometry, GeometryCollection, LineString, MultiLineString, MultiPoint, MultiPolygon,
    Point, Polygon,
};
use serde_json::Value;

use super::flat::{Table, doubles, number, sized};
use super::gathering::{Gathering, MOST_POSITIONS};
use super::{Source, stem};
use crate::maps::Properties;
use crate::maps::system::System;

/// Its first bytes: the name, and the version that is read here.
const MAGIC: &[u8] = b"fgb\x03fgb";
/// With the lesser version behind them.
const BEFORE_HEADER: usize = 8;
/// Of a node of the index, in bytes.
const NODE: u64 = 40;
const MOST_COLUMNS: usize = 500;
/// The longest name of a property, and text of a system, in bytes: each feature bears the names.
const LONGEST: usize = 256;
const LONGEST_SYSTEM: usize = 64 * 1024;
/// How deep shapes may lie in each other.
const DEEPEST: usize = 16;

// The fields of its tables that are asked for, by their places in the schema.
mod header {
    pub const GEOMETRY: usize = 2;
    pub const COLUMNS: usize = 7;
    pub const FEATURES: usize = 8;
    pub const NODE_SIZE: usize = 9;
    pub const SYSTEM: usize = 10;
}

/// A property of every feature.
struct Column {
    name: String,
    kind: u64,
}

pub(super) fn read(source: &Source, found: &mut Gathering) -> Result<(), String> {
    if !source.bytes.starts_with(MAGIC) {
        let found = match source.bytes {
            [] => "it is empty",
            [b'f', b'g', b'b', ..] => "it is FlatGeobuf of another version than 3",
            _ => "it does not begin as a FlatGeobuf does",
        };
        return Err(format!("{found}; save the map anew, as FlatGeobuf 3 or a GeoPackage"));
    }
    let (head, rest) = sized(source.bytes.get(BEFORE_HEADER..).unwrap_or_default())?;
    let head = Table::root(head)?;
    let columns: Vec<Column> = head
        .tables(header::COLUMNS, MOST_COLUMNS)?
        .into_iter()
        .map(|column| Ok(Column { name: column.text(0, LONGEST)?, kind: column.whole(1, 1)? }))
        .collect::<Result<_, String>>()?;
    let system = system(head, source)?;
    let kind = head.whole(header::GEOMETRY, 1)?;
    let features = head.whole(header::FEATURES, 8)?;
    let index = index_size(features, head.whole_or(header::NODE_SIZE, 2, 16)?);
    let index = index.and_then(|size| usize::try_from(size).ok());
    let mut rest =
        index.and_then(|size| rest.get(size..)).ok_or("its index is torn; save it anew")?;
    let layer = stem(source.name);
    let mut n = 0;
    while !rest.is_empty() {
        let (feature, behind) = sized(rest)?;
        rest = behind;
        let feature = Table::root(feature)?;
        let properties = properties(feature.list(1, 1)?, &columns)?;
        let mut room = Room(MOST_POSITIONS);
        let drawn =
            feature.table(0)?.map(|it| room.shape(it, kind, DEEPEST)).transpose()?.flatten();
        let drawn = drawn.map(|shape| system.to_wgs84(&shape)).transpose()?;
        found.draw(layer, properties, drawn)?;
        n += 1;
    }
    // Of what is written as it comes nobody knows how much there will be.
    match features {
        0 => Ok(()),
        _ if n == features => Ok(()),
        _ => Err(format!("it has {n} features of {features}; save it anew")),
    }
}

/// The one that it names, else the one that was told.
fn system(head: Table, source: &Source) -> Result<System, String> {
    let Some(said) = head.table(header::SYSTEM)? else {
        return source.system.cloned().ok_or_else(|| {
            "it does not say which system its positions are in; tell it with --system, like \
             `--system EPSG:4326`"
                .to_owned()
        });
    };
    let (registry, code, wkt) =
        (said.text(0, LONGEST)?, said.whole(1, 4)?, said.text(4, LONGEST_SYSTEM)?);
    let by_code = || {
        let registry = if registry.is_empty() { "EPSG" } else { &registry };
        System::of_code(&format!("{registry}:{code}"))
    };
    let own = if code != 0 { by_code() } else { System::of_wkt(&wkt) };
    own.or_else(|unknown| source.system.cloned().ok_or(unknown))
}

/// Of a packed tree over so many features, in bytes; none where it is left out.
fn index_size(features: u64, node_size: u64) -> Option<u64> {
    if node_size < 2 || features == 0 {
        return Some(0);
    }
    let (mut level, mut nodes) = (features, features);
    while level > 1 {
        level = level.div_ceil(node_size);
        nodes = nodes.checked_add(level)?;
    }
    // A tree over one feature has its root beside it.
    let nodes = if features == 1 { 2 } else { nodes };
    nodes.checked_mul(NODE)
}

fn properties(bytes: &[u8], columns: &[Column]) -> Result<Properties, String> {
    let mut properties = Properties::new();
    let mut at = 0;
    while at < bytes.len() {
        let column = columns.get(number(bytes, at, 2)? as usize);
        let column = column.ok_or("a feature has a property that the header does not name")?;
        at += 2;
        let (value, size) = value(bytes, at, column.kind)?;
        at += size;
        properties.insert(column.name.clone(), value);
    }
    Ok(properties)
}

/// A value of a kind of column, and how many bytes it takes.
fn value(bytes: &[u8], at: usize, kind: u64) -> Result<(Value, usize), String> {
    let whole = |size| number(bytes, at, size);
    Ok(match kind {
        0 => ((whole(1)? as u8 as i8).into(), 1),
        1 => (whole(1)?.into(), 1),
        2 => ((whole(1)? != 0).into(), 1),
        3 => ((whole(2)? as u16 as i16).into(), 2),
        4 => (whole(2)?.into(), 2),
        5 => ((whole(4)? as u32 as i32).into(), 4),
        6 => (whole(4)?.into(), 4),
        7 => ((whole(8)? as i64).into(), 8),
        8 => (whole(8)?.into(), 8),
        9 => (f64::from(f32::from_bits(whole(4)? as u32)).into(), 4),
        10 => (f64::from_bits(whole(8)?).into(), 8),
        11..=14 => {
            let size = whole(4)? as usize;
            let text = bytes.get(at + 4..).and_then(|rest| rest.get(..size));
            let text = text.ok_or("a property is longer than its feature; save it anew")?;
            let shown = match kind {
                14 => Value::Null,
                _ => String::from_utf8_lossy(text).into_owned().into(),
            };
            (shown, 4 + size)
        }
        other => return Err(format!("a property is of kind {other}, which nobody knows")),
    })
}

/// For how many more parts and positions of a feature there is room: parts may point at each other.
struct Room(usize);

impl Room {
    fn take(&mut self, n: usize) -> Result<(), String> {
        let left = self.0.checked_sub(n);
        self.0 = left.ok_or("a shape has more parts or positions than a map may; simplify it")?;
        Ok(())
    }

    /// `of_all` is what the header says of every shape that does not say it itself.
    fn shape(
        &mut self,
        table: Table,
        of_all: u64,
        deepest: usize,
    ) -> Result<Option<Geometry>, String> {
        if deepest == 0 {
            return Err("shapes lie too deep in each other; save them one by one".to_owned());
        }
        let kind = match table.whole(6, 1)? {
            0 => of_all,
            own => own,
        };
        let xy = table.list(1, 8)?;
        self.take(1 + xy.len() / 16 + table.list(0, 4)?.len() / 4)?;
        let all = positions(xy)?;
        Ok(match kind {
            1 => all.first().map(|at| Point(*at).into()),
            2..=5 if all.is_empty() => None,
            2 => Some(LineString(all).into()),
            3 => Some(ground(pieces(table, all)?)?.into()),
            4 => Some(MultiPoint(all.into_iter().map(Point).collect()).into()),
            5 => Some(MultiLineString(pieces(table, all)?).into()),
            6 => {
                // Whatever the header says of the whole.
                let grounds = self.parts(table, 3, deepest)?.into_iter().map(Polygon::try_from);
                let grounds: Result<_, _> = grounds.collect();
                let grounds = grounds.map_err(|_| "a ground of several has a part that is none")?;
                Some(MultiPolygon(grounds).into())
            }
            7 => {
                let parts = self.parts(table, 0, deepest)?;
                Some(Geometry::GeometryCollection(GeometryCollection(parts)))
            }
            8..=16 => {
                return Err("a shape is curved; save the layer anew with straight edges".to_owned());
            }
            other => {
                return Err(format!(
                    "a shape is of kind {other}, which is no point, line or ground"
                ));
            }
        })
    }

    fn parts(&mut self, of: Table, kind: u64, deepest: usize) -> Result<Vec<Geometry>, String> {
        let mut parts = Vec::new();
        for part in of.tables(7, self.0)? {
            parts.extend(self.shape(part, kind, deepest - 1)?);
        }
        Ok(parts)
    }
}

fn positions(xy: &[u8]) -> Result<Vec<Coord>, String> {
    let all: Vec<f64> = doubles(xy).collect();
    if all.iter().any(|number| !number.is_finite()) {
        return Err("a position is no number".to_owned());
    }
    Ok(all.chunks_exact(2).map(|at| Coord { x: at[0], y: at[1] }).collect())
}

/// Rings or lines, of which each says where it ends; one where none does.
fn pieces(table: Table, all: Vec<Coord>) -> Result<Vec<LineString>, String> {
    let ends = table.list(0, 4)?;
    if ends.is_empty() {
        return Ok(vec![LineString(all)]);
    }
    let (mut pieces, mut from) = (Vec::new(), 0);
    for end in ends.as_chunks::<4>().0 {
        let end = u32::from_le_bytes(*end) as usize;
        let piece = all.get(from..end).ok_or("a shape claims positions that are not there")?;
        pieces.push(LineString(piece.to_vec()));
        from = end;
    }
    Ok(pieces)
}

fn ground(rings: Vec<LineString>) -> Result<Polygon, String> {
    let mut rings = rings.into_iter();
    let outer = rings.next().ok_or("a ground has no outer ring")?;
    Ok(Polygon::new(outer, rings.collect()))
}
