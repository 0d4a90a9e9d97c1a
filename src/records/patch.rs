//! A mapped stand of one crop.

use std::sync::Arc;

use geo::{MultiLineString, MultiPolygon, Point};

use super::{PatchName, Underfoot};
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
