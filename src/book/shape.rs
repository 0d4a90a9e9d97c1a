//! Shapes as bytes: well-known binary (OGC 06-103r4, section 8), two-dimensional,
//! little-endian, so that every coordinate comes back bit for bit.

use geo::{
    Coord, Geometry, GeometryCollection, LineString, MultiLineString, MultiPoint, MultiPolygon,
    Point, Polygon,
};

const LITTLE_ENDIAN: u8 = 1;
const COORD_BYTES: usize = 16;
/// Collections inside collections beyond this are taken for damage.
const DEEPEST: u8 = 16;

mod code {
    pub const POINT: u32 = 1;
    pub const LINE_STRING: u32 = 2;
    pub const POLYGON: u32 = 3;
    pub const MULTI_POINT: u32 = 4;
    pub const MULTI_LINE_STRING: u32 = 5;
    pub const MULTI_POLYGON: u32 = 6;
    pub const COLLECTION: u32 = 7;
}

/// The bytes of a shape. A rectangle or triangle is written as the polygon it is, a single
/// segment as a line of two points: the format knows no others.
pub(super) fn to_bytes(shape: &Geometry) -> Vec<u8> {
    let mut bytes = Vec::new();
    write_shape(&mut bytes, shape);
    bytes
}

/// `None` where the bytes are not one whole shape.
pub(super) fn from_bytes(bytes: &[u8]) -> Option<Geometry> {
    let mut reader = Reader { left: bytes };
    let shape = reader.shape(DEEPEST)?;
    reader.left.is_empty().then_some(shape)
}

fn write_shape(bytes: &mut Vec<u8>, shape: &Geometry) {
    match shape {
        Geometry::Point(point) => write_point(bytes, point),
        Geometry::Line(line) => write_line(bytes, &LineString::from(*line)),
        Geometry::LineString(line) => write_line(bytes, line),
        Geometry::Polygon(polygon) => write_polygon(bytes, polygon),
        Geometry::Rect(rect) => write_polygon(bytes, &rect.to_polygon()),
        Geometry::Triangle(triangle) => write_polygon(bytes, &triangle.to_polygon()),
        Geometry::MultiPoint(MultiPoint(points)) => {
            write_parts(bytes, code::MULTI_POINT, points, write_point);
        }
        Geometry::MultiLineString(MultiLineString(lines)) => {
            write_parts(bytes, code::MULTI_LINE_STRING, lines, write_line);
        }
        Geometry::MultiPolygon(MultiPolygon(polygons)) => {
            write_parts(bytes, code::MULTI_POLYGON, polygons, write_polygon);
        }
        Geometry::GeometryCollection(GeometryCollection(shapes)) => {
            write_parts(bytes, code::COLLECTION, shapes, write_shape);
        }
    }
}

fn write_head(bytes: &mut Vec<u8>, code: u32) {
    bytes.push(LITTLE_ENDIAN);
    bytes.extend(code.to_le_bytes());
}

fn write_parts<T>(bytes: &mut Vec<u8>, code: u32, parts: &[T], write: fn(&mut Vec<u8>, &T)) {
    write_head(bytes, code);
    write_count(bytes, parts.len());
    for part in parts {
        write(bytes, part);
    }
}

/// A shape with more than `u32::MAX` parts does not fit in memory, let alone in a book.
fn write_count(bytes: &mut Vec<u8>, count: usize) {
    bytes.extend(u32::try_from(count).unwrap_or(u32::MAX).to_le_bytes());
}

fn write_coord(bytes: &mut Vec<u8>, coord: &Coord) {
    bytes.extend(coord.x.to_le_bytes());
    bytes.extend(coord.y.to_le_bytes());
}

fn write_coords(bytes: &mut Vec<u8>, line: &LineString) {
    write_count(bytes, line.0.len());
    for coord in &line.0 {
        write_coord(bytes, coord);
    }
}

