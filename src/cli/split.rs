//! `stintbook split`: one patch becomes several, each with its part of what is known.

use std::fmt;
use std::path::PathBuf;

use geo::Point;
use serde_json::{Map, Value, json};

use super::args::{Signed, words};
use super::close::Tried;
use super::context::Context;
use super::drawing::{Drawn, entries, feature, shapes};
use super::failure::{Failure, Status};
use super::named;
use super::redraw::kept;
use crate::assess::SAME_PLANTS;
use crate::book::{Decision, Moment, Scope};
use crate::ground::{footprint_area, geodesic_distance, shared_area};
use crate::records::{Entry, Footprint, Patch, PatchFacts, PatchName, Record};
use crate::report::effects_list;
use crate::report::layout::{hanging, paragraph};
use crate::report::receipt;
use crate::units::{Metres, SquareMetres, counted, percent};

/// A part may stick out of the patch by this share of itself: GPS lines never quite meet.
const MOST_OUTSIDE: f64 = 0.05;

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    stintbook split \"mill bank\" halves.geojson --why \"a fence was put up\" --by Ida --dry\n  \
    stintbook split \"mill bank\" halves.geojson --why \"a fence was put up\" --by Ida\n\n\
    The file draws two parts or more, each a feature with a `name`. From --on (today) each is a \
    patch, and the old one is none: its history stays. Quadrats with a place go to the part they \
    lie in; what has none goes to each, amounts by area or by plants, what was spent and owed \
    whole. Ground in no part is given up.")]
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
    was: Size,
    parts: Vec<Part>,
}

struct Part {
    name: PatchName,
    size: Size,
    /// How much of the old patch it is, 0 to 1.
    of_old: f64,
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
    let left: f64 = 1.0 - parts.iter().map(|part| part.of_old).sum::<f64>();
    let lines = parts.iter().map(|Part { name, size, of_old }| {
        format!("{}: {size}, {} of what was found and taken", name.patch(), percent(*of_old))
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
        let parts: Result<Vec<Value>, Failure> =
            drawn.iter().map(|part| self.part(context, &facts, part)).collect();
        let mut features = parts?;
        let mut over = Map::new();
        over.insert("patch".to_owned(), json!(patch.to_string()));
        over.insert("note".to_owned(), json!(self.why));
        features.push(feature("redraw", over, Value::Null, context, &self.signed));
        let (places, entries) = entries(features, context, moment)?;
        let of_old: Vec<&Patch> = entries.iter().filter_map(patch_in).collect();
        match old.footprint {
            Footprint::Plants { centre, count } => of_plants(patch, centre, count, &of_old)?,
            _ => on_its_ground(old, &of_old)?,
        }
        let parts = of_old.into_iter().map(|part| lay(part, old)).collect();
        let decision = context.gate()?.decision(moment, &self.tried.answers(), places, entries)?;
        let Decision { facts, corrections, answer, .. } = decision;
        let was = Size::of(&old.footprint);
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

/// Refuses parts that lie elsewhere than the patch.
fn on_its_ground(old: &Patch, parts: &[&Patch]) -> Result<(), Failure> {
    for part in parts {
        let covered = footprint_area(&part.footprint).0;
        let inside = shared_area(&old.footprint, &part.footprint).0;
        if inside < (1.0 - MOST_OUTSIDE) * covered {
            return Err(Failure::wrong(format!(
                "{} of {} lie outside {}; a part lies on the patch that is split, and what else it \
                 covers is drawn as a patch of its own (nothing was recorded)",
                SquareMetres(covered - inside),
                part.name,
                old.name
            )));
        }
    }
    Ok(())
}

/// Refuses parts that are no plants of the patch, or more than it has.
fn of_plants(
    patch: &PatchName,
    centre: Point,
    count: u32,
    parts: &[&Patch],
) -> Result<(), Failure> {
    let mut in_parts = 0;
    for part in parts {
        let Footprint::Plants { centre: there, count } = part.footprint else {
            return Err(Failure::wrong(format!(
                "the plants of {patch} are counted, so that {} is a Point with its `plants` (nothing \
                 was recorded)",
                part.name
            )));
        };
        let apart = geodesic_distance(centre, there).unwrap_or(Metres(f64::INFINITY));
        if apart.0 > SAME_PLANTS.0 {
            return Err(Failure::wrong(format!(
                "{} is {apart} from {patch}; plants of it stand no farther than {SAME_PLANTS} from \
                 where it was drawn (nothing was recorded)",
                part.name
            )));
        }
        in_parts += count;
    }
    match in_parts <= count {
        true => Ok(()),
        false => Err(Failure::wrong(format!(
            "the parts have {}, and {patch} has {count}; count those that came since as a patch of \
             their own (nothing was recorded)",
            counted(in_parts, "plant")
        ))),
    }
}

/// How large a patch is, as it is measured.
enum Size {
    Ground(SquareMetres),
    Plants(u32),
}

impl Size {
    fn of(footprint: &Footprint) -> Self {
        match footprint {
            Footprint::Plants { count, .. } => Self::Plants(*count),
            ground => Self::Ground(footprint_area(ground)),
        }
    }
}

impl fmt::Display for Size {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Ground(area) => area.fmt(out),
            Self::Plants(count) => out.write_str(&counted(*count, "plant")),
        }
    }
}

fn lay(part: &Patch, old: &Patch) -> Part {
    let size = Size::of(&part.footprint);
    let of_old = match (&part.footprint, &old.footprint) {
        (Footprint::Plants { count, .. }, Footprint::Plants { count: all, .. }) => {
            f64::from(*count) / f64::from(*all)
        }
        (ground, all) => shared_area(all, ground).0 / footprint_area(all).0,
    };
    Part { name: part.name.clone(), size, of_old }
}
