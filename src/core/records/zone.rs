//! No-take ground.

use std::sync::Arc;

use geo::Geometry;

use jiff::civil::Date;

use super::column::{Column, Need, SITE_OF_PLACE};
use super::declared::fields;
use super::{Land, Recorded, SiteName};
use crate::units::Metres;

/// Ground inside a site where nothing is cut.
#[derive(Clone, Debug, PartialEq)]
pub struct Zone {
    /// The site that it lies on.
    pub site: SiteName,
    /// Unique on its site.
    pub name: Arc<str>,
    /// WGS84 degrees; point, line or polygon.
    pub shape: Geometry,
    /// How far the zone reaches beyond its shape, 0 for the shape alone.
    pub buffer: Metres,
    /// Why nothing is cut there; `None` where nobody said.
    pub reason: Option<Arc<str>>,
}

fields! { Zone {
    name: name_on_site([Column::text(
        "name", Need::Filled, "a name that no other zone of the site has", "path edge",
    )]),
    site: site([SITE_OF_PLACE]),
    buffer: buffer([Column::number(
        "buffer_m",
        Need::Optional,
        "how far the zone reaches beyond its shape in metres, 0 to 5000; empty for 0",
        "2",
    )]),
    reason: maybe_word([Column::text(
        "reason", Need::Optional, "why nothing is cut there", "dogs",
    )]),
    shape: shape([]),
} }

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
