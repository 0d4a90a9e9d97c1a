//! Something on or by a site that people find their way by, or need in an emergency.

use std::fmt;
use std::str::FromStr;
use std::sync::Arc;

use geo::Geometry;

use jiff::civil::Date;

use super::column::{Column, NOTE, Need, SITE_OF_PLACE};
use super::declared::fields;
use super::{Land, Recorded, SiteName, Written};

/// A landmark: a gate, a path, a ditch that floods.
#[derive(Clone, Debug, PartialEq)]
pub struct Landmark {
    /// The site that it lies on or by.
    pub site: SiteName,
    /// Unique on its site.
    pub name: Arc<str>,
    /// Which of the kinds that maps and sheets tell apart.
    pub what: LandmarkKind,
    /// WGS84 degrees; point, line or polygon, on the site or near it.
    pub shape: Geometry,
    /// In words of one's own.
    pub note: Option<Arc<str>>,
}

fields! { Landmark {
    name: name_on_site([Column::text(
        "name", Need::Filled, "a name that no other landmark of the site has", "lower gate",
    )]),
    site: site([SITE_OF_PLACE]),
    what: written([Column::text(
        "what",
        Need::Filled,
        "`gate`, `parking`, `path`, `water`, `hazard`, `shelter` or `signal` (where a phone has \
         one)",
        "gate",
    )]),
    note: maybe_word([NOTE]),
    shape: shape([]),
} }

impl Recorded for Landmark {
    const NAME: &'static str = "landmark";
    const PLURAL: &'static str = "landmarks";
    const WHAT: &'static str = "Landmarks: a gate, parking, a path, water, a hazard, a shelter, a place with a phone signal; of any shape.";
    const LAND: Land = Land::Site;
    const HAS_SHAPE: bool = true;

    fn site(&self) -> &SiteName {
        &self.site
    }

    fn key(&self, _: Date, _: &str) -> String {
        format!("{}/{}", self.site, self.name)
    }

    fn gist(&self) -> String {
        format!("{}, {}, on {}", self.name, self.what, self.site)
    }
}

/// What a landmark is to whoever comes: each kind has a sign on maps.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LandmarkKind {
    /// Where one gets in.
    Gate,
    /// Where a car may stand.
    Parking,
    /// Where one walks.
    Path,
    /// Drinking water, or a stream, pond or ditch.
    Water,
    /// What one must keep away from.
    Hazard,
    /// Where one is dry.
    Shelter,
    /// Where a phone has one.
    Signal,
}

impl LandmarkKind {
    /// Every kind, in the order in which a map's key tells them.
    pub const ALL: [Self; 7] = [
        Self::Gate,
        Self::Parking,
        Self::Path,
        Self::Water,
        Self::Hazard,
        Self::Shelter,
        Self::Signal,
    ];

    /// As files have it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Gate => "gate",
            Self::Parking => "parking",
            Self::Path => "path",
            Self::Water => "water",
            Self::Hazard => "hazard",
            Self::Shelter => "shelter",
            Self::Signal => "signal",
        }
    }

    /// As people read it.
    pub fn told(self) -> &'static str {
        if self == Self::Signal { "phone signal" } else { self.name() }
    }
}

/// A text that is no kind of landmark; has the text.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is no kind of landmark")]
pub struct LandmarkKindError(String);

impl FromStr for LandmarkKind {
    type Err = LandmarkKindError;

    fn from_str(text: &str) -> Result<Self, LandmarkKindError> {
        let asked = text.trim();
        let found = Self::ALL.into_iter().find(|kind| kind.name().eq_ignore_ascii_case(asked));
        found.ok_or_else(|| LandmarkKindError(text.to_owned()))
    }
}

impl Written for LandmarkKind {}

/// As it is read.
impl fmt::Display for LandmarkKind {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::Declared;

    #[test]
    fn every_kind_of_landmark_is_named_where_it_is_asked_for_and_read_as_it_is_written() {
        let columns = Landmark::FIELDS.iter().flat_map(|field| field.columns);
        let asked = columns.into_iter().find(|column| column.name == "what").unwrap();
        for kind in LandmarkKind::ALL {
            assert!(asked.expected.contains(&format!("`{kind}`")), "no `{kind}`");
            assert_eq!(kind.to_string().to_uppercase().parse(), Ok(kind));
        }
        assert!("stile".parse::<LandmarkKind>().is_err());
    }
}
