//! GeoJSON (RFC 7946).

use serde_json::{Value, json};

use crate::maps::{Feature, Map};

/// Every feature of every layer in one collection, each with its layer, title and what it says.
pub fn geojson(map: &Map) -> String {
    let features = map.layers.iter().flat_map(|layer| &layer.features).map(feature);
    let collection = json!({
        "type": "FeatureCollection",
        "schema": map.schema,
        "title": map.title,
        "on": map.on.to_string(),
        "cautions": map.about,
        "features": features.collect::<Vec<Value>>(),
    });
    format!("{collection:#}\n")
}

fn feature(feature: &Feature) -> Value {
    let mut properties = feature.properties.clone();
    properties.insert("title".to_owned(), feature.title.as_str().into());
    properties.insert("about".to_owned(), feature.about.as_str().into());
    json!({
        "type": "Feature",
        "id": feature.id,
        "geometry": geojson::Geometry::new(geojson::GeometryValue::from(&feature.shape)),
        "properties": properties,
    })
}
