//! A way to walk, from a GPX file.

use geo::{Coord, LineString};
use roxmltree::Node;

use super::text::{children, decoded, document, is};

/// The tracks and then the routes of a GPX file, one after the other, as one line.
///
/// # Errors
/// What is no GPX, or has a point without a position.
pub fn way(bytes: &[u8]) -> Result<LineString, String> {
    let text = decoded(bytes)?;
    let document = document(&text)?;
    let root = document.root_element();
    if !is(root, "gpx") {
        return Err("there is no `gpx` around it".to_owned());
    }
    let tracks = children(root, "trk").flat_map(|track| children(track, "trkseg"));
    let tracked = tracks.flat_map(|segment| children(segment, "trkpt"));
    let routed = children(root, "rte").flat_map(|route| children(route, "rtept"));
    tracked.chain(routed).map(place).collect::<Result<_, _>>().map(LineString)
}

/// Where a point lies, in degrees.
pub(super) fn place(point: Node) -> Result<Coord, String> {
    let degrees = |name: &str| -> Option<f64> {
        let value: f64 = point.attribute(name)?.trim().parse().ok()?;
        value.is_finite().then_some(value)
    };
    let at = degrees("lon").zip(degrees("lat"));
    at.map(|(x, y)| Coord { x, y }).ok_or_else(|| {
        let line = point.document().text_pos_at(point.range().start).row;
        format!("line {line}: a point has no longitude and latitude in degrees; mend or delete it")
    })
}
