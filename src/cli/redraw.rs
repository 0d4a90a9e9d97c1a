//! `stintbook retire` and `redraw`: a patch that is one no longer, or stands on other ground.

use std::path::PathBuf;

use serde_json::{Map, Value, json};

use super::args::{Signed, words};
use super::close::Tried;
use super::context::Context;
use super::drawing::{Drawn, entries, feature, shapes};
use super::failure::{Failure, Status};
use super::named;
use crate::book::{Decision, Moment, Scope};
use crate::gate::Admitted;
use crate::ground::{footprint_area, shared_area};
use crate::records::{Footprint, PatchFacts, PatchName, Record};
use crate::report::effects_list;
use crate::report::layout::paragraph;
use crate::units::{counted, percent, spoken_day};

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    stintbook retire \"mill bank\" --why \"built over\" --by Ida --dry\n  \
    stintbook retire \"mill bank\" --why \"built over\" --by Ida\n\n\
    From --on (today) it is a patch no longer: nothing may be cut there, and no list has it. Its \
    history stays, and so do the reports of its seasons. A patch of the same crop drawn on its \
    ground later takes over what it had spent.")]
pub struct Retire {
    /// The patch.
    patch: String,
    /// Why, in plain words.
    #[arg(long, value_parser = words)]
    why: String,
    #[command(flatten)]
    signed: Signed,
    #[command(flatten)]
    tried: Tried,
}

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    stintbook redraw \"mill bank\" bank.geojson --why \"died back along the path\" --by Ida --dry\n  \
    stintbook redraw \"mill bank\" bank.geojson --why \"died back along the path\" --by Ida\n\n\
    From --on (today) the stand covers what the file draws, one shape; a width, radius or number \
    of plants stays unless the file says another. What was found and taken before is told for the \
    ground that both drawings share: amounts by area, quadrats with a place where they lie, what \
    was spent whole. A stand that shrank is held against all it once bore, and ground that is new \
    adds nothing until a survey. A drawing that was wrong from the start is put right with \
    `stintbook correct`; ground that is given up is split off and retired.")]
pub struct Redrawn {
    /// The patch.
    patch: String,
    /// A GeoJSON file with its new shape.
    file: PathBuf,
    /// Why, in plain words.
    #[arg(long, value_parser = words)]
    why: Option<String>,
    #[command(flatten)]
    signed: Signed,
    #[command(flatten)]
    tried: Tried,
}

pub fn retire(context: &Context, asked: &Retire) -> Result<Status, Failure> {
    let mut book = context.open()?;
    let patch = named::patch(&book, &asked.patch)?.name;
    let decide = |moment: &Moment<'_>| {
        kept(&patch, context, moment)?;
        let properties = about(&patch, Some(&asked.why));
        let retired = feature("redraw", properties, Value::Null, context, &asked.signed);
        recorded(vec![retired], context, moment, asked.tried)
    };
    let scope = |_: &Moment<'_>| Ok::<_, Failure>(Scope::Site(patch.site().clone()));
    let done = context.gate()?.foresee(&mut book, asked.tried.dry, scope, decide)?;
    let said = format!(
        "{}{patch} {} a patch no longer from {}: {}. Its history stays.",
        start(&done.answer, asked.tried),
        if asked.tried.dry { "would be" } else { "is" },
        spoken_day(context.on),
        asked.why
    );
    context.print(&paragraph(&said, context.width, ""))?;
    context.print(&effects_list(&done.effects, asked.tried.dry, context.width))?;
    Ok(Status::Done)
}

