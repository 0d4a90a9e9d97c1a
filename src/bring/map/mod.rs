//! What a map draws, turned into the very GeoJSON that `intake` reads.
//!
//! A feature's own words go before its layer's, and both before what was told; what is then still
//! not known is asked, and nothing is taken in.

mod asked;
mod kept;
mod kind;
mod name;
mod properties;
mod shape;
mod track;
mod unclear;

use std::collections::{BTreeMap, BTreeSet};

use geo::Geometry;
use jiff::civil::Date;
use serde_json::{Map, Value, json};

use crate::intake::columns;
use crate::maps::{Drawing, Drawn};
use crate::records::{Column, Form, Kind};
use name::plain as plain_name;
use properties::{Read, day};
use track::Walked;
use unclear::Unclear;

pub use asked::{MapAsk, MapQuestion};
pub use kept::{KeptMap, MapShape};
pub use kind::called as map_kind_called;
pub use track::Closed;
pub use unclear::UnclearMap;

/// What was told of a map that does not say it itself.
#[derive(Clone, Debug, Default)]
pub struct Told {
    /// What the features of a layer are; `None` for those that are left out.
    pub layers: Vec<(String, Option<Kind>)>,
    /// What all others are.
    pub kind: Option<Kind>,
    /// The property that has the names.
    pub named_by: Option<String>,
    /// The site of what names none.
    pub site: Option<String>,
    /// The crop of patches that name none.
    pub crop: Option<String>,
    /// Of lines, in metres.
    pub width: Option<f64>,
    /// Of points, in metres.
    pub radius: Option<f64>,
    /// Of landmarks.
    pub what: Option<String>,
    /// Who set it down.
    pub by: Option<String>,
    /// The day on which it was set down.
    pub set_down: Option<Date>,
    /// What a line encloses that ends where it began.
    pub closed: Option<Closed>,
    /// How far off a receiver may be, in metres; where nobody says, [`USUAL_ACCURACY`].
    pub accuracy: Option<f64>,
}

/// A receiver in the open, in metres, as design and records take it where nobody says
/// (`accuracy_m`).
pub const USUAL_ACCURACY: f64 = 5.0;

/// A map as `intake` reads it, and what was done to make it so.
#[derive(Debug)]
pub struct StraightMap {
    /// GeoJSON.
    pub text: String,
    /// The first features, as they are now.
    pub shown: Vec<String>,
    /// How many there are.
    pub features: usize,
    /// How it was read and what was left out, a sentence each.
    pub remarks: Vec<String>,
}

/// Features that are shown one by one.
const SHOWN: usize = 6;

/// Puts a map straight; `crop` is what the catalogue means by a name.
///
/// # Errors
/// What is unclear, each with a way out.
pub fn straighten_map(
    drawing: &Drawing,
    told: &Told,
    crop: impl Fn(&str) -> Result<String, String>,
) -> Result<StraightMap, UnclearMap> {
    if drawing.drawn.iter().any(properties::is_blurred) {
        return Err(UnclearMap::refused(BLURRED));
    }
    let mut work = Work {
        told,
        crop: &crop,
        unclear: Unclear::default(),
        remarks: drawing.remarks.clone(),
        unused: BTreeSet::new(),
        renamed: BTreeMap::new(),
    };
    let sites = work.sites(drawing);
    let mut features = Vec::new();
    let mut left_out = 0;
    for drawn in &drawing.drawn {
        match work.kind(drawn) {
            None => {}
            Some(None) => left_out += 1,
            Some(Some(kind)) => features.extend(work.feature(drawn, kind, &sites)),
        }
    }
    let kinds = features.iter().map(|feature: &Feature| feature.kind);
    let mut counts: BTreeMap<&str, (Kind, usize)> = BTreeMap::new();
    kinds.for_each(|kind| counts.entry(kind.name()).or_insert((kind, 0)).1 += 1);
    let counts: Vec<String> = counts.into_values().map(|(kind, n)| kind.counted(n)).collect();
    let mut remarks = vec![format!("read as {}: {}", drawing.format, counts.join(", "))];
    if left_out > 0 {
        remarks.push(format!("left out, as told: {left_out} of its features"));
    }
    remarks.extend(work.said());
    if let Some(unclear) = work.unclear.found() {
        return Err(unclear);
    }
    if features.is_empty() {
        return Err(UnclearMap::refused("all that is drawn in it is left out"));
    }
    let more = features.len().saturating_sub(SHOWN);
    let mut shown: Vec<String> = features.iter().take(SHOWN).map(Feature::shown).collect();
    shown.extend((more > 0).then(|| format!("and {more} more")));
    let written: Vec<Value> = features.iter().map(Feature::written).collect();
    let text = json!({ "type": "FeatureCollection", "features": written }).to_string();
    Ok(StraightMap { text, shown, features: features.len(), remarks })
}

/// Why nothing is brought of what `--blur` made.
pub const BLURRED: &str = "it was blurred for others (`stintbook.blurred/1`): its places are the middles of \
                       squares and its names are made up, so a book can learn nothing from it; \
                       bring what it was made from";

