//! One GeoJSON feature: its properties as fields, its geometry beside them.

use serde_json::{Map, Value};

use super::column::{Cell, columns};
use super::header::stranger;
use super::kinds::{FEATURES, may_lack_shape, shape};
use super::problem::{Finding, Place, quoted};
use super::property::{FACT, KIND};
use super::tally::{Reported, Tally};
use super::value;
use crate::records::{Form, Kind, Record, nearest};

/// Members of the whole collection that hold for each of its features.
pub(super) const SHARED: [&str; 3] = ["date", "by", "recorded_on"];

/// A feature of a known kind, its properties turned to text.
#[derive(Debug)]
pub(super) struct Feature<'j> {
    pub kind: Kind,
    pub place: Place,
    /// In the order of the kind's columns.
    texts: Vec<String>,
    pub geometry: &'j Value,
}

impl<'j> Feature<'j> {
    pub fn read(
        number: usize,
        feature: &'j Value,
        shared: &Map<String, Value>,
        tally: &mut Tally,
    ) -> Result<Self, Reported> {
        let properties = feature.get("properties").and_then(Value::as_object);
        let name = properties.and_then(|all| all.get("name")).and_then(Value::as_str);
        let place = Place::Feature { number, name: name.map(str::to_owned) };
        if feature.get("type").and_then(Value::as_str) != Some("Feature") {
            let found = format!("{} is no feature", quoted(&feature.to_string()));
            let finding = Finding::new(found, "an object of type `Feature`");
            return Err(tally.report(&place, None, finding));
        }
        let Some(properties) = properties else {
            let finding = Finding::new("it has no properties", "properties, `kind` among them");
            return Err(tally.report(&place, None, finding));
        };
        let kind =
            kind(properties).map_err(|finding| tally.report(&place, Some("kind"), finding))?;
        refuse_near_misses(kind, properties, &place, tally)?;
        let mut texts = texts(kind, properties, shared, &place, tally);
        let id = id(feature, &place, tally);
        if let (Ok(texts), Some(id)) = (&mut texts, id?) {
            know_as(id, kind, texts, &place, tally)?;
        }
        let texts = texts?;
        let geometry = feature.get("geometry").unwrap_or(&Value::Null);
        Ok(Self { kind, place, texts, geometry })
    }

    pub fn values(&self) -> Vec<&str> {
        self.texts.iter().map(|text| text.trim()).collect()
    }
}

/// The feature's `id` (RFC 7946, 3.2) where it is a fact's. Drawing programs number features
/// or name them: that is remarked and passed over, but a fact's id that was damaged is not.
fn id<'j>(
    feature: &'j Value,
    place: &Place,
    tally: &mut Tally,
) -> Result<Option<&'j str>, Reported> {
    let found = match feature.get("id") {
        None | Some(Value::Null) => return Ok(None),
        Some(Value::String(text)) if text.trim().is_empty() => return Ok(None),
        Some(Value::String(text)) => match value::fact(text) {
            Ok(_) => return Ok(Some(text.trim())),
            Err(finding) if is_like_an_id(text) => {
                return Err(tally.report(place, Some("id"), finding));
            }
            Err(_) => quoted(text),
        },
        Some(other) => quoted(&other.to_string()),
    };
    tally.remark(format!("{place}: the id {found} is not a fact's and not used"));
    Ok(None)
}

fn is_like_an_id(text: &str) -> bool {
    text.len() >= 20 && text.chars().all(|c| c.is_ascii_hexdigit() || c == '-')
}

/// Puts the id where the property `fact` stands; where both are given, they must be one.
fn know_as(
    id: &str,
    kind: Kind,
    texts: &mut [String],
    place: &Place,
    tally: &mut Tally,
) -> Result<(), Reported> {
    let column = columns(kind).iter().position(|column| column.name == FACT.name);
    let Some(said) = column.and_then(|at| texts.get_mut(at)) else { return Ok(()) };
    if !said.trim().is_empty() && !said.trim().eq_ignore_ascii_case(id) {
        let found = format!("it is {} here and {} in `id`", quoted(said), quoted(id));
        return Err(tally.report(place, Some("fact"), Finding::new(found, "one id, in one place")));
    }
    *said = id.to_owned();
    Ok(())
}

