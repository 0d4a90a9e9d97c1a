//! The ground of a patch: its form, the measure that goes with it, and its shape.

use geo::{Geometry, MultiLineString, MultiPolygon, Point};

use crate::book::error::Refusal;
use crate::book::fields::Fields;
use crate::book::row::NewRow;
use crate::records::Footprint;
use crate::units::Metres;

pub(super) fn write(footprint: &Footprint, row: &mut NewRow) -> Result<(), Refusal> {
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
    row.shape("shape", &shape)
}

/// Writes the same columns, empty where there is no ground.
pub(super) fn write_any(footprint: Option<&Footprint>, row: &mut NewRow) -> Result<(), Refusal> {
    match footprint {
        Some(footprint) => write(footprint, row),
        None => {
            (0..5).for_each(|_| row.nothing());
            Ok(())
        }
    }
}

pub(super) fn read(fields: &mut Fields) -> rusqlite::Result<Footprint> {
    let form = fields.text()?;
    of_form(form, fields)
}

/// `None` where the columns are empty.
pub(super) fn read_any(fields: &mut Fields) -> rusqlite::Result<Option<Footprint>> {
    match fields.maybe_text()? {
        Some(form) => of_form(form, fields).map(Some),
        None => {
            fields.pass(4)?;
            Ok(None)
        }
    }
}

fn of_form(form: &str, fields: &mut Fields) -> rusqlite::Result<Footprint> {
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
