//! What a map is made of.

use geo::Geometry;
use jiff::civil::Date;

/// By name: text, a number, yes or no, or null.
pub type Properties = serde_json::Map<String, serde_json::Value>;

/// Layers that belong together, as a file holds them.
#[derive(Clone, Debug, PartialEq)]
pub struct Map {
    /// What the properties mean, by a name and a version.
    pub schema: &'static str,
    /// What the map is called.
    pub title: String,
    /// What goes for all of it, a sentence each.
    pub about: Vec<String>,
    /// The day that it tells of.
    pub on: Date,
    /// In the order in which they are drawn.
    pub layers: Vec<Layer>,
}

/// Features of one sort.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Layer {
    /// What the layer is called.
    pub name: String,
    /// In the order in which they are listed.
    pub features: Vec<Feature>,
}

/// One thing on the ground.
#[derive(Clone, Debug, PartialEq)]
pub struct Feature {
    /// The same each time, and no number to any program.
    pub id: String,
    /// What it is called.
    pub name: String,
    /// What stands beside it on a screen: its name and a word on how it stands.
    pub title: String,
    /// What it says when it is touched, in sentences.
    pub about: String,
    /// Six hexadecimal digits: red, green, blue.
    pub colour: &'static str,
    /// What any program may read of it.
    pub properties: Properties,
    /// WGS84 longitude and latitude in degrees.
    pub shape: Geometry,
}
