//! A mapped stand of one crop.

use std::sync::Arc;

use geo::{MultiLineString, MultiPolygon, Point};

use jiff::civil::Date;

use super::column::{CROP, Column, NOTE, Need, SITE_OF_PLACE};
use super::declared::fields;
use super::{Land, PatchName, Recorded, SiteName, Underfoot};
use crate::units::Metres;

/// A stand of one crop on one site.
#[derive(Clone, Debug, PartialEq)]
pub struct Patch {
    /// The site's name and its own.
    pub name: PatchName,
    /// The crop's name in the catalogue.
    pub crop: Arc<str>,
    /// Where it is.
    pub footprint: Footprint,
    /// `None` where nobody said what grows there.
    pub underfoot: Option<Underfoot>,
    /// In words of one's own.
    pub note: Option<Arc<str>>,
}

fields! { Patch {
    name: new_patch([
        Column::text("name", Need::Filled, "a name that no other patch of the site has", "bank"),
        SITE_OF_PLACE,
    ]),
    crop: crop([CROP]),
    footprint: footprint([
        Column::number(
            "width_m",
            Need::Optional,
            "for a line: the full width of the hedge or verge in metres, over 0, at most 100",
            "",
        ),
        Column::number(
            "radius_m",
            Need::Optional,
            "for a point: the radius of the stand in metres, over 0, at most 500",
            "",
        ),
        Column::number(
            "plants",
            Need::Optional,
            "for a point where plants are counted: how many, 1 or more",
            "",
        ),
    ]),
    underfoot: maybe_written([Column::text(
        "underfoot",
        Need::Optional,
        "what people tread on there: `heath`, `fern`, `woodland herbs`, `tussock grass`, `meadow`, \
         `lawn` or `bare` (rock, shingle, a built path); empty counts as the softest",
        "woodland herbs",
    )]),
    note: maybe_word([NOTE]),
} }

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
    /// Measured out on a map.
    Area(MultiPolygon),
    /// A hedge or verge: a line and its full width.
    Strip {
        /// Along its middle.
        line: MultiLineString,
        /// Across, from edge to edge.
        width: Metres,
    },
    /// A round stand.
    Disc {
        /// Its middle.
        centre: Point,
        /// From its middle to its edge.
        radius: Metres,
    },
    /// Single plants or trees that are counted, not measured out.
    Plants {
        /// Where they are, by and large.
        centre: Point,
        /// How many there are.
        count: u32,
    },
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::Declared;

    #[test]
    fn every_kind_of_ground_is_named_where_it_is_asked_for() {
        let columns = Patch::FIELDS.iter().flat_map(|field| field.columns);
        let asked = columns.into_iter().find(|column| column.name == "underfoot").unwrap();
        for kind in Underfoot::ALL {
            assert!(asked.expected.contains(&format!("`{kind}`")), "no `{kind}`");
            assert_eq!(kind.name().to_uppercase().parse(), Ok(kind));
        }
        assert!("mud".parse::<Underfoot>().is_err());
    }
}
