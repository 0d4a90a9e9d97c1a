//! No-take ground.

use std::sync::Arc;

use geo::Geometry;

use jiff::civil::Date;

use super::{Land, Recorded, SiteName};
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

impl Recorded for Zone {
    const NAME: &'static str = "zone";
    const PLURAL: &'static str = "zones";
    const WHAT: &'static str = "Zones: ground inside a site where nothing is cut, of any shape.";
    const LAND: Land = Land::Site;
    const HAS_SHAPE: bool = true;

    fn site(&self) -> &SiteName {
        &self.site
    }

    fn key(&self, _: Date, _: &str) -> String {
        format!("{}/{}", self.site, self.name)
    }

    fn gist(&self) -> String {
        format!("{} on {}", self.name, self.site)
    }
}
