use geo::{Geometry, MultiLineString, MultiPolygon, Point};

use super::Table;
use crate::book::error::Failure;
use crate::book::fields::Fields;
use crate::book::names::{Names, patch_name};
use crate::book::places::Places;
use crate::book::row::NewRow;
use crate::records::{Footprint, Patch};
use crate::units::Metres;

impl Table for Patch {
    const COLUMNS: &'static str =
        "site, name, crop, note, form, width_m, radius_m, plants, shape, underfoot";

    fn write<'a>(&'a self, places: &mut Places, row: &mut NewRow<'a>) -> Result<(), Failure> {
        row.whole(places.site(self.name.site())?);
        row.text(self.name.patch());
        row.text(&self.crop);
        row.maybe_text(self.note.as_ref());
        write_footprint(&self.footprint, row)?;
        match self.underfoot {
            Some(ground) => row.text(ground.name()),
            None => row.nothing(),
        }
        Ok(())
    }

    fn read(_: i64, names: &Names, fields: &mut Fields) -> rusqlite::Result<Option<Self>> {
        let Some(site) = names.site(fields.whole()?) else { return Ok(None) };
        Ok(Some(Self {
            name: patch_name(site, fields)?,
            crop: fields.word()?,
            note: fields.maybe_word()?,
            footprint: read_footprint(fields)?,
            underfoot: fields.maybe_text_as("kind of ground", |text| text.parse().ok())?,
        }))
    }
}

fn write_footprint(footprint: &Footprint, row: &mut NewRow) -> Result<(), Failure> {
    let (form, width, radius, plants, shape) = match footprint {
        Footprint::Area(area) => ("area", None, None, None, Geometry::from(area.clone())),
        Footprint::Strip { line, width } => {
            ("strip", Some(width.0), None, None, Geometry::from(line.clone()))
        }
        Footprint::Disc { centre, radius } => {
            ("disc", None, Some(radius.0), None, Geometry::from(*centre))
        }
        Footprint::Plants { centre, count } => {
            ("plants", None, None, Some(*count), Geometry::from(*centre))
        }
    };
    row.text(form);
    row.maybe_number("width_m", width)?;
    row.maybe_number("radius_m", radius)?;
    row.maybe_whole(plants);
    row.shape("shape", &shape)?;
    Ok(())
}

fn read_footprint(fields: &mut Fields) -> rusqlite::Result<Footprint> {
    let form = fields.text()?;
    let width = fields.maybe_number()?.map(Metres);
    let radius = fields.maybe_number()?.map(Metres);
    let plants = fields.maybe_whole()?;
    match (form, width, radius, plants) {
        ("strip", Some(width), ..) => {
            Ok(Footprint::Strip { line: fields.shape::<MultiLineString>()?, width })
        }
        ("disc", _, Some(radius), _) => {
            Ok(Footprint::Disc { centre: fields.shape::<Point>()?, radius })
        }
        ("plants", .., Some(count)) => {
            Ok(Footprint::Plants { centre: fields.shape::<Point>()?, count })
        }
        _ => Ok(Footprint::Area(fields.shape::<MultiPolygon>()?)),
    }
}