fn kind(properties: &Map<String, Value>) -> Result<Kind, Finding> {
    let asked = match properties.get("kind") {
        None | Some(Value::Null) => return Err(Finding::new("nothing is there", KIND.expected)),
        Some(Value::String(asked)) => asked.trim(),
        Some(other) => {
            return Err(Finding::new(
                format!("{} is not text", quoted(&other.to_string())),
                KIND.expected,
            ));
        }
    };
    let named = |kind: &Kind| kind.name().eq_ignore_ascii_case(asked);
    FEATURES.into_iter().find(named).ok_or_else(|| {
        Finding::new(format!("{} is no kind of feature", quoted(asked)), KIND.expected)
    })
}

/// Drawing programs add properties of their own (`stroke`, `fid`): those are remarked and
/// passed over. One that is nearly a property of ours is a slip that must not pass.
fn refuse_near_misses(
    kind: Kind,
    properties: &Map<String, Value>,
    place: &Place,
    tally: &mut Tally,
) -> Result<(), Reported> {
    let names = || columns(kind).iter().map(|column| column.name);
    let mut fit = Ok(());
    for name in properties.keys().filter(|name| !names().any(|known| known == *name)) {
        if nearest(name, names().map(str::to_owned)).is_some() {
            fit = Err(tally.report(place, Some(name), stranger(kind, name)));
        } else {
            tally.remark(format!("{place}: {} is not used", quoted(name)));
        }
    }
    fit
}

fn texts(
    kind: Kind,
    properties: &Map<String, Value>,
    shared: &Map<String, Value>,
    place: &Place,
    tally: &mut Tally,
) -> Result<Vec<String>, Reported> {
    let mut fit = Ok(());
    let mut texts = Vec::new();
    for column in columns(kind) {
        let own = properties.get(column.name).filter(|value| !value.is_null());
        let for_all = SHARED.contains(&column.name).then(|| shared.get(column.name)).flatten();
        match text(own.or(for_all)) {
            Ok(text) => texts.push(text),
            Err(found) => {
                let finding = Finding::new(found, column.expected);
                fit = Err(tally.report(place, Some(column.name), finding));
            }
        }
    }
    fit.map(|()| texts)
}

fn text(value: Option<&Value>) -> Result<String, String> {
    match value {
        None | Some(Value::Null) => Ok(String::new()),
        Some(Value::String(text)) => Ok(text.clone()),
        Some(Value::Number(number)) => Ok(number.to_string()),
        Some(other) => Err(format!("{} is neither text nor a number", quoted(&other.to_string()))),
    }
}

/// A record of a place as a feature, ready to be written.
pub(super) fn write(record: &Record, row: &[Cell]) -> Option<Value> {
    let kind = record.kind();
    let geometry = match shape(record) {
        Some(shape) => Some(geojson::GeometryValue::from(&shape)),
        None if may_lack_shape(kind) => None,
        None => return None,
    };
    let property = |(name, text): &Cell| {
        let column = columns(kind).iter().find(|column| column.name == *name);
        let number =
            column.filter(|column| column.form == Form::Number).and_then(|_| text.parse().ok());
        ((*name).to_owned(), number.map_or_else(|| Value::from(text.as_str()), Value::Number))
    };
    let is_id = |(name, _): &&Cell| *name == FACT.name;
    let properties: Map<String, Value> =
        row.iter().filter(|cell| !is_id(cell)).map(property).collect();
    let mut feature = serde_json::json!({
        "type": "Feature",
        "properties": properties,
        "geometry": geometry.map(geojson::Geometry::new),
    });
    if let Some((_, id)) = row.iter().find(is_id) {
        feature["id"] = Value::from(id.as_str());
    }
    Some(feature)
}
