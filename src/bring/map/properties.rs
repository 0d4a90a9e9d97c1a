//! The properties of a feature, in the names and forms that `intake` reads.

use std::collections::BTreeMap;

use serde_json::{Map, Number, Value};

use super::{Told, is_number};
use crate::intake::columns;
use crate::maps::Drawn;
use crate::records::{Column, Kind, composed, nearest};

/// Names that a Shapefile cuts short have so many letters.
const CUT_SHORT: usize = 10;

/// Those of other programs, and what this one says of a day: they mean nothing here.
const FOREIGN: [&str; 61] = [
    "id",
    "title",
    "about",
    "verdict",
    "most_g",
    "most_count",
    "no_upper_limit",
    "one_in",
    "goes_by",
    "binding_rule",
    "reason",
    "opens_on",
    "opens_needs_survey",
    "opens_needs_permission",
    "closes_on",
    "ask_first",
    "standing_g",
    "standing_count",
    "standing_low_g",
    "standing_low_count",
    "distance_m",
    "lon",
    "lat",
    "site_cautions",
    "ceilings",
    "patch",
    "description",
    "desc",
    "cmt",
    "sym",
    "type",
    "time",
    "timestamp",
    "begin",
    "end",
    "altitudemode",
    "tessellate",
    "extrude",
    "visibility",
    "draworder",
    "icon",
    "snippet",
    "address",
    "styleurl",
    "stroke",
    "fill",
    "stroke_width",
    "stroke_opacity",
    "fill_opacity",
    "marker_color",
    "marker_size",
    "marker_symbol",
    "fid",
    "ogc_fid",
    "gid",
    "objectid",
    "shape_leng",
    "shape_area",
    "layer",
    "path",
    "ele",
];

/// Those that a patch has by which nobody shall find it.
pub(super) const BLURRED: [&str; 3] = ["square", "square_side_m", "within_m"];

/// Whether it was made for people who are not to know where it is.
pub(super) fn is_blurred(drawn: &Drawn) -> bool {
    let has = |name: &str| drawn.properties.keys().any(|own| own.eq_ignore_ascii_case(name));
    BLURRED.into_iter().all(has)
}

/// What was read of a feature.
pub(super) struct Read {
    pub properties: Map<String, Value>,
    /// Names of properties that have no place.
    pub unused: Vec<String>,
    /// Those that are nearly the name of one that has.
    pub slips: Vec<(String, &'static str)>,
}

pub(super) fn read(drawn: &Drawn, kind: Kind, told: &Told) -> Read {
    let mut read = Read { properties: Map::new(), unused: Vec::new(), slips: Vec::new() };
    // A name that is written just so goes before one that is meant.
    let mut given: BTreeMap<&'static str, (bool, Value)> = BTreeMap::new();
    for (name, value) in drawn.properties.iter().filter(|(_, value)| is_filled(value)) {
        let is_name = told.named_by.as_ref().is_some_and(|by| by.eq_ignore_ascii_case(name));
        match column(kind, name) {
            Some(column) if column.name == "name" || column.name == "kind" => {}
            Some(column) => {
                let exact = column.name == name;
                let goes_before = given.get(column.name).is_none_or(|(other, _)| exact && !other);
                if goes_before && let Some(value) = formed(column, value) {
                    given.insert(column.name, (exact, value));
                }
            }
            None if is_name || is_foreign(&folded(name)) => {}
            None => match meant(kind, name) {
                Some(meant) => read.slips.push((name.clone(), meant)),
                None => read.unused.push(name.clone()),
            },
        }
    }
    let given = given.into_iter().map(|(name, (_, value))| (name.to_owned(), value));
    read.properties = given.collect();
    read
}

/// Whole, or cut short.
fn is_foreign(name: &str) -> bool {
    let cut = |own: &str| name.len() == CUT_SHORT && own.starts_with(name);
    FOREIGN.iter().any(|own| *own == name || cut(own))
}

/// What it is called: by the property that was told, or by one that is called `name`, `label` or
/// `title`.
pub(super) fn name(drawn: &Drawn, told: &Told) -> Option<String> {
    let by = told.named_by.as_deref().map_or(vec!["name", "label", "title"], |by| vec![by]);
    by.into_iter().find_map(|by| {
        let mut named = drawn.properties.iter().filter(|(own, _)| own.eq_ignore_ascii_case(by));
        named.find_map(|(_, value)| match value {
            Value::String(text) if !text.trim().is_empty() => {
                Some(composed(text.trim()).into_owned())
            }
            Value::Number(number) => {
                Some(whole(number).map_or(number.to_string(), |it| it.to_string()))
            }
            _ => None,
        })
    })
}

/// The property of the kind that is called so, in whatever case, without its unit, or cut short.
pub(super) fn column(kind: Kind, name: &str) -> Option<&'static Column> {
    let name = folded(name);
    let is_meant = |column: &&Column| {
        column.name == name
            || column.name.strip_suffix("_m") == Some(&name)
            || name.len() == CUT_SHORT && column.name.starts_with(&name)
    };
    columns(kind).iter().find(is_meant)
}

