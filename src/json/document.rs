//! Whole documents: a version, and members behind it.

use serde_json::{Map, Value, json};

use super::object::Object;
use super::shape::{GEOMETRY, Shape};

/// A document of this version, laid out so that people can read it too, with a line break at its
/// end.
pub fn written(version: &'static str, members: impl Object) -> String {
    format!("{:#}\n", document(version, members))
}

/// A document of this version.
pub fn document(version: &'static str, members: impl Object) -> Value {
    let mut told = Map::new();
    members.put_members(&mut told);
    let mut all = Map::new();
    // Programs that read maps look for it at the beginning.
    all.extend(told.shift_remove_entry("type"));
    all.insert("schema".to_owned(), version.into());
    all.extend(told);
    all.into()
}

impl Shape {
    /// The schema of a document of this version with these members.
    pub fn of_document(version: &'static str, members: Self) -> Value {
        let mut shape = Self::default();
        shape.add("schema", json!({ "const": version }), "");
        shape.add_all(members);
        let shape = shape.schema();
        let mut schema = Map::new();
        schema.insert("$schema".to_owned(), DRAFT.into());
        schema.insert("title".to_owned(), version.into());
        let has_geometry = shape.to_string().contains(GEOMETRY);
        if let Value::Object(members) = shape {
            schema.extend(members);
        }
        if has_geometry {
            schema.insert("$defs".to_owned(), json!({ "geometry": geometry() }));
        }
        schema.into()
    }

    /// The schema of what [`written`] makes of such members.
    pub fn of_version<T: Object>(version: &'static str) -> Value {
        let mut members = Self::default();
        T::declare_members(&mut members);
        Self::of_document(version, members)
    }
}

/// Two schemas of one version: that of GeoJSON, which has a `type`, and that of other JSON.
pub fn map_or_not(version: &'static str, map: Value, other: Value) -> Value {
    let mut defs = Map::new();
    let [map, other] = [map, other].map(|mut schema| {
        if let Some(members) = schema.as_object_mut() {
            members.retain(|name, _| name != "$schema" && name != "title");
            if let Some(Value::Object(own)) = members.shift_remove("$defs") {
                defs.extend(own);
            }
        }
        schema
    });
    json!({
        "$schema": DRAFT,
        "title": version,
        "if": { "required": ["type"] },
        "then": map,
        "else": other,
        "$defs": defs,
    })
}

/// Several schemas of one version, of which a document fits one or another.
pub fn any_of(version: &'static str, schemas: impl IntoIterator<Item = Value>) -> Value {
    let within = |mut schema: Value| {
        if let Some(members) = schema.as_object_mut() {
            members.retain(|name, _| name != "$schema" && name != "title");
        }
        schema
    };
    let all: Vec<Value> = schemas.into_iter().map(within).collect();
    json!({ "$schema": DRAFT, "title": version, "anyOf": all })
}

const DRAFT: &str = "https://json-schema.org/draft/2020-12/schema";

/// RFC 7946, 3.1: its parts are described there.
fn geometry() -> Value {
    let drawn = ["Point", "MultiPoint", "LineString", "MultiLineString", "Polygon", "MultiPolygon"];
    json!({
        "type": "object",
        "oneOf": [
            {
                "properties": { "type": { "enum": drawn }, "coordinates": { "type": "array" } },
                "required": ["type", "coordinates"],
                "additionalProperties": false,
            },
            {
                "properties": {
                    "type": { "const": "GeometryCollection" },
                    "geometries": { "type": "array", "items": { "$ref": GEOMETRY } },
                },
                "required": ["type", "geometries"],
                "additionalProperties": false,
            },
        ],
    })
}
