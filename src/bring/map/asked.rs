//! What is asked of a map that does not say it itself: one reply settles one question.

use jiff::civil::Date;

use super::kind::called;
use super::{Closed, Told};
use crate::records::{Kind, LandmarkKind};

/// What is asked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum MapAsk {
    /// What the features of a layer are; of an empty name where they lie in none.
    Layer(String),
    /// Which property of a layer's features has their names.
    Names {
        /// The layer.
        layer: String,
        /// What its features have.
        properties: Vec<String>,
    },
    /// A property that features of their kind need: `site`, `crop`, `by`, `width_m`…
    Lacks(&'static str),
    /// What a line of this name encloses, that ends where it began.
    Closed {
        /// What the line is called.
        label: String,
        /// Why it is asked.
        why: String,
    },
}

/// What is asked, and of how many features.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MapQuestion {
    /// What is asked.
    pub ask: MapAsk,
    /// Of how many.
    pub features: usize,
}

/// What features may be, those first that are drawn most often.
const KINDS: [Kind; 5] = [Kind::Patch, Kind::Zone, Kind::Landmark, Kind::Site, Kind::Redraw];

/// For what is no feature of ours.
const NONE: &str = "none";

impl MapAsk {
    /// Replies that are known beforehand; where there are none, something is typed.
    pub fn replies(&self) -> Vec<String> {
        let named = |all: &[&str]| all.iter().map(|name| (*name).to_owned()).collect();
        match self {
            Self::Layer(layer) => {
                // What lies in no layer cannot be left out by its layer.
                let none = (!layer.trim().is_empty()).then_some(NONE);
                KINDS.map(Kind::name).into_iter().chain(none).map(str::to_owned).collect()
            }
            Self::Names { properties, .. } => properties.clone(),
            Self::Lacks("what") => named(&LandmarkKind::ALL.map(LandmarkKind::name)),
            Self::Lacks(_) => Vec::new(),
            Self::Closed { .. } => named(&[Closed::Ground, Closed::Line].map(Closed::name)),
        }
    }

    /// Takes a reply that was typed, or its number; `false` where it is none.
    pub fn hear(&self, reply: &str, told: &mut Told) -> bool {
        let replies = self.replies();
        let numbered =
            reply.trim().parse::<usize>().ok().and_then(|n| replies.get(n.checked_sub(1)?));
        let said = numbered.map_or(reply.trim(), |reply| reply.as_str());
        let known = replies.iter().find(|reply| reply.eq_ignore_ascii_case(said));
        if said.is_empty() || !replies.is_empty() && known.is_none() {
            return false;
        }
        let text = || Some(known.map_or(said, |reply| reply.as_str()).to_owned());
        match self {
            Self::Layer(layer) if layer.trim().is_empty() => told.kind = called(said),
            Self::Layer(layer) => told.layers.push((layer.clone(), called(said))),
            Self::Names { .. } => told.named_by = text(),
            Self::Lacks("site") => told.site = text(),
            Self::Lacks("crop") => told.crop = text(),
            Self::Lacks("what") => told.what = text(),
            Self::Lacks("by") => told.by = text(),
            Self::Lacks("date") => match said.parse::<Date>() {
                Ok(day) => told.set_down = Some(day),
                Err(_) => return false,
            },
            Self::Lacks(column) => {
                let Some(metres) = metres(said) else { return false };
                let of = if *column == "width_m" { &mut told.width } else { &mut told.radius };
                *of = Some(metres);
            }
            Self::Closed { .. } => told.closed = known.and_then(|reply| reply.parse().ok()),
        }
        true
    }
}

/// `2.5`, `2,5 m`: more than nothing, and finite.
fn metres(said: &str) -> Option<f64> {
    let number = said.strip_suffix('m').unwrap_or(said).trim().replace(',', ".");
    number.parse::<f64>().ok().filter(|metres| metres.is_finite() && *metres > 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reply_is_a_word_or_its_number_and_nothing_else() {
        let mut told = Told::default();
        let layer = MapAsk::Layer("Old".to_owned());
        let names = MapAsk::Names {
            layer: "Old".to_owned(),
            properties: vec!["label".to_owned(), "cmt".to_owned()],
        };
        let closed = MapAsk::Closed { label: "way".to_owned(), why: String::new() };
        for (ask, reply) in [
            (&layer, "NONE"),
            (&MapAsk::Layer("Hedges".to_owned()), "patch"),
            (&names, "2"),
            (&closed, "line"),
            (&MapAsk::Lacks("what"), "gate"),
            (&MapAsk::Lacks("width_m"), "2,5 m"),
            (&MapAsk::Lacks("date"), "2027-03-15"),
        ] {
            assert!(ask.hear(reply, &mut told), "{reply}");
        }
        let layers = [("Old".to_owned(), None), ("Hedges".to_owned(), Some(Kind::Patch))];
        assert_eq!(told.layers, layers);
        assert_eq!((told.named_by.as_deref(), told.width), (Some("cmt"), Some(2.5)));
        assert_eq!((told.what.as_deref(), told.closed), (Some("gate"), Some(Closed::Line)));
        let before = told.clone();
        for (ask, reply) in [
            (&layer, "soup"),
            (&layer, "0"),
            (&layer, "77"),
            (&names, "nick"),
            (&closed, ""),
            (&MapAsk::Lacks("site"), "  "),
            (&MapAsk::Lacks("radius_m"), "-3"),
            (&MapAsk::Lacks("radius_m"), "inf"),
            (&MapAsk::Lacks("date"), "15/3/2027"),
        ] {
            assert!(!ask.hear(reply, &mut told), "{reply}");
        }
        assert_eq!(format!("{told:?}"), format!("{before:?}"));
    }
}
