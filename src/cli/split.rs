//! `stintbook split`: one patch becomes several, each with its part of what is known.

use std::path::PathBuf;

use serde_json::{Map, Value, json};

use super::args::{Signed, words};
use super::close::Tried;
use super::context::Context;
use super::drawing::{Drawn, entries, feature, shapes};
use super::failure::{Failure, Status};
use super::named;
use super::redraw::kept;
use crate::book::{Decision, Moment, Scope};
use crate::ground::{footprint_area, shared_area};
use crate::records::{Entry, Footprint, Patch, PatchFacts, PatchName, Record};
use crate::report::effects_list;
use crate::report::layout::{hanging, paragraph};
use crate::report::receipt;
use crate::units::{SquareMetres, percent};

/// A part may stick out of the patch by this share of itself: GPS lines never quite meet.
const MOST_OUTSIDE: f64 = 0.05;

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    stintbook split \"mill bank\" halves.geojson --why \"a fence was put up\" --by Ida --dry\n  \
    stintbook split \"mill bank\" halves.geojson --why \"a fence was put up\" --by Ida\n\n\
    The file draws two parts or more, each a feature with a `name`. From --on (today) each is a \
    patch, and the old one is none: its history stays. Quadrats with a place go to the part they \
    lie in; what has none goes to each, amounts by area, what was spent and owed whole. Ground \
    in no part is given up.")]
pub struct Split {
    /// The patch.
    patch: String,
    /// A GeoJSON file with the parts.
    file: PathBuf,
    /// Why, in plain words.
    #[arg(long, default_value = "split", value_parser = words)]
    why: String,
    #[command(flatten)]
    signed: Signed,
    #[command(flatten)]
    tried: Tried,
}

struct Outcome {
    ids: String,
    was: SquareMetres,
    parts: Vec<(PatchName, SquareMetres, f64)>,
}

pub fn run(context: &Context, asked: &Split) -> Result<Status, Failure> {
    let drawn = shapes(&asked.file)?;
    if drawn.len() < 2 {
        return Err(Failure::wrong(format!(
            "{}: two parts or more make a split; `stintbook redraw` draws a patch anew (nothing \
             was recorded)",
            asked.file.display()
        )));
    }
    let mut book = context.open()?;
    let patch = named::patch(&book, &asked.patch)?.name;
    let decide = |moment: &Moment<'_>| asked.decide(context, &patch, &drawn, moment);
    let scope = |_: &Moment<'_>| Ok::<_, Failure>(Scope::Site(patch.site().clone()));
    let done = context.gate()?.foresee(&mut book, asked.tried.dry, scope, decide)?;
    let Outcome { ids, was, parts } = &done.answer;
    let ids = (!asked.tried.dry).then_some(&**ids);
    let said = receipt::split(ids, &patch, context.on, &asked.why);
    let mut text = paragraph(&said, context.width, "");
    let left: f64 = 1.0 - parts.iter().map(|(_, _, part)| part).sum::<f64>();
    let lines = parts.iter().map(|(name, area, part)| {
        format!("{}: {area}, {} of what was found and taken", name.patch(), percent(*part))
    });
    text.extend(lines.map(|line| hanging(&line, context.width, "  - ", "    ")));
    if left > 0.01 {
        let given_up = format!("{} of its {was} are in no part and given up", percent(left));
        text += &hanging(&given_up, context.width, "  - ", "    ");
    }
    context.print(&text)?;
    context.print(&effects_list(&done.effects, asked.tried.dry, context.width))?;
    Ok(Status::Done)
}

impl Split {
    fn decide(
        &self,
        context: &Context,
        patch: &PatchName,
        drawn: &[Drawn],
        moment: &Moment,
    ) -> Result<Decision<Outcome>, Failure> {
        let facts = kept(patch, context, moment)?;
        let old = &facts.patch.record;
        if let Footprint::Plants { .. } = old.footprint {
            return Err(Failure::wrong(format!(
                "the plants of {patch} are counted, and nobody can say which of them were found \
                 and cut; retire it and count each part anew (nothing was recorded)"
            )));
        }
        let parts: Result<Vec<Value>, Failure> =
            drawn.iter().map(|part| self.part(context, &facts, part)).collect();
        let mut features = parts?;
        let mut over = Map::new();
        over.insert("patch".to_owned(), json!(patch.to_string()));
        over.insert("note".to_owned(), json!(self.why));
        features.push(feature("redraw", over, Value::Null, context, &self.signed));
        let (places, entries) = entries(features, context, moment)?;
        let parts: Vec<(PatchName, SquareMetres, f64)> =
            entries.iter().filter_map(patch_in).map(|part| lay(part, old)).collect();
        for (entry, (name, area, part)) in entries.iter().filter_map(patch_in).zip(&parts) {
            let inside = part * footprint_area(&old.footprint).0 / area.0;
            if inside < 1.0 - MOST_OUTSIDE {
                return Err(Failure::wrong(format!(
                    "{} of {name} lie outside {patch}; a part lies on the patch that is split, and \
                     what else it covers is drawn as a patch of its own (nothing was recorded)",
                    area_outside(&entry.footprint, &old.footprint)
                )));
            }
        }
        let decision = context.gate()?.decision(moment, &self.tried.answers(), places, entries)?;
        let Decision { facts, corrections, answer, .. } = decision;
        let was = footprint_area(&old.footprint);
        Ok(Decision::new(facts, corrections, Outcome { ids: answer.short_ids(), was, parts }))
    }

    fn part(&self, context: &Context, of: &PatchFacts, drawn: &Drawn) -> Result<Value, Failure> {
        let old = &of.patch.record;
        let Some(name) = drawn.name().filter(|name| !name.is_empty()) else {
            return Err(Failure::wrong(format!(
                "{}: a part has no `name`; give each a name that no patch of {} has (nothing was \
                 recorded)",
                self.file.display(),
                old.name.site()
            )));
        };
        let mut properties = drawn.measured_as(&old.footprint);
        properties.insert("name".to_owned(), json!(name));
        properties.insert("site".to_owned(), json!(old.name.site().to_string()));
        properties.insert("crop".to_owned(), json!(&*old.crop));
        let underfoot = old.underfoot.map(|kind| ("underfoot".to_owned(), json!(kind.name())));
        properties.extend(underfoot);
        properties.extend(old.note.as_ref().map(|note| ("note".to_owned(), json!(&**note))));
        Ok(feature("patch", properties, drawn.geometry.clone(), context, &self.signed))
    }
}

fn patch_in(entry: &Entry) -> Option<&Patch> {
    match &entry.record {
        Record::Patch(patch) => Some(patch),
        _ => None,
    }
}

/// Its ground, and how much of the old patch's that is.
fn lay(part: &Patch, old: &Patch) -> (PatchName, SquareMetres, f64) {
    let shared = shared_area(&old.footprint, &part.footprint);
    let part_of = shared.0 / footprint_area(&old.footprint).0;
    (part.name.clone(), footprint_area(&part.footprint), part_of)
}

fn area_outside(part: &Footprint, old: &Footprint) -> SquareMetres {
    SquareMetres((footprint_area(part).0 - shared_area(part, old).0).max(0.0))
}
