//! GeoJSON (RFC 7946).

use jiff::civil::Date;
use serde_json::{Value, json};

use crate::json::{
    Feature as IsFeature, FeatureCollection, Form, Geometry, Shape, object, written,
};
use crate::maps::{Feature, Map, Properties};

object! {
    /// Every feature of every layer in one collection.
    struct MapData {
        r#type: FeatureCollection,
        title: String,
        on: Date,
        cautions: Vec<String>,
        features: Vec<FeatureData>,
    }

    struct FeatureData {
        r#type: IsFeature,
        id: String,
        geometry: Geometry,
        properties: Told,
    }
}

/// What a feature's own maker says of it, with its title and what it says in words.
#[derive(Debug)]
struct Told(Properties);

const PROPERTIES: &str = "#/$defs/properties";

impl Form for Told {
    fn value(self) -> Value {
        Value::Object(self.0)
    }

    fn schema() -> Value {
        json!({ "$ref": PROPERTIES })
    }
}

/// Every feature of every layer in one collection, each with its title and what it says.
pub fn geojson(map: &Map) -> String {
    let data = MapData {
        r#type: FeatureCollection,
        title: map.title.clone(),
        on: map.on,
        cautions: map.about.clone(),
        features: map.layers.iter().flat_map(|layer| &layer.features).map(feature).collect(),
    };
    written(map.schema, data)
}

fn feature(feature: &Feature) -> FeatureData {
    let mut properties = feature.properties.clone();
    properties.insert(TITLE.to_owned(), feature.title.as_str().into());
    properties.insert(ABOUT.to_owned(), feature.about.as_str().into());
    FeatureData {
        r#type: IsFeature,
        id: feature.id.clone(),
        geometry: geojson::GeometryValue::from(&feature.shape).into(),
        properties: Told(properties),
    }
}

const TITLE: &str = "title";
const ABOUT: &str = "about";

/// The schema of a map of this version, whose features have one of these lists of properties.
pub fn geojson_schema(version: &'static str, properties: impl IntoIterator<Item = Shape>) -> Value {
    let with_words = |mut shape: Shape| {
        shape.add(TITLE, String::schema(), "what stands beside it on a screen");
        shape.add(ABOUT, String::schema(), "in sentences");
        shape.schema()
    };
    let any: Vec<Value> = properties.into_iter().map(with_words).collect();
    let mut schema = Shape::of_version::<MapData>(version);
    schema["$defs"]["properties"] = json!({ "anyOf": any });
    schema
}
