//! Sites: a feature with the boundary of land under one occupier.

use geo::{GeodesicArea, Geometry, MultiPolygon};

use super::column::{BY, Cell, Column, Need, RECORDED_ON};
use super::fields::Fields;
use super::filed::Filed;
use super::problem::Finding;
use super::property;
use super::shape;
use super::tally::Reported;
use crate::records::{Site, SiteName};
use crate::units::Measure;

/// In square metres: 1,000 km².
const LARGEST: f64 = 1e9;

impl Filed for Site {
    const COLUMNS: &'static [Column] = &[
        property::KIND,
        Column::text("name", Need::Filled, "a name that no other site has", "north wood"),
        Column::text("occupier", Need::Optional, "who can give permission", "the estate office"),
        Column::text(
            "protected",
            Need::Optional,
            "why nothing may be taken on the whole site; empty where something may",
            "",
        ),
        Column::text(
            "cautions",
            Need::Optional,
            "what to know before going there",
            "ticks; a bull",
        ),
        property::DATE,
        BY,
        RECORDED_ON,
        property::FACT,
    ];

    fn rows(&self, _: Measure) -> Vec<Vec<Cell>> {
        let mut cells = vec![("kind", "site".to_owned()), ("name", self.name.to_string())];
        let texts = [
            ("occupier", &self.occupier),
            ("protected", &self.protected),
            ("cautions", &self.cautions),
        ];
        cells.extend(
            texts.into_iter().filter_map(|(name, text)| Some((name, text.as_ref()?.to_string()))),
        );
        vec![cells]
    }

    fn shape(&self) -> Option<Geometry> {
        Some(Geometry::MultiPolygon(self.boundary.clone()))
    }
}

pub(super) fn read(
    fields: &mut Fields<'_>,
    shape: Result<Geometry, Reported>,
) -> Result<Site, Reported> {
    let name = fields.parsed::<SiteName>("name");
    let boundary = shape.and_then(|shape| boundary(fields, shape));
    Ok(Site {
        name: name?,
        boundary: boundary?,
        occupier: fields.text("occupier"),
        protected: fields.text("protected"),
        cautions: fields.text("cautions"),
    })
}

fn boundary(fields: &mut Fields<'_>, shape: Geometry) -> Result<MultiPolygon, Reported> {
    let boundary = match shape {
        Geometry::Polygon(polygon) => MultiPolygon(vec![polygon]),
        Geometry::MultiPolygon(polygons) => polygons,
        other => {
            let found = format!("a {} bounds no site", shape::type_name(&other));
            return Err(fields.refuse("geometry", Finding::new(found, "a Polygon or MultiPolygon")));
        }
    };
    let area = boundary.geodesic_area_unsigned();
    if area > LARGEST {
        let found = format!("the site covers {:.0} km²", area / 1e6);
        let expected = "1000 km² at most; check that the positions are degrees";
        return Err(fields.refuse("geometry", Finding::new(found, expected)));
    }
    Ok(boundary)
}
