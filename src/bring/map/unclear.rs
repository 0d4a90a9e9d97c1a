//! What is not known of a map, each with what to say of it.

use std::collections::BTreeMap;

use crate::maps::Drawn;
use crate::units::{agreeing, noun_for};

use super::track::Asked;

/// The most that is told at once.
const MOST: usize = 30;

#[derive(Debug, Default)]
pub(super) struct Unclear {
    /// Features by the layer that they lie in.
    without_kind: BTreeMap<String, usize>,
    without_name: BTreeMap<String, usize>,
    lacking: BTreeMap<&'static str, usize>,
    slips: BTreeMap<String, &'static str>,
    others: Vec<String>,
}

impl Unclear {
    pub fn without_kind(&mut self, drawn: &Drawn) {
        *self.without_kind.entry(drawn.layer.clone()).or_default() += 1;
    }

    pub fn without_name(&mut self, drawn: &Drawn) {
        *self.without_name.entry(drawn.layer.clone()).or_default() += 1;
    }

    pub fn lacks(&mut self, column: &'static str) {
        *self.lacking.entry(column).or_default() += 1;
    }

    pub fn slip(&mut self, name: &str, meant: &'static str) {
        self.slips.insert(name.to_owned(), meant);
    }

    pub fn closed(&mut self, asked: Asked, label: &str) {
        self.tell(format!("{label}: {asked}; say `--closed ground` or `--closed line`"));
    }

    pub fn tell(&mut self, other: String) {
        if !self.others.contains(&other) {
            self.others.push(other);
        }
    }

    /// Everything, what decides most first.
    pub fn told(self) -> Vec<String> {
        let features = |n: usize| format!("{n} {}", noun_for(n, "feature"));
        let mut told: Vec<String> = Vec::new();
        for (layer, n) in self.without_kind {
            let do_not = agreeing(n, "does not say what it is", "do not say what they are");
            if layer.trim().is_empty() {
                told.push(format!(
                    "{} in no layer {do_not}; say `--as patch`, or `zone`, `landmark`, `site`",
                    features(n)
                ));
                continue;
            }
            told.push(format!(
                "{} of layer `{layer}` {do_not}; say `--layer \"{layer}=patch\"`, or `zone`, \
                 `landmark`, `site`, or `none` to leave the layer out",
                features(n)
            ));
        }
        for (layer, n) in self.without_name {
            let have = agreeing(n, "has no name", "have no names");
            told.push(format!(
                "{} of layer `{layer}` {have}; say which property has them, like `--named-by \
                 label`, or name them where they were drawn",
                features(n)
            ));
        }
        for (column, n) in self.lacking {
            let lack = agreeing(n, "lacks", "lack");
            told.push(format!("{} {lack} {}", features(n), answer(column)));
        }
        for (slip, meant) in self.slips {
            told.push(format!(
                "the property `{slip}` is nearly `{meant}`; call it so, or otherwise, where it was \
                 drawn"
            ));
        }
        told.extend(self.others);
        if let more @ 1.. = told.len().saturating_sub(MOST) {
            told.truncate(MOST);
            told.push(format!("and {more} more"));
        }
        told
    }
}

/// What is lacking, and how to say it.
fn answer(column: &str) -> &'static str {
    match column {
        "site" => "a site; say `--site NAME`",
        "crop" => "a crop; say `--crop NAME`",
        "what" => {
            "what the landmark is; say `--what gate`, or `parking`, `path`, `water`, \
                   `hazard`, `shelter`, `signal`"
        }
        "by" => "who set it down; say `--by NAME`",
        "date" => "a day of being set down; say `--set-down 2027-03-15`",
        "width_m" => "the width of its line; say `--width 2m`",
        "radius_m" => "the radius round its point; say `--radius 3m`",
        _ => "something that must be there",
    }
}
