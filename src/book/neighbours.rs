//! Sites on whose ground another site's patches may lie: two leaders may each have drawn one piece
//! of land, and called it differently.

use std::cell::OnceCell;

use geo::{BoundingRect, Intersects, MultiPolygon, Rect};
use rusqlite::Connection;

use super::fields::Fields;
use super::view::View;
use super::words::Words;

/// The box in degrees of every site, read when first needed and then kept while no site changes:
/// a large load asks for the neighbours of each of its sites.
#[derive(Debug, Default)]
pub(super) struct Boxes(OnceCell<Vec<(i64, Rect)>>);

impl Boxes {
    /// These sites, and those whose boxes meet one of theirs.
    pub(super) fn with_neighbours(
        &self,
        sites: &[i64],
        view: &View,
        book: &Connection,
    ) -> rusqlite::Result<Vec<i64>> {
        let all = match self.0.get() {
            Some(all) => all,
            None => {
                let all = boxes(view, book)?;
                self.0.get_or_init(|| all)
            }
        };
        let is_ours = |(place, _): &&(i64, Rect)| sites.contains(place);
        let (ours, others): (Vec<_>, Vec<_>) = all.iter().partition(is_ours);
        let meets = |other: &Rect| ours.iter().any(|(_, bounds)| bounds.intersects(other));
        let neighbours = others.into_iter().filter(|(_, bounds)| meets(bounds));
        Ok(sites.iter().copied().chain(neighbours.map(|(place, _)| place)).collect())
    }
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
