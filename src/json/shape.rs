//! The schema of an object while its members are declared.

use serde_json::{Map, Value, json};

/// Where the schema of a geometry stands in that of a document.
pub(super) const GEOMETRY: &str = "#/$defs/geometry";

/// Members declared so far.
#[derive(Debug, Default)]
pub struct Shape {
    properties: Map<String, Value>,
    required: Vec<Value>,
    /// Of each list of names exactly one is there.
    one_of: Vec<[String; 2]>,
}

impl Shape {
    /// A member; where nothing is to be said about it, `about` is empty.
    pub fn add(&mut self, name: &str, schema: Value, about: &str) {
        self.required.push(name.into());
        self.describe(name, schema, about);
    }

    /// Of two members one.
    pub fn add_either(&mut self, names: [String; 2], schema: &Value, about: &str) {
        names.iter().for_each(|name| self.describe(name, schema.clone(), about));
        self.one_of.push(names);
    }

    fn describe(&mut self, name: &str, mut schema: Value, about: &str) {
        if let (false, Some(members)) = (about.is_empty(), schema.as_object_mut()) {
            members.insert("description".to_owned(), about.into());
        }
        self.properties.insert(name.to_owned(), schema);
    }

    /// What the other has, none of which need be there.
    pub fn add_optional(&mut self, other: Self) {
        self.properties.extend(other.properties);
    }

    /// What the other has.
    pub fn add_all(&mut self, other: Self) {
        self.properties.extend(other.properties);
        self.required.extend(other.required);
        self.one_of.extend(other.one_of);
    }

    /// With none that must be there.
    pub fn optional(self) -> Self {
        Self { properties: self.properties, ..Self::default() }
    }

    /// An object with these members and no others.
    pub fn schema(self) -> Value {
        let one_of = self.one_of.iter().map(|names| {
            let with = |name: &String| json!({ "required": [name] });
            json!({ "oneOf": names.iter().map(with).collect::<Vec<Value>>() })
        });
        let one_of: Vec<Value> = one_of.collect();
        let mut schema = json!({
            "type": "object",
            "required": self.required,
            "properties": self.properties,
            "additionalProperties": false,
        });
        if !one_of.is_empty() {
            schema["allOf"] = one_of.into();
        }
        schema
    }
}

/// One of these texts.
pub fn closed(texts: &[&str]) -> Value {
    json!({ "type": "string", "enum": texts })
}

/// Several of these.
pub fn array_of(items: Value) -> Value {
    json!({ "type": "array", "items": items })
}

/// The same, or null.
pub fn or_null(mut schema: Value) -> Value {
    if schema.get("$ref").is_some() || schema.get("allOf").is_some() {
        return json!({ "anyOf": [schema, { "type": "null" }] });
    }
    if let Some(texts) = schema.get_mut("enum").and_then(Value::as_array_mut) {
        texts.push(Value::Null);
    }
    schema["type"] = match schema["type"].take() {
        Value::Array(mut types) => {
            if !types.contains(&"null".into()) {
                types.push("null".into());
            }
            types.into()
        }
        one => json!([one, "null"]),
    };
    schema
}