fn write_point(bytes: &mut Vec<u8>, point: &Point) {
    write_head(bytes, code::POINT);
    write_coord(bytes, &point.0);
}

fn write_line(bytes: &mut Vec<u8>, line: &LineString) {
    write_head(bytes, code::LINE_STRING);
    write_coords(bytes, line);
}

fn write_polygon(bytes: &mut Vec<u8>, polygon: &Polygon) {
    write_head(bytes, code::POLYGON);
    write_count(bytes, 1 + polygon.interiors().len());
    write_coords(bytes, polygon.exterior());
    for ring in polygon.interiors() {
        write_coords(bytes, ring);
    }
}

/// Takes a shape apart from the front; `None` as soon as the bytes make no sense.
struct Reader<'a> {
    left: &'a [u8],
}

impl Reader<'_> {
    fn shape(&mut self, depth: u8) -> Option<Geometry> {
        match self.head()? {
            code::POINT => Some(Geometry::Point(Point(self.coord()?))),
            code::LINE_STRING => Some(Geometry::LineString(self.coords()?)),
            code::POLYGON => Some(Geometry::Polygon(self.rings()?)),
            code::MULTI_POINT => Some(Geometry::MultiPoint(MultiPoint(
                self.parts(|reader| reader.part(code::POINT)?.coord().map(Point))?,
            ))),
            code::MULTI_LINE_STRING => Some(Geometry::MultiLineString(MultiLineString(
                self.parts(|reader| reader.part(code::LINE_STRING)?.coords())?,
            ))),
            code::MULTI_POLYGON => Some(Geometry::MultiPolygon(MultiPolygon(
                self.parts(|reader| reader.part(code::POLYGON)?.rings())?,
            ))),
            code::COLLECTION => {
                let deeper = depth.checked_sub(1)?;
                let shapes = self.parts(|reader| reader.shape(deeper))?;
                Some(Geometry::GeometryCollection(GeometryCollection(shapes)))
            }
            _ => None,
        }
    }

    fn head(&mut self) -> Option<u32> {
        let [order] = self.take()?;
        let code = u32::from_le_bytes(self.take()?);
        (order == LITTLE_ENDIAN).then_some(code)
    }

    fn part(&mut self, expected: u32) -> Option<&mut Self> {
        (self.head()? == expected).then_some(self)
    }

    fn parts<T>(&mut self, read: impl FnMut(&mut Self) -> Option<T>) -> Option<Vec<T>> {
        let count = self.count()?;
        self.so_many(count, read)
    }

    /// Most shapes have one part, and a large book many shapes: room is made for no more.
    fn so_many<T>(
        &mut self,
        count: u32,
        mut read: impl FnMut(&mut Self) -> Option<T>,
    ) -> Option<Vec<T>> {
        let mut parts = Vec::new();
        for _ in 0..count {
            let part = read(self)?;
            if parts.is_empty() {
                // No part takes less than a byte, whatever number of them is told.
                parts.reserve_exact(self.left.len().min(count as usize - 1) + 1);
            }
            parts.push(part);
        }
        Some(parts)
    }

    fn rings(&mut self) -> Option<Polygon> {
        let interiors = self.count()?.checked_sub(1)?;
        let exterior = self.coords()?;
        Some(Polygon::new(exterior, self.so_many(interiors, Self::coords)?))
    }

    fn coords(&mut self) -> Option<LineString> {
        let count = usize::try_from(self.count()?).ok()?;
        let (coords, left) = self.left.split_at_checked(count.checked_mul(COORD_BYTES)?)?;
        self.left = left;
        Some(LineString(coords.as_chunks().0.iter().map(coord).collect()))
    }

    fn coord(&mut self) -> Option<Coord> {
        self.take().as_ref().map(coord)
    }

    fn count(&mut self) -> Option<u32> {
        self.take().map(u32::from_le_bytes)
    }

    fn take<const N: usize>(&mut self) -> Option<[u8; N]> {
        let (head, left) = self.left.split_first_chunk()?;
        self.left = left;
        Some(*head)
    }
}

