//! Shapes out of bytes: well-known binary (ISO 19125), in the dialects that are met, and the
//! header of a GeoPackage (OGC 12-128r18, 2.1.3).

use geo::{
    Coord, Geometry, GeometryCollection, LineString, MultiLineString, MultiPoint, MultiPolygon,
    Point, Polygon,
};

/// How deep shapes lie in each other at most.
const DEEPEST: usize = 8;

/// Flags of PostGIS's dialect in the kind of a shape: height, measure, and a system before it.
const HAS_Z: u32 = 0x8000_0000;
const HAS_M: u32 = 0x4000_0000;
const HAS_SYSTEM: u32 = 0x2000_0000;

/// The shape of a GeoPackage's blob; `None` for an empty one.
pub(super) fn of_blob(blob: &[u8]) -> Result<Option<Geometry>, String> {
    let broken = || "a shape is no GeoPackage geometry; save the layer anew".to_owned();
    let (Some([b'G', b'P', _, flags]), Some(_)) = (blob.get(..4), blob.get(4..8)) else {
        return Err(broken());
    };
    if flags & 0b0010_0000 != 0 {
        return Err(
            "a shape is of an extended kind; save the layer anew with plain shapes".to_owned()
        );
    }
    let bounds = match flags >> 1 & 0b111 {
        0 => 0,
        1 => 32,
        2 | 3 => 48,
        4 => 64,
        _ => return Err(broken()),
    };
    let body = blob.get(8 + bounds..).ok_or_else(broken)?;
    read(body)
}

/// A shape; `None` for an empty one. Heights and measures are passed over.
fn read(bytes: &[u8]) -> Result<Option<Geometry>, String> {
    let mut reader = Reader { rest: bytes };
    reader.shape(DEEPEST)
}

struct Reader<'a> {
    rest: &'a [u8],
}

/// How the numbers of a shape are written.
#[derive(Clone, Copy)]
struct Written {
    little: bool,
    /// Numbers of a position: longitude, latitude, and what is passed over.
    numbers: usize,
}

impl<'a> Reader<'a> {
    fn take<const N: usize>(&mut self) -> Result<[u8; N], String> {
        let (taken, rest) =
            self.rest.split_first_chunk::<N>().ok_or("a shape ends in the middle")?;
        self.rest = rest;
        Ok(*taken)
    }

    fn whole(&mut self, little: bool) -> Result<u32, String> {
        let bytes = self.take()?;
        Ok(if little { u32::from_le_bytes(bytes) } else { u32::from_be_bytes(bytes) })
    }

    fn real(&mut self, little: bool) -> Result<f64, String> {
        let bytes = self.take()?;
        Ok(if little { f64::from_le_bytes(bytes) } else { f64::from_be_bytes(bytes) })
    }

    /// How many follow, each of at least so many bytes.
    fn count(&mut self, little: bool, least: usize) -> Result<usize, String> {
        let count = self.whole(little)? as usize;
        match count.checked_mul(least).is_some_and(|bytes| bytes <= self.rest.len()) {
            true => Ok(count),
            false => Err(format!("a shape claims {count} parts that are not there")),
        }
    }

    fn shape(&mut self, deepest: usize) -> Result<Option<Geometry>, String> {
        if deepest == 0 {
            return Err("shapes lie too deep in each other; save them one by one".to_owned());
        }
        let [order] = self.take()?;
        let little = match order {
            0 => false,
            1 => true,
            other => return Err(format!("a shape begins with the byte {other}, and not 0 or 1")),
        };
        let kind = self.whole(little)?;
        let plain = kind & !(HAS_Z | HAS_M | HAS_SYSTEM);
        if kind & HAS_SYSTEM != 0 {
            self.whole(little)?;
        }
        // 1000 for a height, 2000 for a measure, 3000 for both.
        let more = match plain / 1000 {
            0 => usize::from(kind & HAS_Z != 0) + usize::from(kind & HAS_M != 0),
            1 | 2 => 1,
            _ => 2,
        };
        let written = Written { little, numbers: 2 + more };
        Ok(match plain % 1000 {
            1 => self.position(written)?.map(|at| Geometry::Point(Point(at))),
            2 => some(Geometry::LineString(self.line(written)?)),
            3 => some(Geometry::Polygon(self.polygon(written)?)),
            kind @ 4..=7 => self.several(kind, little, deepest)?,
            8..=14 => {
                return Err("a shape is curved; save the layer anew with straight edges".to_owned());
            }
            other => {
                return Err(format!(
                    "a shape is of kind {other}, which is no point, line or ground"
                ));
            }
        })
    }

