//! The boundary of a site.

use geo::{GeodesicArea, Geometry, MultiPolygon};

use super::fields::Fields;
use super::problem::Finding;
use super::shape;
use super::tally::Reported;

/// In square metres: 1,000 km².
const LARGEST: f64 = 1e9;

pub(super) fn read(fields: &mut Fields<'_>, shape: Geometry) -> Result<MultiPolygon, Reported> {
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
