use geo::Geometry;

use super::Table;
use crate::book::error::Failure;
use crate::book::fields::Fields;
use crate::book::names::{Names, site_name};
use crate::book::places::Places;
use crate::book::row::NewRow;
use crate::records::Site;

impl Table for Site {
    const COLUMNS: &'static str = "name, occupier, protected, cautions, boundary";

    fn write<'a>(&'a self, _: &mut Places, row: &mut NewRow<'a>) -> Result<(), Failure> {
        row.text(self.name.as_str());
        row.maybe_text(self.occupier.as_ref());
        row.maybe_text(self.protected.as_ref());
        row.maybe_text(self.cautions.as_ref());
        row.shape("boundary", &Geometry::MultiPolygon(self.boundary.clone()))?;
        Ok(())
    }

    fn read(_: i64, _: &Names, fields: &mut Fields) -> rusqlite::Result<Option<Self>> {
        Ok(Some(Self {
            name: site_name(fields)?,
            occupier: fields.maybe_word()?,
            protected: fields.maybe_word()?,
            cautions: fields.maybe_word()?,
            boundary: fields.shape()?,
        }))
    }
}