fn coord(bytes: &[u8; COORD_BYTES]) -> Coord {
    let both = u128::from_le_bytes(*bytes);
    Coord { x: f64::from_bits(both as u64), y: f64::from_bits((both >> 64) as u64) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    fn fixed() -> ProptestConfig {
        ProptestConfig {
            rng_seed: RngSeed::Fixed(20_270_315),
            failure_persistence: None,
            ..ProptestConfig::with_cases(300)
        }
    }

    fn coords() -> impl Strategy<Value = LineString> {
        let coord = (any::<u64>(), any::<u64>())
            .prop_map(|(x, y)| Coord { x: f64::from_bits(x), y: f64::from_bits(y) });
        prop::collection::vec(coord, 0..6).prop_map(LineString)
    }

    /// Closed already, since a polygon closes its rings when it is made.
    fn ring() -> impl Strategy<Value = LineString> {
        coords().prop_map(|mut line| {
            line.0.retain(|at| !at.x.is_nan() && !at.y.is_nan());
            line.close();
            line
        })
    }

    fn polygon() -> impl Strategy<Value = Polygon> {
        (ring(), prop::collection::vec(ring(), 0..3))
            .prop_map(|(exterior, interiors)| Polygon::new(exterior, interiors))
    }

    fn shapes() -> impl Strategy<Value = Geometry> {
        let leaf = prop_oneof![
            coords().prop_map(Geometry::from),
            polygon().prop_map(Geometry::from),
            coords().prop_map(|line| MultiPoint(line.into_points()).into()),
            prop::collection::vec(coords(), 0..4).prop_map(|all| MultiLineString(all).into()),
            prop::collection::vec(polygon(), 0..4).prop_map(|all| MultiPolygon(all).into()),
        ];
        leaf.prop_recursive(3, 12, 3, |inner| {
            prop::collection::vec(inner, 0..3)
                .prop_map(|all| Geometry::GeometryCollection(GeometryCollection(all)))
        })
    }

    proptest! {
        #![proptest_config(fixed())]

        #[test]
        fn a_shape_comes_back_bit_for_bit(shape in shapes()) {
            let bytes = to_bytes(&shape);
            let back = from_bytes(&bytes).unwrap();
            // Compared as bytes and as text: a NaN is never equal to itself.
            prop_assert_eq!(to_bytes(&back), bytes);
            prop_assert_eq!(format!("{back:?}"), format!("{shape:?}"));
        }

        #[test]
        fn bytes_that_are_cut_short_or_spoiled_are_no_shape_or_another_but_never_a_panic(
            shape in shapes(), at in any::<prop::sample::Index>(), byte in any::<u8>(),
        ) {
            let bytes = to_bytes(&shape);
            let at = at.index(bytes.len());
            prop_assert!(from_bytes(&bytes[..at]).is_none());
            let mut spoiled = bytes;
            spoiled[at] = byte;
            if let Some(other) = from_bytes(&spoiled) {
                prop_assert!(from_bytes(&to_bytes(&other)).is_some());
            }
        }
    }

    /// The point (1, 2) in OGC 06-103r4's encoding, byte for byte.
    #[test]
    fn a_point_is_written_as_the_standard_has_it() {
        let bytes = to_bytes(&Geometry::Point(Point::new(1.0, 2.0)));
        let expected = [1, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0xf0, 0x3f, 0, 0, 0, 0, 0, 0, 0, 0x40];
        assert_eq!(bytes, expected);
    }

    #[test]
    fn collections_without_end_are_taken_for_damage() {
        let mut bytes = Vec::new();
        for _ in 0..100_000 {
            write_head(&mut bytes, code::COLLECTION);
            write_count(&mut bytes, 1);
        }
        assert_eq!(from_bytes(&bytes), None);
    }
}
