//! Land under one occupier.

use std::sync::Arc;

use geo::MultiPolygon;

use jiff::civil::Date;

use super::column::{Column, Need};
use super::declared::fields;
use super::{Land, Recorded, SiteName};

/// A site: its boundary and what to know before going there.
#[derive(Clone, Debug, PartialEq)]
pub struct Site {
    /// Unique in a book.
    pub name: SiteName,
    /// WGS84 longitude and latitude in degrees.
    pub boundary: MultiPolygon,
    /// Who can give permission, as the book's keeper calls them.
    pub occupier: Option<Arc<str>>,
    /// Where nothing may be taken at all (a reserve, a protected area): the reason.
    pub protected: Option<Arc<str>>,
    /// Tides, cliffs, bulls, ticks: what a leader says at the gate.
    pub cautions: Option<Arc<str>>,
}

fields! { Site {
    name: new_site([Column::text(
        "name", Need::Filled, "a name that no other site has", "north wood",
    )]),
    occupier: maybe_word([Column::text(
        "occupier", Need::Optional, "who can give permission", "the estate office",
    )]),
    protected: maybe_word([Column::text(
        "protected",
        Need::Optional,
        "why nothing may be taken on the whole site; empty where something may",
        "",
    )]),
    cautions: maybe_word([Column::text(
        "cautions", Need::Optional, "what to know before going there", "ticks; a bull",
    )]),
    boundary: boundary([]),
} }

impl Recorded for Site {
    const NAME: &'static str = "site";
    const PLURAL: &'static str = "sites";
    const WHAT: &'static str = "Sites: land under one occupier, a Polygon or MultiPolygon each.";
    const LAND: Land = Land::NewSite;
    const HAS_SHAPE: bool = true;

    fn site(&self) -> &SiteName {
        &self.name
    }

    fn key(&self, _: Date, _: &str) -> String {
        self.name.to_string()
    }

    fn gist(&self) -> String {
        self.name.to_string()
    }
}
