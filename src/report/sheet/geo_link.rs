//! A place that a phone opens in whatever map it has.

use geo::Point;

/// RFC 5870, in WGS84 degrees, to some metre: `geo:53.10012,-12.40123`. `None` for what lies on
/// no globe.
pub(super) fn geo_link(place: Point) -> Option<String> {
    let (lon, lat) = (place.x(), place.y());
    let on_globe = lat.abs() <= 90.0 && lon.abs() <= 180.0;
    on_globe.then(|| format!("geo:{lat:.5},{lon:.5}"))
}

/// `53.10012, -12.40123`.
pub(super) fn degrees(place: Point) -> String {
    format!("{:.5}, {:.5}", place.y(), place.x())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The order and form of RFC 5870, section 6: latitude first, no blank.
    #[test]
    fn a_link_has_its_latitude_first_and_none_is_made_of_nonsense() {
        let link = geo_link(Point::new(16.3695, 48.2010));
        assert_eq!(link.as_deref(), Some("geo:48.20100,16.36950"));
        for (lon, lat) in [(f64::NAN, 1.0), (1.0, 90.5), (181.0, 0.0)] {
            assert_eq!(geo_link(Point::new(lon, lat)), None);
        }
    }
}