    /// `None` where it is empty, which is written as no number.
    fn position(&mut self, written: Written) -> Result<Option<Coord>, String> {
        let (x, y) = (self.real(written.little)?, self.real(written.little)?);
        for _ in 2..written.numbers {
            self.real(written.little)?;
        }
        Ok((x.is_finite() && y.is_finite()).then_some(Coord { x, y }))
    }

    fn line(&mut self, written: Written) -> Result<LineString, String> {
        let count = self.count(written.little, 8 * written.numbers)?;
        let place = |_| self.position(written)?.ok_or("a position is no number".to_owned());
        (0..count).map(place).collect::<Result<_, _>>().map(LineString)
    }

    fn polygon(&mut self, written: Written) -> Result<Polygon, String> {
        let count = self.count(written.little, 4)?;
        let rings = (0..count).map(|_| self.line(written)).collect::<Result<Vec<_>, _>>()?;
        let mut rings = rings.into_iter();
        let outer = rings.next().unwrap_or(LineString(Vec::new()));
        Ok(Polygon::new(outer, rings.collect()))
    }

    fn several(
        &mut self,
        kind: u32,
        little: bool,
        deepest: usize,
    ) -> Result<Option<Geometry>, String> {
        let count = self.count(little, 5)?;
        let mut parts = Vec::new();
        for _ in 0..count {
            parts.extend(self.shape(deepest - 1)?);
        }
        if parts.is_empty() {
            return Ok(None);
        }
        let wrong = || "a shape has parts of another kind than its own".to_owned();
        Ok(Some(match kind {
            4 => MultiPoint(parts_of(parts).ok_or_else(wrong)?).into(),
            5 => MultiLineString(parts_of(parts).ok_or_else(wrong)?).into(),
            6 => MultiPolygon(parts_of(parts).ok_or_else(wrong)?).into(),
            _ => Geometry::GeometryCollection(GeometryCollection(parts)),
        }))
    }
}

fn parts_of<T: TryFrom<Geometry>>(parts: Vec<Geometry>) -> Option<Vec<T>> {
    parts.into_iter().map(|part| T::try_from(part).ok()).collect()
}

fn some(shape: Geometry) -> Option<Geometry> {
    use geo::CoordsIter;
    (shape.coords_count() > 0).then_some(shape)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bytes(hex: &str) -> Vec<u8> {
        let digits = |at| u8::from_str_radix(&hex[at..at + 2], 16).unwrap();
        (0..hex.len()).step_by(2).map(digits).collect()
    }

    /// The example of OGC 06-103r4 (Simple Feature Access, part 1) as it is commonly printed:
    /// POINT(2 4), big-endian; and the same little-endian.
    #[test]
    fn a_published_point_is_read_in_either_order() {
        let point = Some(Geometry::Point(Point::new(2.0, 4.0)));
        let big = bytes("000000000140000000000000004010000000000000");
        let little = bytes("010100000000000000000000400000000000001040");
        assert_eq!(read(&big).as_ref(), Ok(&point));
        assert_eq!(read(&little).as_ref(), Ok(&point));
    }

    #[test]
    fn heights_are_passed_over_in_both_dialects() {
        let point = Some(Geometry::Point(Point::new(2.0, 4.0)));
        let end = "000000000000004000000000000010400000000000001440";
        assert_eq!(read(&bytes(&format!("01e9030000{end}"))).as_ref(), Ok(&point));
        assert_eq!(read(&bytes(&format!("0101000080{end}"))).as_ref(), Ok(&point));
        assert_eq!(read(&bytes(&format!("01010000a0e6100000{end}"))).as_ref(), Ok(&point));
    }

    #[test]
    fn what_claims_more_than_it_holds_or_lies_too_deep_is_refused_before_it_is_made() {
        let line = "0102000000ffffffff";
        assert!(read(&bytes(line)).unwrap_err().contains("not there"));
        let deep = "010700000001000000".repeat(5000);
        assert!(read(&bytes(&deep)).unwrap_err().contains("too deep"));
        assert!(read(&bytes("0108000000")).unwrap_err().contains("curved"));
        assert!(of_blob(b"GP\0\x01").is_err() && of_blob(b"").is_err());
    }
}
