use super::Table;
use crate::book::error::Failure;
use crate::book::fields::Fields;
use crate::book::names::Names;
use crate::book::places::Places;
use crate::book::row::NewRow;
use crate::records::CropOverride;

impl Table for CropOverride {
    const COLUMNS: &'static str = "crop, field, value, source";

    fn write<'a>(&'a self, _: &mut Places, row: &mut NewRow<'a>) -> Result<(), Failure> {
        row.text(&self.crop);
        row.text(self.field.name());
        row.text(&self.value);
        row.text(&self.source);
        Ok(())
    }

    fn read(place: i64, names: &Names, fields: &mut Fields) -> rusqlite::Result<Option<Self>> {
        let Some((site, patch)) = names.site_and_patch(place) else { return Ok(None) };
        Ok(Some(Self {
            site,
            patch,
            crop: fields.word()?,
            field: fields.text_as("value of a crop", |text| text.parse().ok())?,
            value: fields.word()?,
            source: fields.word()?,
        }))
    }
}
