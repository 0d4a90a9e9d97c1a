//! A way to walk, from a GPX file.

use std::fs::File;
use std::io::BufReader;
use std::path::Path;

use geo::{Coord, LineString};

use crate::cli::failure::Failure;

/// The tracks and routes of a GPX file, one after the other, as one line.
///
/// # Errors
/// A file that is not there, is no GPX, or has no line in it.
pub fn route(path: &Path) -> Result<LineString, Failure> {
    let named = |problem: String| Failure::Wrong(format!("`{}`: {problem}", path.display()));
    let file = File::open(path)
        .map_err(|error| Failure::Wrong(format!("could not read `{}`: {error}", path.display())))?;
    let read = gpx::read(BufReader::new(file))
        .map_err(|error| named(format!("this is no GPX file that can be read: {error}")))?;
    let tracks = read.tracks.iter().flat_map(|track| &track.segments);
    let tracked = tracks.flat_map(|segment| &segment.points);
    let routed = read.routes.iter().flat_map(|route| &route.points);
    let places: Vec<Coord> = tracked.chain(routed).map(|waypoint| waypoint.point().0).collect();
    let is_on_earth = |place: &Coord| place.x.abs() <= 180.0 && place.y.abs() <= 90.0;
    if !places.iter().all(is_on_earth) {
        return Err(named("it has a point that is not on Earth".to_owned()));
    }
    if places.len() < 2 {
        return Err(named(
            "there is no track and no route of two points or more in it; single waypoints make \
             no way"
                .to_owned(),
        ));
    }
    Ok(LineString::new(places))
}
