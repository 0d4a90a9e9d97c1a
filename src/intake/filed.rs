//! A kind of record as files have it.

use geo::Geometry;

use super::column::{Cell, Column};
use super::fields::{Fields, Signature};
use super::known::Gazetteer;
use super::problem::Finding;
use super::tally::Reported;
use crate::records::Listed;
use crate::units::Measure;

/// How a kind of record is written in a file and read from it.
pub(super) trait Filed: Listed {
    /// The columns of a CSV of it, or the properties of a feature.
    const COLUMNS: &'static [Column];

    /// What one row says; `None` for one that is left out. Features are read with their
    /// shapes, and the rows of a survey are gathered.
    fn read(
        fields: &mut Fields<'_>,
        _: &Gazetteer<'_>,
    ) -> Result<Option<(Self, Signature)>, Reported> {
        let found = format!("a {} is not told in a single row", Self::NAME);
        Err(fields.refuse_all(Finding::new(found, "a file of another form")))
    }

    /// The record alone, without dates and names: one row, or one for each quadrat of a
    /// survey; `measure` is what a survey's crop is reckoned in.
    fn rows(&self, measure: Measure) -> Vec<Vec<Cell>>;

    /// What is drawn of it on a map.
    fn shape(&self) -> Option<Geometry> {
        None
    }
}
