//! JSON Schemas (draft 2020-12) of what comes out as JSON and GeoJSON, in `sites/schemas/`.
//!
//! They are made of the types that are written; `SCHEMAS=make cargo test --test commands schemas`
//! writes them into their folder. Every test that runs a command holds what it says and writes
//! against them: what names no version, has no schema, lacks what its schema requires or has more
//! than its schema knows, fails there.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use jsonschema::Validator;
use serde_json::Value;

/// How the name of a file ends that has a schema.
const ENDING: &str = ".schema.json";

/// What a page makes of it in a browser, and no command says.
const OF_THE_PAGE: &str = "stintbook-field-";

pub fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("sites/schemas")
}

/// The version that a document names.
pub fn version(document: &Value) -> Option<&str> {
    document.get("schema").and_then(Value::as_str)
}

/// `stintbook.week/1` is described in `week-1.schema.json`.
pub fn file_of(version: &str) -> PathBuf {
    let name = version.strip_prefix("stintbook").unwrap_or(version);
    let name = name.trim_start_matches(['.', '-']).replace('/', "-");
    folder().join(name + ENDING)
}

/// Every schema that is made of the types, by the file in which it is kept.
pub fn made() -> BTreeMap<PathBuf, Value> {
    let mut declared = stintbook::report::schemas(stintbook::intake::properties);
    declared.push(stintbook::intake::places_declared());
    declared.push(stintbook::intake::phone_declared());
    declared.push(stintbook::desk::answer_declared());
    declared.into_iter().map(|(version, schema)| (file_of(version), schema)).collect()
}

/// Every schema that is kept, by its file.
pub fn kept() -> BTreeMap<PathBuf, Value> {
    let entries = fs::read_dir(folder()).unwrap();
    let paths = entries.map(|entry| entry.unwrap().path());
    let schemas = paths.filter(|path| path.to_str().unwrap().ends_with(ENDING));
    let read = |path: &PathBuf| serde_json::from_str(&fs::read_to_string(path).unwrap()).unwrap();
    schemas.map(|path| (path.clone(), read(&path))).collect()
}

/// Holds a text against its schema, where it is JSON; an object that names no version fails.
pub fn hold(text: &str, whence: &str) {
    if !text.starts_with('{') {
        return;
    }
    let Ok(document) = serde_json::from_str::<Value>(text) else { return };
    let version = version(&document).unwrap_or_else(|| panic!("{whence}: it names no version"));
    hold_document(&document, version, whence);
}

/// Holds every file of a folder that names a version of this tool.
pub fn hold_files(folder: &Path) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for path in entries.map(|entry| entry.unwrap().path()) {
        if path.is_dir() {
            hold_files(&path);
        } else if path.extension().is_some_and(|end| end == "json" || end == "geojson") {
            let text = fs::read_to_string(&path).unwrap_or_default();
            let Ok(document) = serde_json::from_str::<Value>(&text) else { continue };
            let named = version(&document).filter(|version| version.starts_with("stintbook"));
            if let Some(version) = named.filter(|version| !version.starts_with(OF_THE_PAGE)) {
                hold_document(&document, version, &path.display().to_string());
            }
        }
    }
}

fn hold_document(document: &Value, version: &str, whence: &str) {
    let file = file_of(version);
    static READY: OnceLock<BTreeMap<PathBuf, Validator>> = OnceLock::new();
    let ready = READY.get_or_init(|| {
        let ready = |(path, schema)| (path, jsonschema::validator_for(&schema).unwrap());
        made().into_iter().map(ready).collect()
    });
    let Some(schema) = ready.get(&file) else {
        panic!("{whence}: `{version}` has no schema");
    };
    let wrong: Vec<String> = schema
        .iter_errors(document)
        .take(5)
        .map(|error| format!("{} at `{}`", error, error.instance_path()))
        .collect();
    let name = file.display();
    assert!(wrong.is_empty(), "{whence} is not as {name} has it: {wrong:#?}");
}