pub fn redraw(context: &Context, asked: &Redrawn) -> Result<Status, Failure> {
    let drawn = match <[Drawn; 1]>::try_from(shapes(&asked.file)?) {
        Ok([drawn]) => drawn,
        Err(shapes) => {
            return Err(Failure::wrong(format!(
                "{}: it draws {}; a patch is redrawn as one, and `stintbook split` makes several \
                 of it (nothing was recorded)",
                asked.file.display(),
                counted(u32::try_from(shapes.len()).unwrap_or(u32::MAX), "shape")
            )));
        }
    };
    let mut book = context.open()?;
    let patch = named::patch(&book, &asked.patch)?.name;
    let decide = |moment: &Moment<'_>| {
        let was = kept(&patch, context, moment)?.patch.record.footprint;
        let mut properties = about(&patch, asked.why.as_deref());
        properties.extend(drawn.measured_as(&was));
        let geometry = drawn.geometry.clone();
        let redrawn = feature("redraw", properties, geometry, context, &asked.signed);
        let (places, entries) = entries(vec![redrawn], context, moment)?;
        let ground = entries.iter().find_map(|entry| match &entry.record {
            Record::Redraw(redraw) => redraw.ground.clone(),
            _ => None,
        });
        let how = how_it_changes(&patch, &was, &ground.unwrap_or_else(|| was.clone()))?;
        let answers = asked.tried.answers();
        let decision = context.gate()?.decision(moment, &answers, places, entries)?;
        let Decision { facts, corrections, answer, .. } = decision;
        Ok(Decision::new(facts, corrections, (answer, how)))
    };
    let scope = |_: &Moment<'_>| Ok::<_, Failure>(Scope::Site(patch.site().clone()));
    let done = context.gate()?.foresee(&mut book, asked.tried.dry, scope, decide)?;
    let (admitted, how) = &done.answer;
    let said = format!("{}{how}", start(admitted, asked.tried));
    context.print(&paragraph(&said, context.width, ""))?;
    context.print(&effects_list(&done.effects, asked.tried.dry, context.width))?;
    Ok(Status::Done)
}

/// What became of the ground, a sentence or two.
fn how_it_changes(patch: &PatchName, was: &Footprint, is: &Footprint) -> Result<String, Failure> {
    let refused = |found: String| Failure::wrong(format!("{found} (nothing was recorded)"));
    match (was, is) {
        (Footprint::Plants { count: were, .. }, Footprint::Plants { count: are, .. }) => {
            Ok(format!("{patch} has {are} plants, where it had {were}."))
        }
        (Footprint::Plants { .. }, _) | (_, Footprint::Plants { .. }) => Err(refused(format!(
            "the plants of {patch} are counted, or those of the drawing are, and not both; retire \
             the patch and draw another"
        ))),
        _ => {
            let (old, new, shared) =
                (footprint_area(was), footprint_area(is), shared_area(was, is));
            let part = shared.0 / old.0;
            if part <= 0.0 {
                return Err(refused(format!(
                    "the drawing shares no ground with {patch} as it is; that is another stand: \
                     retire the patch and draw another"
                )));
            }
            Ok(format!(
                "{patch} covers {new}, where it covered {old}; {} of what was found and taken on \
                 it is told of the ground that is left.",
                percent(part.min(1.0))
            ))
        }
    }
}

/// The patch as it is.
///
/// # Errors
/// That it is one no longer.
pub fn kept(patch: &PatchName, context: &Context, moment: &Moment) -> Result<PatchFacts, Failure> {
    let ledger = moment.ledger(&Scope::Patch(patch.clone()))?;
    let found = ledger.patches().find(|(_, facts)| facts.patch.record.name == *patch);
    let Some((_, facts)) = found else {
        return Err(Failure::wrong(format!("no patch is called `{patch}`")));
    };
    if let Some(retired) = facts.retired() {
        return Err(Failure::wrong(format!(
            "{patch} is a patch no longer since {}; `stintbook withdraw {}` makes it one again \
             (nothing was recorded)",
            spoken_day(retired.happened_on),
            retired.id.short()
        )));
    }
    if let Some(later) = facts.changes.redraws.iter().find(|fact| fact.happened_on > context.on) {
        return Err(Failure::wrong(format!(
            "{patch} was drawn anew on {}, which is later than {} (nothing was recorded)",
            spoken_day(later.happened_on),
            spoken_day(context.on)
        )));
    }
    Ok(facts.clone())
}

fn about(patch: &PatchName, why: Option<&str>) -> Map<String, Value> {
    let mut properties = Map::new();
    properties.insert("patch".to_owned(), json!(patch.to_string()));
    properties.extend(why.map(|why| ("note".to_owned(), json!(why))));
    properties
}

fn recorded(
    features: Vec<Value>,
    context: &Context,
    moment: &Moment,
    tried: Tried,
) -> Result<Decision<Admitted>, Failure> {
    let (places, entries) = entries(features, context, moment)?;
    Ok(context.gate()?.decision(moment, &tried.answers(), places, entries)?)
}

/// `Recorded as 1a2b3c4d: `, or nothing.
fn start(admitted: &Admitted, tried: Tried) -> String {
    match tried.dry {
        true => String::new(),
        false => format!("Recorded as {}: ", admitted.short_ids()),
    }
}
