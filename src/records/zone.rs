//! No-take ground.

use std::sync::Arc;

use geo::Geometry;

use super::SiteName;
use crate::units::Metres;

/// Ground inside a site where nothing is cut.
#[derive(Clone, Debug, PartialEq)]
pub struct Zone {
    pub site: SiteName,
    /// Unique on its site.
    pub name: Arc<str>,
    /// WGS84 degrees; point, line or polygon.
    pub shape: Geometry,
    /// How far the zone reaches beyond its shape, 0 for the shape alone.
    pub buffer: Metres,
    pub reason: Option<Arc<str>>,
}