/// Whether a table with these headers was made by `--blur`.
pub fn is_blurred(headers: &[String]) -> bool {
    properties::BLURRED.iter().all(|name| headers.iter().any(|header| header == name))
}

struct Work<'t> {
    told: &'t Told,
    crop: &'t dyn Fn(&str) -> Result<String, String>,
    unclear: Unclear,
    remarks: Vec<String>,
    /// Properties that have no place here.
    unused: BTreeSet<String>,
    /// Names that could not stay as they were.
    renamed: BTreeMap<String, String>,
}

struct Feature {
    kind: Kind,
    properties: Map<String, Value>,
    shape: Option<Geometry>,
}

impl Work<'_> {
    /// Whether it is left out, or what it is; nothing where that is not known.
    fn kind(&mut self, drawn: &Drawn) -> Option<Option<Kind>> {
        let kind = kind::of(drawn, self.told);
        if kind.is_none() {
            self.unclear.without_kind(drawn);
        }
        kind
    }

    /// The names of the sites that the map itself draws.
    fn sites(&self, drawing: &Drawing) -> Vec<String> {
        let is_site = |drawn: &&Drawn| kind::of(drawn, self.told) == Some(Some(Kind::Site));
        let sites = drawing.drawn.iter().filter(is_site);
        sites.filter_map(|site| Some(plain_name(&properties::name(site, self.told)?))).collect()
    }

    fn feature(&mut self, drawn: &Drawn, kind: Kind, sites: &[String]) -> Option<Feature> {
        let Read { mut properties, unused, slips } = properties::read(drawn, kind, self.told);
        self.unused.extend(unused);
        slips.into_iter().for_each(|(slip, meant)| self.unclear.slip(&slip, meant));
        let label = properties::name(drawn, self.told)
            .unwrap_or_else(|| format!("feature {} of `{}`", drawn.number, drawn.layer));
        properties.insert("kind".to_owned(), kind.name().into());
        let named = if has(kind, "name") { "name" } else { "patch" };
        match properties::name(drawn, self.told) {
            Some(name) => self.name(&name, kind, named, &mut properties),
            None if properties.contains_key(named) => {}
            None => self.unclear.without_name(drawn),
        }
        if has(kind, "site") {
            self.site(&mut properties, sites);
        }
        if kind == Kind::Patch {
            self.crop(&mut properties);
        }
        if kind == Kind::Landmark {
            self.fill("what", self.told.what.as_deref(), &mut properties);
        }
        self.fill("by", self.told.by.as_deref(), &mut properties);
        self.set_down(drawn, &mut properties);
        let shape = self.shape(drawn, kind, &label, &mut properties)?;
        Some(Feature { kind, properties, shape })
    }

    fn name(&mut self, name: &str, kind: Kind, column: &str, properties: &mut Map<String, Value>) {
        let mut own = name;
        // As this tool itself writes a patch.
        if has(kind, "site")
            && !properties.contains_key("site")
            && self.told.site.is_none()
            && let Some((site, patch)) = name.split_once('/')
            && !patch.contains('/')
        {
            own = patch;
            properties.insert("site".to_owned(), plain_name(site).into());
            self.renamed.insert(name.to_owned(), format!("{} on {}", patch.trim(), site.trim()));
        }
        let plain = plain_name(own);
        if plain != own.trim() {
            self.renamed.insert(name.to_owned(), plain.clone());
        }
        properties.insert(column.to_owned(), plain.into());
    }

    /// Its own; the one that was told; the only one that the map draws.
    fn site(&mut self, properties: &mut Map<String, Value>, sites: &[String]) {
        if let Some(Value::String(site)) = properties.get_mut("site") {
            *site = plain_name(site);
            return;
        }
        match (self.told.site.as_deref(), sites) {
            (Some(site), _) => _ = properties.insert("site".to_owned(), site.into()),
            (None, [only]) => {
                self.remark(format!("what names no site lies on {only}, the only one it draws"));
                properties.insert("site".to_owned(), only.as_str().into());
            }
            _ => self.unclear.lacks("site"),
        }
    }

    fn crop(&mut self, properties: &mut Map<String, Value>) {
        let said = properties.get("crop").and_then(Value::as_str);
        let Some(said) = said.or(self.told.crop.as_deref()).map(str::to_owned) else {
            return self.unclear.lacks("crop");
        };
        match (self.crop)(&said) {
            Ok(meant) => {
                if meant != said {
                    self.renamed.insert(said, meant.clone());
                }
                properties.insert("crop".to_owned(), meant.into());
            }
            Err(why) => self.unclear.tell(why),
        }
    }

    fn fill(
        &mut self,
        column: &'static str,
        told: Option<&str>,
        properties: &mut Map<String, Value>,
    ) {
        if properties.contains_key(column) {
            return;
        }
        match told {
            Some(told) => {
                properties.insert(column.to_owned(), told.into());
            }
            None => self.unclear.lacks(column),
        }
    }

    /// The day in its own words, that of its receiver, or the one that was told.
    fn set_down(&mut self, drawn: &Drawn, properties: &mut Map<String, Value>) {
        if properties.contains_key("date") || properties.contains_key("recorded_on") {
            return;
        }
        let received = drawn.properties.get("time").and_then(Value::as_str).and_then(day);
        let day = match (received, self.told.set_down) {
            (_, Some(told)) => told.to_string(),
            (Some(received), None) => {
                self.remark(
                    "the day is that of the receiver's clock, in universal time".to_owned(),
                );
                received
            }
            (None, None) => return self.unclear.lacks("date"),
        };
        properties.insert("date".to_owned(), day.into());
    }

    fn shape(
        &mut self,
        drawn: &Drawn,
        kind: Kind,
        label: &str,
        properties: &mut Map<String, Value>,
    ) -> Option<Option<Geometry>> {
        let Some(shape) = &drawn.shape else { return Some(None) };
        let drawn_as = match shape::plain(shape) {
            Ok(shape) => shape,
            Err(why) => {
                self.unclear.tell(format!("{label}: {why}"));
                return None;
            }
        };
        let has_width = properties.contains_key("width_m") || self.told.width.is_some();
        let accuracy = self.told.accuracy.unwrap_or(USUAL_ACCURACY);
        let walk = Walked { accuracy, walked: drawn.walked, closed: self.told.closed };
        let straight = match walk.straight(drawn_as, kind, has_width) {
            Ok(straight) => straight,
            Err(asked) => {
                self.unclear.closed(asked, label);
                return None;
            }
        };
        self.remarks.extend(straight.said.iter().map(|said| format!("{label}: {said}")));
        if has(kind, "width_m") {
            self.measure(&straight.shape, properties);
        }
        Some(Some(straight.shape))
    }

    /// A line's width, a point's radius.
    fn measure(&mut self, shape: &Geometry, properties: &mut Map<String, Value>) {
        let (column, told) = match shape {
            Geometry::LineString(_) | Geometry::MultiLineString(_) => ("width_m", self.told.width),
            Geometry::Point(_) if !properties.contains_key("plants") => {
                ("radius_m", self.told.radius)
            }
            _ => return,
        };
        match told {
            _ if properties.contains_key(column) => {}
            Some(metres) => _ = properties.insert(column.to_owned(), metres.into()),
            None => self.unclear.lacks(column),
        }
    }

    fn remark(&mut self, remark: String) {
        if !self.remarks.contains(&remark) {
            self.remarks.push(remark);
        }
    }

    fn said(&self) -> Vec<String> {
        const MOST: usize = 20;
        let list = |names: Vec<String>| match names.len().checked_sub(MOST) {
            None | Some(0) => names.join(", "),
            Some(more) => format!("{} and {more} more", names[..MOST].join(", ")),
        };
        let mut said = self.remarks.clone();
        if let more @ 1.. = said.len().saturating_sub(2 * MOST) {
            said.truncate(2 * MOST);
            said.push(format!("and {more} more remarks like these"));
        }
        if !self.renamed.is_empty() {
            let pairs = self.renamed.iter().map(|(was, is)| format!("`{was}` as `{is}`"));
            said.push(format!("read: {}", list(pairs.collect())));
        }
        if !self.unused.is_empty() {
            let names = self.unused.iter().map(|name| format!("`{name}`"));
            said.push(format!("not used: {}", list(names.collect())));
        }
        said
    }
}

