//! What was told of a map, kept for the next one of the same shape, in TOML.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use super::kind::called;
use super::{Closed, Told};
use crate::maps::Drawing;
use crate::records::folded;

const HEAD: &str = "# How maps of this shape are read. Made by `stintbook bring`; change what is wrong,\n\
                    # or delete the file to be asked anew. The layer `*` is called as its file is.\n";

/// A layer that is called as its file is, whose name the next file does not share.
const AS_ITS_FILE: &str = "*";
/// A layer that is left out.
const LEFT_OUT: &str = "none";

/// By which a map is known again: its format, its layers, and what their features have.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct MapShape {
    map: String,
    layers: BTreeSet<String>,
    properties: BTreeSet<String>,
}

impl MapShape {
    /// `stem` is the file's name without its ending.
    pub fn of(drawing: &Drawing, stem: &str) -> Self {
        let names = drawing.drawn.iter().flat_map(|drawn| drawn.properties.keys());
        Self {
            map: drawing.format.to_owned(),
            layers: drawing.drawn.iter().map(|drawn| starred(&drawn.layer, stem)).collect(),
            properties: names.map(|name| folded(name)).collect(),
        }
    }

    /// As one line a part.
    pub fn lines(&self) -> String {
        let parts = [&self.map].into_iter().chain(&self.layers).chain(&self.properties);
        parts.map(|part| format!("{part}\n")).collect()
    }
}

fn starred(layer: &str, stem: &str) -> String {
    if folded(layer) == folded(stem) { AS_ITS_FILE.to_owned() } else { folded(layer) }
}

/// What is kept. The day of being set down is another each time, and never kept.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeptMap {
    map: String,
    layers: BTreeSet<String>,
    properties: BTreeSet<String>,
    #[serde(rename = "as")]
    kind: Option<String>,
    named_by: Option<String>,
    site: Option<String>,
    crop: Option<String>,
    what: Option<String>,
    by: Option<String>,
    closed: Option<String>,
    width_m: Option<f64>,
    radius_m: Option<f64>,
    accuracy_m: Option<f64>,
    system: Option<String>,
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    layer: BTreeMap<String, String>,
}

impl KeptMap {
    /// What was told of a map of this shape, the `system` by its code.
    pub fn of(shape: &MapShape, told: &Told, system: Option<&str>, stem: &str) -> Self {
        let MapShape { map, layers, properties } = shape.clone();
        let of_layer = |(layer, kind): &(String, Option<crate::records::Kind>)| {
            (starred(layer, stem), kind.map_or(LEFT_OUT, |kind| kind.name()).to_owned())
        };
        Self {
            map,
            layers,
            properties,
            kind: told.kind.map(|kind| kind.name().to_owned()),
            named_by: told.named_by.clone(),
            site: told.site.clone(),
            crop: told.crop.clone(),
            what: told.what.clone(),
            by: told.by.clone(),
            closed: told.closed.map(|closed| closed.name().to_owned()),
            width_m: told.width,
            radius_m: told.radius,
            accuracy_m: told.accuracy,
            system: system.map(str::to_owned),
            layer: told.layers.iter().map(of_layer).collect(),
        }
    }

