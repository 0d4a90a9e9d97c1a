//! What is not known of a map, each with what to say of it.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;

use super::asked::{MapAsk, MapQuestion};
use super::track::Asked;
use crate::maps::Drawn;
use crate::units::{agreeing, noun_for};

/// The most that is told at once.
const MOST: usize = 30;
/// The most properties that are named as where names may stand.
const MOST_PROPERTIES: usize = 20;

/// What features may lack, in the order in which it is asked.
const ORDER: [&str; 7] = ["what", "site", "crop", "width_m", "radius_m", "by", "date"];

/// What is not known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnclearMap {
    /// All of it, what decides most first, each with what to say.
    pub told: Vec<String>,
    /// What of it no reply mends.
    pub wrong: Vec<String>,
    /// The rest as questions; none where something is wrong.
    pub questions: Vec<MapQuestion>,
}

impl UnclearMap {
    pub(super) fn refused(why: &str) -> Self {
        let wrong = vec![why.to_owned()];
        Self { told: wrong.clone(), wrong, questions: Vec::new() }
    }
}

#[derive(Debug, Default)]
pub(super) struct Unclear {
    /// Features by the layer that they lie in.
    without_kind: BTreeMap<String, usize>,
    /// And what their features have.
    without_name: BTreeMap<String, (usize, BTreeSet<String>)>,
    /// By its place in [`ORDER`].
    lacking: BTreeMap<usize, usize>,
    closed: Vec<(String, String)>,
    slips: BTreeMap<String, &'static str>,
    others: Vec<String>,
}

impl Unclear {
    pub fn without_kind(&mut self, drawn: &Drawn) {
        *self.without_kind.entry(drawn.layer.clone()).or_default() += 1;
    }

    pub fn without_name(&mut self, drawn: &Drawn) {
        let (n, properties) = self.without_name.entry(drawn.layer.clone()).or_default();
        *n += 1;
        let texts = drawn.properties.iter().filter(|(_, value)| match value {
            Value::String(text) => !text.trim().is_empty(),
            other => other.is_number(),
        });
        properties.extend(texts.map(|(name, _)| name.clone()));
    }

    pub fn lacks(&mut self, column: &'static str) {
        let at = ORDER.iter().position(|known| *known == column).unwrap_or(ORDER.len());
        *self.lacking.entry(at).or_default() += 1;
    }

    pub fn slip(&mut self, name: &str, meant: &'static str) {
        self.slips.insert(name.to_owned(), meant);
    }

    pub fn closed(&mut self, asked: Asked, label: &str) {
        self.closed.push((label.to_owned(), asked.to_string()));
    }

    pub fn tell(&mut self, other: String) {
        if !self.others.contains(&other) {
            self.others.push(other);
        }
    }

    /// Everything, what decides most first; nothing where all is clear.
    pub fn found(self) -> Option<UnclearMap> {
        let Self { without_kind, without_name, lacking, closed, slips, others } = self;
        let mut questions = Vec::new();
        let mut ask = |ask, features| questions.push(MapQuestion { ask, features });
        without_kind.into_iter().for_each(|(layer, n)| ask(MapAsk::Layer(layer), n));
        let mut nameless = false;
        for (layer, (n, properties)) in without_name {
            nameless |= properties.is_empty();
            let properties = properties.into_iter().take(MOST_PROPERTIES).collect();
            ask(MapAsk::Names { layer, properties }, n);
        }
        for (at, n) in lacking {
            ask(MapAsk::Lacks(ORDER.get(at).copied().unwrap_or_default()), n);
        }
        closed.into_iter().for_each(|(label, why)| ask(MapAsk::Closed { label, why }, 1));
        let mut told: Vec<String> = questions.iter().map(MapQuestion::told).collect();
        // The same answer goes for all of them.
        questions.dedup_by(|next, first| {
            matches!((&next.ask, &first.ask), (MapAsk::Closed { .. }, MapAsk::Closed { .. }))
        });
        let slips = slips.iter().map(|(slip, meant)| {
            format!(
                "the property `{slip}` is nearly `{meant}`; call it so, or otherwise, where it was \
                 drawn"
            )
        });
        let wrong: Vec<String> = slips.chain(others).collect();
        told.extend(wrong.clone());
        if let more @ 1.. = told.len().saturating_sub(MOST) {
            told.truncate(MOST);
            told.push(format!("and {more} more"));
        }
        if nameless || !wrong.is_empty() {
            questions.clear();
        }
        (!told.is_empty()).then_some(UnclearMap { told, wrong, questions })
    }
}

impl MapQuestion {
    /// What is not known, without what to say: `3 features lack a crop`.
    pub fn what(&self) -> String {
        let n = self.features;
        let features = format!("{n} {}", noun_for(n, "feature"));
        match &self.ask {
            MapAsk::Layer(layer) => {
                let do_not = agreeing(n, "does not say what it is", "do not say what they are");
                match layer.trim() {
                    "" => format!("{features} in no layer {do_not}"),
                    _ => format!("{features} of layer `{layer}` {do_not}"),
                }
            }
            MapAsk::Names { layer, .. } => {
                let have = agreeing(n, "has no name", "have no names");
                format!("{features} of layer `{layer}` {have}")
            }
            MapAsk::Lacks(column) => {
                let lack = agreeing(n, "lacks", "lack");
                format!("{features} {lack} {}", lacking(column))
            }
            MapAsk::Closed { label, why } => format!("{label}: {why}"),
        }
    }

    fn told(&self) -> String {
        let way_out = match &self.ask {
            MapAsk::Layer(layer) if layer.trim().is_empty() => {
                "say `--as patch`, or `zone`, `landmark`, `site`".to_owned()
            }
            MapAsk::Layer(layer) => format!(
                "say `--layer \"{layer}=patch\"`, or `zone`, `landmark`, `site`, or `none` to \
                 leave the layer out"
            ),
            MapAsk::Names { .. } => {
                "say which property has them, like `--named-by label`, or name \
                                     them where they were drawn"
                    .to_owned()
            }
            MapAsk::Lacks(column) => format!("say {}", option(column)),
            MapAsk::Closed { .. } => "say `--closed ground` or `--closed line`".to_owned(),
        };
        format!("{}; {way_out}", self.what())
    }
}

/// What is lacking.
fn lacking(column: &str) -> &'static str {
    match column {
        "site" => "a site",
        "crop" => "a crop",
        "what" => "what the landmark is",
        "by" => "who set it down",
        "date" => "a day of being set down",
        "width_m" => "the width of its line",
        "radius_m" => "the radius round its point",
        _ => "something that must be there",
    }
}

/// How to say it.
fn option(column: &str) -> &'static str {
    match column {
        "site" => "`--site NAME`",
        "crop" => "`--crop NAME`",
        "what" => "`--what gate`, or `parking`, `path`, `water`, `hazard`, `shelter`, `signal`",
        "by" => "`--by NAME`",
        "date" => "`--set-down 2027-03-15`",
        "width_m" => "`--width 2m`",
        "radius_m" => "`--radius 3m`",
        _ => "it where it was drawn",
    }
}
