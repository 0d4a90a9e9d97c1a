//! The places of a book on a day, as layers for any mapping program: what each is, and of each
//! patch what may be cut (`stintbook.map/1`).

use super::opening::conditions;
use std::collections::HashMap;
use std::iter;

use geo::Geometry;

use super::cautions;
use super::column::{Line, object};
use super::counting::goes_by_sentence;
use super::week_data::{CeilingData, ceilings};
use super::week_document::title;
use crate::assess::{Assessment, FoundGrowing, WeekAnswer};
use crate::json::{Declared, Form, Object, Shape};
use crate::maps::{Feature, Layer, Map, Properties, geojson_schema};
use crate::records::{FactId, Kind, LookAlikeGrade, Record};
use crate::units::{Metres, spoken_day};

/// The name and version of what the features' properties mean.
pub const MAP_SCHEMA: &str = "stintbook.map/1";

// Those of the maps that are drawn here.
const OPEN: &str = "0b4f76";
const SHUT: &str = "545454";
const NO_TAKE: &str = "a80034";
const BOUNDARY: &str = "1a1a1a";
const WAY: &str = "7a4a12";

/// A place as it is on the day.
#[derive(Clone, Debug)]
pub struct Place {
    /// The same each time.
    pub id: String,
    /// The patch, where it is one: its fact, whatever was drawn since.
    pub patch: Option<FactId>,
    /// What the book has of it.
    pub record: Record,
    /// As its file has them.
    pub properties: Properties,
    /// WGS84 longitude and latitude in degrees.
    pub shape: Geometry,
}

/// How much is told of each patch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Telling {
    /// Every rule's ceiling, and the patch's ids.
    All,
    /// The verdict, and no id.
    Short,
}

/// Layers by kind: sites, no-take ground, patches, landmarks; a layer without features is left
/// out. Patches that the answer does not have are left out too.
pub fn day_map(answer: &WeekAnswer, places: Vec<Place>, telling: Telling) -> Map {
    let found: HashMap<FactId, &Assessment> =
        answer.patches.iter().map(|patch| (patch.id, patch)).collect();
    let mut layers = [Kind::Site, Kind::Zone, Kind::Patch, Kind::Landmark]
        .map(|kind| (kind, Layer { name: kind.plural().to_owned(), features: Vec::new() }));
    for place in places {
        let assessed = place.patch.map(|patch| found.get(&patch).copied());
        let (kind, feature) = match assessed {
            None => (place.record.kind(), lying_still(place)),
            Some(None) => continue,
            Some(Some(patch)) => (Kind::Patch, assessed_on_the_day(place, patch, telling)),
        };
        if let Some((_, layer)) = layers.iter_mut().find(|(of, _)| *of == kind) {
            layer.features.push(feature);
        }
    }
    let layers = layers.into_iter().map(|(_, layer)| layer);
    Map {
        schema: MAP_SCHEMA,
        title: title(answer),
        about: cautions::sentences(answer.patches.iter().map(|patch| &patch.crop)),
        on: answer.on,
        layers: layers.filter(|layer| !layer.features.is_empty()).collect(),
    }
}

const CEILINGS: &str = "ceilings";

/// Of a patch the properties of its file and, behind them, what the week says; of other places
/// those of their files. A map that tells less leaves out what would be null.
pub(super) fn declared(properties: impl Fn(Kind) -> Shape) -> Declared {
    let mut patch = properties(Kind::Patch);
    let mut of_the_day = Shape::default();
    Line::<Assessment>::declare_members(&mut of_the_day);
    of_the_day.add(CEILINGS, Vec::<CeilingData>::schema(), "what each rule leaves");
    patch.add_all(of_the_day.optional());
    let others = [Kind::Site, Kind::Zone, Kind::Landmark].map(properties);
    (MAP_SCHEMA, geojson_schema(MAP_SCHEMA, [patch].into_iter().chain(others)))
}

fn lying_still(place: Place) -> Feature {
    let (title, about, colour) = match &place.record {
        Record::Site(site) => {
            let protected = site.protected.iter();
            let protected = protected.map(|why| format!("Nothing may be taken here: {why}."));
            let cautions = site.cautions.iter().map(|caution| format!("{caution}."));
            let said: Vec<String> = protected.chain(cautions).collect();
            (site.name.to_string(), said.join(" "), BOUNDARY)
        }
        Record::Zone(zone) => {
            let why = zone.reason.iter().map(|why| format!(": {why}")).collect::<String>();
            let reach = (zone.buffer > Metres(0.0))
                .then(|| format!(" It reaches {} beyond what is drawn.", zone.buffer));
            let said = format!("Nothing is cut here{why}.{}", reach.unwrap_or_default());
            (zone.name.to_string(), said, NO_TAKE)
        }
        Record::Landmark(landmark) => {
            let note = landmark.note.iter().map(|note| format!(": {note}")).collect::<String>();
            (landmark.name.to_string(), format!("{}{note}", landmark.what.told()), WAY)
        }
        other => (other.site().to_string(), String::new(), BOUNDARY),
    };
    Feature { name: title.clone(), title, about, colour, ..bare(place) }
}