    /// Nothing where the text is of a table.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn read(toml: &str) -> Result<Option<Self>, String> {
        let said = |error: toml::de::Error| error.message().to_owned();
        let table: toml::Table = toml::from_str(toml).map_err(said)?;
        if !table.contains_key("map") {
            return Ok(None);
        }
        let kept: Self = toml::from_str(toml).map_err(said)?;
        let kinds = kept.layer.values().filter(|kind| *kind != LEFT_OUT).chain(&kept.kind);
        if let Some(strange) = kinds.into_iter().find(|kind| called(kind).is_none()) {
            return Err(format!("`{strange}` is nothing that a map draws"));
        }
        kept.closed.as_ref().map(|closed| closed.parse::<Closed>()).transpose()?;
        let lengths = [kept.width_m, kept.radius_m, kept.accuracy_m];
        match lengths.into_iter().flatten().find(|length| !length.is_finite() || *length < 0.0) {
            Some(strange) => Err(format!("`{strange}` is no length in metres")),
            None => Ok(Some(kept)),
        }
    }

    /// As a file has it.
    pub fn toml(&self) -> String {
        // Texts, numbers and lists of texts can always be written.
        HEAD.to_owned() + &toml::to_string(self).unwrap_or_default()
    }

    /// Whether it is of maps of this shape.
    pub fn fits(&self, shape: &MapShape) -> bool {
        (&self.map, &self.layers, &self.properties)
            == (&shape.map, &shape.layers, &shape.properties)
    }

    /// Whether it tells anything.
    pub fn says_nothing(&self) -> bool {
        let MapShape { map, layers, properties } = MapShape::default();
        Self { map, layers, properties, ..self.clone() } == Self::default()
    }

    /// The system of coordinates, by its code.
    pub fn system(&self) -> Option<&str> {
        self.system.as_deref()
    }

    /// What is told, and of what is kept that which is not told.
    pub fn below(&self, mut told: Told, stem: &str) -> Told {
        let or = |own: &mut Option<String>, kept: &Option<String>| {
            *own = own.take().or_else(|| kept.clone());
        };
        or(&mut told.named_by, &self.named_by);
        or(&mut told.site, &self.site);
        or(&mut told.crop, &self.crop);
        or(&mut told.what, &self.what);
        or(&mut told.by, &self.by);
        told.kind = told.kind.or_else(|| called(self.kind.as_deref()?));
        told.closed = told.closed.or_else(|| self.closed.as_ref()?.parse().ok());
        told.width = told.width.or(self.width_m);
        told.radius = told.radius.or(self.radius_m);
        told.accuracy = told.accuracy.or(self.accuracy_m);
        for (layer, kind) in &self.layer {
            let layer = if layer == AS_ITS_FILE { stem } else { layer };
            if !told.layers.iter().any(|(own, _)| folded(own) == folded(layer)) {
                told.layers.push((layer.to_owned(), called(kind)));
            }
        }
        told
    }

    /// `layer tracks: patch, site Hill, crop nettle-tops`.
    pub fn said(&self) -> String {
        let layers = self.layer.iter().map(|(layer, kind)| format!("layer {layer}: {kind}"));
        let texts = [
            ("as", &self.kind),
            ("named by", &self.named_by),
            ("site", &self.site),
            ("crop", &self.crop),
            ("what", &self.what),
            ("by", &self.by),
            ("closed", &self.closed),
            ("system", &self.system),
        ];
        let texts = texts.into_iter().filter_map(|(name, said)| Some((name, said.clone()?)));
        let lengths =
            [("width", self.width_m), ("radius", self.radius_m), ("accuracy", self.accuracy_m)];
        let lengths =
            lengths.into_iter().filter_map(|(name, metres)| Some((name, format!("{} m", metres?))));
        let told = texts.chain(lengths).map(|(name, said)| format!("{name} {said}"));
        layers.chain(told).collect::<Vec<_>>().join(", ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::Kind;

    fn told() -> Told {
        Told {
            layers: vec![("Hedges 2026".to_owned(), Some(Kind::Patch)), ("Old".to_owned(), None)],
            site: Some("Hill".to_owned()),
            closed: Some(Closed::Line),
            width: Some(2.5),
            ..Told::default()
        }
    }

    #[test]
    fn what_is_kept_of_a_map_is_read_as_it_was_written_and_gives_way_to_what_is_told() {
        let shape = MapShape { map: "KML".to_owned(), ..MapShape::default() };
        let kept = KeptMap::of(&shape, &told(), Some("EPSG:25832"), "hedges 2026");
        assert_eq!(KeptMap::read(&kept.toml()), Ok(Some(kept.clone())));
        assert!(kept.fits(&shape) && !kept.says_nothing());
        let own = Told { site: Some("Wood".to_owned()), ..Told::default() };
        let now = kept.below(own, "Hedges 2027");
        assert_eq!((now.site.as_deref(), now.width), (Some("Wood"), Some(2.5)));
        assert_eq!(now.closed, Some(Closed::Line));
        assert!(now.layers.contains(&("Hedges 2027".to_owned(), Some(Kind::Patch))));
        assert!(now.layers.contains(&("old".to_owned(), None)));
    }

    #[test]
    fn a_mapping_of_a_map_that_says_what_cannot_be_is_refused() {
        let head = "map = \"GPX\"\nlayers = []\nproperties = []\n";
        for bad in ["as = \"soup\"", "closed = \"half\"", "width_m = nan", "mood = 1"] {
            assert!(KeptMap::read(&format!("{head}{bad}")).is_err(), "{bad}");
        }
        assert_eq!(KeptMap::read("headers = []"), Ok(None));
    }
}
