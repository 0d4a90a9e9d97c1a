//! A way to walk, from a GPX file.

use std::fs;
use std::path::Path;

use geo::{Coord, LineString};

use crate::cli::failure::Failure;
use crate::maps::way;

/// The tracks and routes of a GPX file, one after the other, as one line.
///
/// # Errors
/// A file that is not there, is no GPX, or has no line in it.
pub fn route(path: &Path) -> Result<LineString, Failure> {
    let named = |problem: String| Failure::Wrong(format!("`{}`: {problem}", path.display()));
    let bytes = fs::read(path)
        .map_err(|error| Failure::Wrong(format!("could not read `{}`: {error}", path.display())))?;
    let way = way(&bytes)
        .map_err(|error| named(format!("this is no GPX file that can be read: {error}")))?;
    let is_on_earth = |place: &Coord| place.x.abs() <= 180.0 && place.y.abs() <= 90.0;
    if !way.0.iter().all(is_on_earth) {
        return Err(named("it has a point that is not on Earth".to_owned()));
    }
    if way.0.len() < 2 {
        return Err(named(
            "there is no track and no route of two points or more in it; single waypoints make \
             no way"
                .to_owned(),
        ));
    }
    Ok(way)
}
