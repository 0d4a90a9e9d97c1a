//! Files to start from, each saying of itself how it is filled in.

use serde_json::{Value, json};

use super::column::columns;
use super::kinds::{FEATURES, SHEETS};
use super::write::{PLACES_SCHEMA, Place, PlacesData};
use crate::json::{Perhaps, written};
use crate::records::{Column, Form, Kind, Need};

/// A file for a new workspace's `sites/`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Template {
    /// Its name: `cuts.csv`.
    pub file: String,
    /// All that stands in it.
    pub text: String,
}

/// One GeoJSON file for places, one CSV for each other kind; loaded as they are, they add
/// nothing.
pub fn templates() -> Vec<Template> {
    let places = Template { file: "places.geojson".to_owned(), text: places() };
    let sheet = |kind: Kind| Template { file: format!("{}.csv", kind.plural()), text: sheet(kind) };
    std::iter::once(places).chain(SHEETS.map(sheet)).collect()
}

fn sheet(kind: Kind) -> String {
    let mut text = format!("# {}\n", kind.what());
    text.push_str(
        "# A line that starts with # is a comment. The columns may stand in any order, and\n\
         # those not marked as needed may be left out.\n#\n",
    );
    for column in columns(kind) {
        text.push_str(&format!("# {}\n", explained(column)));
    }
    let names: Vec<&str> = columns(kind).iter().map(|column| column.name).collect();
    let example: Vec<&str> = columns(kind).iter().map(|column| column.example).collect();
    text.push_str(&format!("#\n# A row may look like this:\n# {}\n", example.join(",")));
    text.push_str(&format!("{}\n", names.join(",")));
    text
}

fn explained(column: &Column) -> String {
    let needed = if column.need == Need::Optional { "" } else { " (needed)" };
    format!("{}{needed}: {}", column.name, column.expected)
}

/// JSON has no comments, so what there is to say stands in members that nothing reads.
fn places() -> String {
    let mut how_to = vec![
        "Draw sites, zones, patches, their redraws and landmarks as features in `features`: longitude, latitude, WGS84."
            .to_owned(),
        "`date`, `by` and `recorded_on` may stand here once for all features.".to_owned(),
    ];
    for kind in FEATURES {
        how_to.push(kind.what().to_owned());
        how_to.extend(columns(kind).iter().map(|column| format!("  {}", explained(column))));
    }
    let data = PlacesData {
        how_to: Perhaps(Some(how_to)),
        example_features: Perhaps(Some(FEATURES.map(example).map(Place).into())),
        ..PlacesData::default()
    };
    written(PLACES_SCHEMA, data)
}

fn example(kind: Kind) -> Value {
    let filled = columns(kind).iter().filter(|column| !column.example.is_empty());
    let mut properties: serde_json::Map<String, Value> =
        filled.map(|column| (column.name.to_owned(), example_value(column))).collect();
    properties.insert("kind".to_owned(), Value::from(kind.name()));
    json!({ "type": "Feature", "properties": properties, "geometry": example_shape(kind) })
}

fn example_value(column: &Column) -> Value {
    match column.form {
        Form::Number => column.example.parse::<f64>().map_or(Value::Null, Value::from),
        Form::Text => Value::from(column.example),
    }
}

/// On open water.
fn example_shape(kind: Kind) -> Value {
    match kind {
        Kind::Site => json!({ "type": "Polygon", "coordinates": [[
            [-20.002, 48.0], [-20.0, 48.0], [-20.0, 48.002], [-20.002, 48.002], [-20.002, 48.0],
        ]] }),
        Kind::Landmark => json!({ "type": "Point", "coordinates": [-20.0005, 48.0003] }),
        Kind::Zone => json!({ "type": "LineString", "coordinates": [
            [-20.002, 48.001], [-20.0, 48.001],
        ] }),
        Kind::Redraw => json!({ "type": "Polygon", "coordinates": [[
            [-20.0018, 48.0002], [-20.0016, 48.0002], [-20.0016, 48.0004], [-20.0018, 48.0002],
        ]] }),
        _ => json!({ "type": "Polygon", "coordinates": [[
            [-20.0018, 48.0002], [-20.0015, 48.0002], [-20.0015, 48.0004], [-20.0018, 48.0002],
        ]] }),
    }
}
