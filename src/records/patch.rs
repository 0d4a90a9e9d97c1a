//! A mapped stand of one crop.

use std::sync::Arc;

use geo::{MultiLineString, MultiPolygon, Point};

use jiff::civil::Date;

use super::{Land, PatchName, Recorded, SiteName, Underfoot};
use crate::units::Metres;

/// A stand of one crop on one site.
#[derive(Clone, Debug, PartialEq)]
pub struct Patch {
    pub name: PatchName,
    /// The crop's name in the catalogue.
    pub crop: Arc<str>,
    pub footprint: Footprint,
    /// `None` where nobody said what grows there.
    pub underfoot: Option<Underfoot>,
    pub note: Option<Arc<str>>,
}

impl Recorded for Patch {
    const NAME: &'static str = "patch";
    const PLURAL: &'static str = "patches";
    const WHAT: &'static str = "Patches: a stand of one crop, a Polygon; a line with a width (hedge, verge); a \
         Point with a radius or a number of plants.";
    const LAND: Land = Land::NewPatch;
    const HAS_SHAPE: bool = true;

    fn site(&self) -> &SiteName {
        self.name.site()
    }

    fn patch(&self) -> Option<&str> {
        Some(self.name.patch())
    }

    fn key(&self, _: Date, _: &str) -> String {
        self.name.to_string()
    }

    fn gist(&self) -> String {
        format!("{}, {}", self.name, self.crop)
    }
}

/// The ground a patch covers, in WGS84 degrees.
#[derive(Clone, Debug, PartialEq)]
pub enum Footprint {
    Area(MultiPolygon),
    /// A hedge or verge: a line and its full width.
    Strip {
        line: MultiLineString,
        width: Metres,
    },
    /// A round stand.
    Disc {
        centre: Point,
        radius: Metres,
    },
    /// Single plants or trees that are counted, not measured out.
    Plants {
        centre: Point,
        count: u32,
    },
}
