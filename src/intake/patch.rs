//! Patches: a feature with the ground that one crop covers.

use geo::{GeodesicArea, Geometry, MultiLineString, MultiPolygon, Point};

use super::column::{BY, Cell, Column, NOTE, Need, RECORDED_ON};
use super::fields::Fields;
use super::filed::Filed;
use super::known::Gazetteer;
use super::problem::Finding;
use super::property;
use super::shape;
use super::tally::Reported;
use super::value;
use crate::records::{Footprint, Patch, SiteName, UnderfootError};
use crate::units::{Measure, Metres};

/// In square metres: 1 km².
const LARGEST: f64 = 1e6;
/// In metres.
const WIDEST: f64 = 100.0;
const LONGEST_RADIUS: f64 = 500.0;
const MOST_PLANTS: u32 = 1_000_000;

const WIDTH: &str = "width_m";
const RADIUS: &str = "radius_m";
const PLANTS: &str = "plants";
const UNDERFOOT: &str = "underfoot";

impl Filed for Patch {
    const COLUMNS: &'static [Column] = &[
        property::KIND,
        Column::text("name", Need::Filled, "a name that no other patch of the site has", "bank"),
        property::SITE,
        Column::text("crop", Need::Filled, "the name of a crop in the catalogue", "nettle-tops"),
        Column::number(
            WIDTH,
            Need::Optional,
            "for a line: the full width of the hedge or verge in metres, over 0, at most 100",
            "",
        ),
        Column::number(
            RADIUS,
            Need::Optional,
            "for a point: the radius of the stand in metres, over 0, at most 500",
            "",
        ),
        Column::number(
            PLANTS,
            Need::Optional,
            "for a point where plants are counted: how many, 1 or more",
            "",
        ),
        Column::text(
            UNDERFOOT,
            Need::Optional,
            "what people tread on there: `heath`, `fern`, `woodland herbs`, `tussock grass`, `meadow`, \
         `lawn` or `bare` (rock, shingle, a built path); empty counts as the softest",
            "woodland herbs",
        ),
        NOTE,
        property::DATE,
        BY,
        RECORDED_ON,
        property::FACT,
    ];

    fn rows(&self, _: Measure) -> Vec<Vec<Cell>> {
        let mut cells = vec![
            ("kind", "patch".to_owned()),
            ("name", self.name.patch().to_owned()),
            ("site", self.name.site().to_string()),
            ("crop", self.crop.to_string()),
        ];
        cells.extend(match &self.footprint {
            Footprint::Area(_) => None,
            Footprint::Strip { width, .. } => Some((WIDTH, width.0.to_string())),
            Footprint::Disc { radius, .. } => Some((RADIUS, radius.0.to_string())),
            Footprint::Plants { count, .. } => Some((PLANTS, count.to_string())),
        });
        cells.extend(self.underfoot.map(|ground| (UNDERFOOT, ground.to_string())));
        cells.extend(self.note.as_ref().map(|note| ("note", note.to_string())));
        vec![cells]
    }

    fn shape(&self) -> Option<Geometry> {
        Some(match &self.footprint {
            Footprint::Area(ground) => Geometry::MultiPolygon(ground.clone()),
            Footprint::Strip { line, .. } => Geometry::MultiLineString(line.clone()),
            Footprint::Disc { centre, .. } | Footprint::Plants { centre, .. } => {
                Geometry::Point(*centre)
            }
        })
    }
}

pub(super) fn read(
    fields: &mut Fields<'_>,
    site: Result<SiteName, Reported>,
    shape: Result<Geometry, Reported>,
    known: &Gazetteer<'_>,
) -> Result<Patch, Reported> {
    let name = fields.name_on(&site);
    let crop = fields.crop(known);
    let footprint = shape.and_then(|shape| footprint(fields, shape));
    let underfoot = fields.optional(UNDERFOOT, |text| {
        text.parse().map_err(|error: UnderfootError| error.to_string())
    });
    Ok(Patch {
        name: name?,
        crop: crop?.name.clone(),
        footprint: footprint?,
        underfoot: underfoot?,
        note: fields.text("note"),
    })
}

fn footprint(fields: &mut Fields<'_>, shape: Geometry) -> Result<Footprint, Reported> {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::Underfoot;

    #[test]
    fn every_kind_of_ground_is_named_where_it_is_asked_for() {
        let asked = Patch::COLUMNS.iter().find(|property| property.name == UNDERFOOT).unwrap();
        for kind in Underfoot::ALL {
            assert!(asked.expected.contains(&format!("`{kind}`")), "no `{kind}`");
            assert_eq!(kind.name().to_uppercase().parse(), Ok(kind));
        }
        assert!("mud".parse::<Underfoot>().is_err());
    }
}