impl Feature {
    fn written(&self) -> Value {
        let shape = self.shape.as_ref().map(geojson::GeometryValue::from);
        json!({
            "type": "Feature",
            "properties": self.properties,
            "geometry": shape.map(geojson::Geometry::new),
        })
    }

    /// `patch: Bank, Hill, nettle-tops; ground of 332 m²`.
    fn shown(&self) -> String {
        let text = |name: &str| match self.properties.get(name)? {
            Value::String(text) => Some(text.clone()),
            other => Some(other.to_string()),
        };
        let said = ["name", "patch", "site", "crop", "what", "date", "by"];
        let said: Vec<String> = said.into_iter().filter_map(text).collect();
        let ground = self.shape.as_ref().map_or("nothing drawn".to_owned(), shape::told);
        let measure = |(name, unit): (&str, &str)| Some(format!("{unit} {} m", text(name)?));
        let measures = [("width_m", "width"), ("radius_m", "radius"), ("buffer_m", "reach")];
        let measures: String =
            measures.into_iter().filter_map(measure).map(|it| format!(", {it}")).collect();
        format!("{}: {}; {ground}{measures}", self.kind.name(), said.join(", "))
    }
}

/// Whether the kind has such a property.
fn has(kind: Kind, column: &str) -> bool {
    columns(kind).iter().any(|known| known.name == column)
}

fn is_number(column: &Column) -> bool {
    column.form == Form::Number
}
