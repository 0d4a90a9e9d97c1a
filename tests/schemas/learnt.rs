//! A schema that is worked out from examples: the narrowest of a simple sort that all of them fit.

use std::collections::BTreeSet;

use jiff::civil::Date;
use serde_json::{Map, Value, json};

/// RFC 7946, 3.1: its parts are described there.
const GEOMETRIES: [&str; 7] = [
    "Point",
    "MultiPoint",
    "LineString",
    "MultiLineString",
    "Polygon",
    "MultiPolygon",
    "GeometryCollection",
];

/// Members that say which sort of thing it is.
const SORTS: [&str; 2] = ["schema", "type"];

/// The known schema, so that this document fits it too.
pub fn with(known: Option<&Value>, document: &Value, version: &str) -> Value {
    let learnt = of(document, "");
    let known = known.map(|known| {
        let mut known = known.clone();
        ["$schema", "title", "$defs"].iter().for_each(|about| {
            known.as_object_mut().unwrap().shift_remove(*about);
        });
        known
    });
    let all = known.map_or(learnt.clone(), |known| joined(&known, &learnt));
    let all = twinned(all);
    let mut schema = Map::new();
    schema.insert("$schema".to_owned(), "https://json-schema.org/draft/2020-12/schema".into());
    schema.insert("title".to_owned(), version.into());
    schema.extend(all.as_object().unwrap().clone());
    if all.to_string().contains(REFERENCE) {
        schema.insert("$defs".to_owned(), json!({ "geometry": geometry() }));
    }
    schema.into()
}

const REFERENCE: &str = "#/$defs/geometry";

fn geometry() -> Value {
    json!({
        "type": ["object", "null"],
        "properties": {
            "type": { "enum": GEOMETRIES },
            "coordinates": { "type": "array" },
            "geometries": { "type": "array" },
        },
        "required": ["type"],
        "additionalProperties": false,
    })
}

/// What this value alone would have; `name` is the member that it is of.
fn of(value: &Value, name: &str) -> Value {
    match value {
        _ if name == "geometry" => json!({ "$ref": REFERENCE }),
        Value::Null => json!({ "type": "null" }),
        Value::Bool(_) => json!({ "type": "boolean" }),
        Value::Number(number) if number.is_f64() || is_measured(name) => {
            json!({ "type": "number" })
        }
        Value::Number(_) => json!({ "type": "integer" }),
        Value::String(text) if SORTS.contains(&name) => json!({ "type": "string", "enum": [text] }),
        Value::String(text) if text.len() == 10 && text.parse::<Date>().is_ok() => {
            json!({ "type": "string", "format": "date" })
        }
        Value::String(_) => json!({ "type": "string" }),
        Value::Array(items) => {
            let learnt = items.iter().map(|item| of(item, "")).reduce(|a, b| joined(&a, &b));
            match learnt {
                Some(items) => json!({ "type": "array", "items": items }),
                None => json!({ "type": "array" }),
            }
        }
        Value::Object(members) => {
            let properties = members.iter().map(|(name, value)| (name.clone(), of(value, name)));
            let properties = sorted(properties.collect());
            let required: Vec<&String> = properties.keys().collect();
            json!({
                "type": "object",
                "required": required,
                "properties": properties,
                "additionalProperties": false,
            })
        }
    }
}

/// Whether the name ends in a unit: such a number may have a fraction, though this one has none.
fn is_measured(name: &str) -> bool {
    ["_m", "_m2", "_g"].iter().any(|unit| name.ends_with(unit))
}

/// An amount stands in grams or in pieces, and is of one type in either.
fn twinned(mut schema: Value) -> Value {
    if let Some(Value::Object(properties)) = schema.get_mut("properties") {
        let amounts: Vec<String> = properties
            .keys()
            .filter_map(|name| Some(name.strip_suffix("_g")?.to_owned()))
            .collect();
        for amount in amounts {
            let names = [format!("{amount}_g"), format!("{amount}_count")];
            if let [Some(grams), Some(pieces)] = names.each_ref().map(|name| properties.get(name)) {
                let either = joined(grams, pieces);
                properties.extend(names.map(|name| (name, either.clone())));
            }
        }
        properties.values_mut().for_each(|it| *it = twinned(it.take()));
    }
    if let Some(items) = schema.get_mut("items") {
        *items = twinned(items.take());
    }
    schema
}

/// What fits either fits it.
fn joined(one: &Value, other: &Value) -> Value {
    if one == other || one.get("$ref").is_some() {
        return one.clone();
    }
    let mut all = Map::new();
    let types = types(one, other);
    all.insert("type".to_owned(), if types.len() == 1 { types[0].into() } else { types.into() });
    for member in ["enum", "format", "items", "required", "properties", "additionalProperties"] {
        let said = match (part(one, member), part(other, member)) {
            (Some(a), Some(b)) => both(member, a, b),
            // Of those alone that have such parts; the others' types have none.
            (Some(only), None) if !has(other, owner(member)) => Some(only.clone()),
            (None, Some(only)) if !has(one, owner(member)) => Some(only.clone()),
            // An empty list says nothing of what else may be in it.
            (Some(only), None) | (None, Some(only)) if member == "items" => Some(only.clone()),
            _ => None,
        };
        all.extend(said.map(|said| (member.to_owned(), said)));
    }
    all.into()
}

/// The type that such a part is about.
fn owner(member: &str) -> &'static str {
    match member {
        "enum" | "format" => "string",
        "items" => "array",
        _ => "object",
    }
}

fn both(member: &str, one: &Value, other: &Value) -> Option<Value> {
    let names = |list: &Value| -> BTreeSet<String> {
        list.as_array().unwrap().iter().map(|name| name.as_str().unwrap().to_owned()).collect()
    };
    Some(match member {
        "enum" => json!(names(one).union(&names(other)).collect::<Vec<_>>()),
        "required" => json!(names(one).intersection(&names(other)).collect::<Vec<_>>()),
        "items" => joined(one, other),
        "properties" => {
            let mut all = one.as_object().unwrap().clone();
            for (name, learnt) in other.as_object().unwrap() {
                let learnt = all.get(name).map_or(learnt.clone(), |known| joined(known, learnt));
                all.insert(name.clone(), learnt);
            }
            sorted(all).into()
        }
        _ => return (one == other).then(|| one.clone()),
    })
}

fn part<'s>(schema: &'s Value, member: &str) -> Option<&'s Value> {
    schema.get(member)
}

fn has(schema: &Value, name: &str) -> bool {
    own_types(schema).contains(name)
}

fn own_types(schema: &Value) -> BTreeSet<&str> {
    match &schema["type"] {
        Value::Array(several) => several.iter().filter_map(Value::as_str).collect(),
        one => one.as_str().into_iter().collect(),
    }
}

/// A whole number is a number.
fn types<'s>(one: &'s Value, other: &'s Value) -> Vec<&'s str> {
    let mut all: BTreeSet<&str> = own_types(one).union(&own_types(other)).copied().collect();
    if all.contains("number") {
        all.remove("integer");
    }
    all.into_iter().collect()
}

fn sorted(members: Map<String, Value>) -> Map<String, Value> {
    let mut members: Vec<(String, Value)> = members.into_iter().collect();
    members.sort_by(|a, b| a.0.cmp(&b.0));
    members.into_iter().collect()
}