fn meant(kind: Kind, name: &str) -> Option<&'static str> {
    let names = columns(kind).iter().map(|column| column.name);
    let near = nearest(&folded(name), names.clone().map(str::to_owned))?;
    names.into_iter().find(|name| *name == near)
}

/// Small letters and digits with `_` between words: `Width (m)` is `width_m`.
fn folded(name: &str) -> String {
    let letters =
        name.chars().map(|c| if c.is_alphanumeric() { c.to_ascii_lowercase() } else { ' ' });
    letters.collect::<String>().split_whitespace().collect::<Vec<_>>().join("_")
}

fn is_filled(value: &Value) -> bool {
    match value {
        Value::Null | Value::Array(_) | Value::Object(_) => false,
        Value::String(text) => !text.trim().is_empty(),
        _ => true,
    }
}

/// Numbers without a unit, whole where they are; days with the year first; names and words
/// composed.
fn formed(column: &Column, value: &Value) -> Option<Value> {
    Some(match value {
        Value::Number(number) => match whole(number) {
            Some(whole) if is_number(column) => whole.into(),
            Some(whole) => whole.to_string().into(),
            None if is_number(column) => value.clone(),
            None => number.to_string().into(),
        },
        Value::String(text) if is_number(column) => {
            let text = text.trim();
            let bare =
                text.strip_suffix("metres").or_else(|| text.strip_suffix('m')).unwrap_or(text);
            let number = bare.trim().parse().ok().and_then(Number::from_f64);
            match number {
                Some(number) => whole(&number).map_or(Value::Number(number), Value::from),
                None => text.into(),
            }
        }
        Value::String(text) if matches!(column.name, "date" | "recorded_on") => {
            day(text).unwrap_or_else(|| text.trim().to_owned()).into()
        }
        Value::String(text) => composed(text.trim()).into(),
        Value::Bool(yes) => (if *yes { "yes" } else { "no" }).into(),
        _ => return None,
    })
}

/// Without what a program added that knows no whole numbers.
fn whole(number: &Number) -> Option<i64> {
    const EXACT: f64 = 9e15;
    let real = number.as_f64()?;
    number.as_i64().or_else(|| (real.fract() == 0.0 && real.abs() < EXACT).then_some(real as i64))
}

/// The day of `2027-03-15`, `2027/03/15` or `2027-03-15T10:20:30Z`: where the year stands first,
/// the month is next.
pub(super) fn day(text: &str) -> Option<String> {
    let text = text.trim();
    let day = text.get(..10)?;
    let is_end = text[10..].is_empty() || text[10..].starts_with(['T', ' ', 'Z', '+']);
    let is_day = day.char_indices().all(|(at, c)| match at {
        4 | 7 => matches!(c, '-' | '/' | '.'),
        _ => c.is_ascii_digit(),
    });
    (is_end && is_day).then(|| day.replace(['/', '.'], "-"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_property_is_found_in_any_case_without_its_unit_and_cut_short() {
        let named = |name| column(Kind::Patch, name).map(|column| column.name);
        assert_eq!(named("WIDTH_M"), Some("width_m"));
        assert_eq!(named("Width (m)"), Some("width_m"));
        assert_eq!(named("Radius"), Some("radius_m"));
        assert_eq!(named("RECORDED_O"), Some("recorded_on"));
        assert_eq!(named("Recorded on"), Some("recorded_on"));
        assert_eq!(named("area_ha"), None);
    }

    #[test]
    fn days_are_taken_where_the_year_stands_first_and_nowhere_else() {
        assert_eq!(day("2027/03/15").as_deref(), Some("2027-03-15"));
        assert_eq!(day("2027-03-15T23:10:00Z").as_deref(), Some("2027-03-15"));
        for other in ["15/03/2027", "2027-3-5", "20270315", "2027-03-155", "näh2027-03-15"] {
            assert_eq!(day(other), None, "{other}");
        }
    }
}