fn assessed_on_the_day(place: Place, patch: &Assessment, telling: Telling) -> Feature {
    let mut properties = place.properties.clone();
    properties.extend(rounded(patch));
    if telling == Telling::All {
        let all = ceilings(patch, |most| as_known(most, patch, f64::floor));
        properties.insert(CEILINGS.to_owned(), all.collect::<Vec<_>>().value());
    }
    properties.shift_remove("short_id");
    if telling == Telling::Short {
        properties.shift_remove("id");
        properties.retain(|_, value| !value.is_null());
    }
    let state = if patch.is_open() { "open" } else { "shut" };
    Feature {
        name: patch.patch.patch().to_owned(),
        title: format!("{}: {state}", patch.patch.patch()),
        about: said(patch),
        colour: if patch.is_open() { OPEN } else { SHUT },
        properties,
        ..bare(place)
    }
}

fn bare(place: Place) -> Feature {
    Feature {
        id: place.id,
        name: String::new(),
        title: String::new(),
        about: String::new(),
        colour: BOUNDARY,
        properties: place.properties,
        shape: place.shape,
    }
}

/// What may kill first, then the verdict, and where something may be cut, what to know of it.
fn said(patch: &Assessment) -> String {
    let found = patch.found_growing.iter().map(|found| growing(found, patch));
    let on = spoken_day(patch.day);
    let verdict = match (patch.is_open(), patch.opening) {
        (true, _) => {
            let shown = |most| patch.crop.show(as_known(most, patch, f64::floor));
            let most = patch.ruling.most.map_or("no limit".to_owned(), shown);
            let last = patch.closing.map(|closing| spoken_day(closing.day));
            let last = last.map_or(String::new(), |day| format!("; last day {day}"));
            format!("open on {on}, at most {most}{}{last}", goes_by_sentence(patch))
        }
        (false, None) => format!("{} on {on}", patch.ruling.verdict),
        (false, Some(opening)) => format!(
            "{} on {on}; may open on {}{}",
            patch.ruling.verdict,
            spoken_day(opening.day),
            conditions(opening)
        ),
    };
    let ask = patch.is_open() && patch.ask_first;
    let ask = ask.then(|| "Ask the occupier first.".to_owned());
    let cautions = if patch.is_open() { cautions::sentences([&patch.crop]) } else { Vec::new() };
    let all = found.chain(iter::once(format!("{}: {verdict}.", patch.crop.common_name)));
    all.chain(ask).chain(cautions).collect::<Vec<_>>().join(" ")
}

/// Without the name of whoever found it.
fn growing(found: &FoundGrowing, patch: &Assessment) -> String {
    let grade = match found.grade {
        Some(LookAlikeGrade::Fatal) => "FATAL: ",
        _ => "",
    };
    format!(
        "{grade}{} was found growing here on {}; it is taken for {}.",
        found.name,
        spoken_day(found.found_on),
        patch.crop.common_name
    )
}

/// What the week says of a patch, its amounts as far as they are known.
fn rounded(patch: &Assessment) -> Properties {
    let mut properties = object(patch);
    for (name, value) in &mut properties {
        let is_limit = name.starts_with("most_") || name.starts_with("standing_low_");
        if (is_limit || name.starts_with("standing_"))
            && let Some(amount) = value.as_f64()
        {
            *value =
                as_known(amount, patch, if is_limit { f64::floor } else { f64::round }).value();
        }
    }
    properties
}

/// To the second figure of its standard error, as JCGM 100:2008, 7.2.6 has it, and no finer than a
/// tenth; where nothing was measured, as it is.
fn as_known(amount: f64, patch: &Assessment, to: fn(f64) -> f64) -> f64 {
    const FINEST: f64 = -1.0;
    let error = patch.state.map(|state| amount * state.log_variance.exp_m1().max(0.0).sqrt());
    let place = error.filter(|error| *error > 0.0).map(|error| error.log10().floor() - 1.0);
    match place {
        Some(place) if place > FINEST => {
            let step = 10_f64.powf(place);
            // A whole number of steps may lie a hair under itself.
            to(amount / step + 1e-9) * step
        }
        _ => to(amount * 10.0 + 1e-9) / 10.0,
    }
}
