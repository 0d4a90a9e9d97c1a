//! Sites on whose ground another site's patches may lie: two leaders may each have drawn one piece
//! of land, and called it differently.

use geo::{BoundingRect, Intersects, MultiPolygon, Rect};
use rusqlite::Connection;

use super::fields::Fields;
use super::view::View;
use super::words::Words;

/// These sites, and those whose boxes in degrees meet one of theirs.
pub(super) fn with_neighbours(
    sites: &[i64],
    view: &View,
    book: &Connection,
) -> rusqlite::Result<Vec<i64>> {
    let all = boxes(view, book)?;
    let (ours, others): (Vec<_>, Vec<_>) =
        all.into_iter().partition(|(place, _)| sites.contains(place));
    let meets = |other: &Rect| ours.iter().any(|(_, bounds)| bounds.intersects(other));
    let neighbours = others.into_iter().filter(|(_, bounds)| meets(bounds));
    Ok(sites.iter().copied().chain(neighbours.map(|(place, _)| place)).collect())
}

/// The box in degrees of every site.
pub(super) fn boxes(view: &View, book: &Connection) -> rusqlite::Result<Vec<(i64, Rect)>> {
    let mut found = Vec::new();
    let mut words = Words::default();
    let mut sites = book.prepare_cached("SELECT id, recorded_on, place, boundary FROM site")?;
    let mut rows = sites.query([])?;
    while let Some(row) = rows.next()? {
        let mut fields = Fields::of(row, &mut words);
        if view.counts(fields.id()?, fields.day()?) {
            let (place, boundary) = (fields.whole()?, fields.shape::<MultiPolygon>()?);
            found.extend(boundary.bounding_rect().map(|bounds| (place, bounds)));
        }
    }
    Ok(found)
}
