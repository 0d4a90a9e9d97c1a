//! The ground of a patch: a shape, and the measure that goes with it.

use geo::{GeodesicArea, Geometry, MultiLineString, MultiPolygon, Point};

use super::column::Cell;
use super::fields::Fields;
use super::problem::Finding;
use super::shape;
use super::tally::Reported;
use super::value;
use crate::records::Footprint;
use crate::units::Metres;

/// In square metres: 1 km².
const LARGEST: f64 = 1e6;
/// In metres.
const WIDEST: f64 = 100.0;
const LONGEST_RADIUS: f64 = 500.0;
const MOST_PLANTS: u32 = 1_000_000;

const WIDTH: &str = "width_m";
const RADIUS: &str = "radius_m";
const PLANTS: &str = "plants";

/// The measure beside the shape.
pub(super) fn cell(footprint: &Footprint) -> Option<Cell> {
    match footprint {
        Footprint::Area(_) => None,
        Footprint::Strip { width, .. } => Some((WIDTH, width.0.to_string())),
        Footprint::Disc { radius, .. } => Some((RADIUS, radius.0.to_string())),
        Footprint::Plants { count, .. } => Some((PLANTS, count.to_string())),
    }
}

pub(super) fn shape(footprint: &Footprint) -> Geometry {
    match footprint {
        Footprint::Area(ground) => Geometry::MultiPolygon(ground.clone()),
        Footprint::Strip { line, .. } => Geometry::MultiLineString(line.clone()),
        Footprint::Disc { centre, .. } | Footprint::Plants { centre, .. } => {
            Geometry::Point(*centre)
        }
    }
}

pub(super) fn read(fields: &mut Fields<'_>, shape: Geometry) -> Result<Footprint, Reported> {
    match shape {
        Geometry::Polygon(polygon) => area(fields, MultiPolygon(vec![polygon])),
        Geometry::MultiPolygon(polygons) => area(fields, polygons),
        Geometry::LineString(line) => strip(fields, MultiLineString(vec![line])),
        Geometry::MultiLineString(lines) => strip(fields, lines),
        Geometry::Point(centre) => round_or_counted(fields, centre),
        other => {
            let found = format!("a {} is no ground of a patch", shape::type_name(&other));
            let expected = "a Polygon, MultiPolygon, LineString, MultiLineString or Point";
            Err(fields.refuse("geometry", Finding::new(found, expected)))
        }
    }
}

fn area(fields: &mut Fields<'_>, ground: MultiPolygon) -> Result<Footprint, Reported> {
    only(fields, "a polygon", &[])?;
    let area = ground.geodesic_area_unsigned();
    if area > LARGEST {
        let found = format!("the patch covers {:.1} km²", area / 1e6);
        let expected =
            "1 km² at most; map the stands in it, or check that the positions are degrees";
        return Err(fields.refuse("geometry", Finding::new(found, expected)));
    }
    Ok(Footprint::Area(ground))
}

fn strip(fields: &mut Fields<'_>, line: MultiLineString) -> Result<Footprint, Reported> {
    only(fields, "a line", &[WIDTH])?;
    let width = fields.required(WIDTH, |text| value::positive(text, WIDEST, "a width"))?;
    let length = shape::length(&line);
    if length.0 * width > LARGEST {
        let found = format!("the patch is {length} long");
        let expected = "1 km² of ground at most; map the stands along it";
        return Err(fields.refuse("geometry", Finding::new(found, expected)));
    }
    Ok(Footprint::Strip { line, width: Metres(width) })
}

fn round_or_counted(fields: &mut Fields<'_>, centre: Point) -> Result<Footprint, Reported> {
    only(fields, "a point", &[RADIUS, PLANTS])?;
    let radius = fields.optional(RADIUS, |text| value::positive(text, LONGEST_RADIUS, "a radius"));
    let plants = fields.optional(PLANTS, |text| value::whole(text, MOST_PLANTS));
    match (radius?, plants?) {
        (Some(radius), None) => Ok(Footprint::Disc { centre, radius: Metres(radius) }),
        (None, Some(count)) => Ok(Footprint::Plants { centre, count }),
        (None, None) => {
            let found = Finding::new("a point alone covers no ground", "`radius_m` or `plants`");
            Err(fields.refuse("geometry", found))
        }
        (Some(_), Some(_)) => {
            let found = "both `radius_m` and `plants` are filled";
            Err(fields.refuse(PLANTS, Finding::new(found, "one of them")))
        }
    }
}

/// Refuses the measures that go with another shape.
fn only(fields: &mut Fields<'_>, shape: &str, allowed: &[&str]) -> Result<(), Reported> {
    let mut fit = Ok(());
    for measure in [WIDTH, RADIUS, PLANTS] {
        if fields.is_filled(measure) && !allowed.contains(&measure) {
            let found = format!("{shape} has no `{measure}`");
            fit =
                Err(fields.refuse(measure, Finding::new(found, "nothing here, or another shape")));
        }
    }
    fit
}
