//! `stintbook survey`: record quadrats measured on one patch; plan them, or ask where.

use std::str::FromStr;

use clap::Subcommand;

use super::args::Signed;
use super::context::Context;
use super::failure::{Failure, Status};
use super::known::{Places, Surroundings};
use super::survey_advise::{self, AdviceWanted};
use super::survey_plan::{self, SurveyPlanned};
use super::typed;
use crate::catalogue::Catalogue;
use crate::records::{Crop, PatchName};
use crate::report::layout::paragraph;
use crate::units::{Measure, spoken_day};

#[derive(Debug, clap::Args)]
#[command(subcommand_negates_reqs = true)]
pub struct SurveyAsked {
    #[command(subcommand)]
    question: Option<Question>,
    #[command(flatten)]
    made: Option<SurveyMade>,
    #[command(flatten)]
    signed: Option<Signed>,
}

#[derive(Debug, Subcommand)]
enum Question {
    /// Draw places for the quadrats of a patch by chance: a list, GeoJSON, GPX or CSV.
    Plan(SurveyPlanned),
    /// Say which patches to survey next, and what that is worth.
    Advise(AdviceWanted),
}

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    stintbook survey advise\n  \
    stintbook survey plan \"mill bank\" --quadrats 12 --seed 7\n  \
    stintbook survey \"mill bank\" 31 18 40 22 0 27 --frame 0.25 --by Ida\n  \
    stintbook survey \"mill bank\" --frame 0.25 --by Ida \\\n    \
    --stratum \"dense 120: 31 40 27\" --stratum \"thin 300: 4 0 9\"\n\n\
    Amounts are grams in each quadrat, or pieces for a crop that is counted. Place quadrats \
    at random, not where the plants are good: `survey plan` draws them. For a patch of \
    counted plants leave --frame out: each amount is one plant's. A patch called `plan` or \
    `advise` is named with its site.")]
pub struct SurveyMade {
    /// The patch: its name, site/name, or short id.
    patch: String,
    /// What stood in each quadrat.
    #[arg(required_unless_present = "stratum", conflicts_with = "stratum")]
    amounts: Vec<f64>,
    /// Area of the frame in square metres.
    #[arg(long, value_name = "M2")]
    frame: Option<f64>,
    /// A part of the patch with its own quadrats: "NAME AREA_M2: AMOUNTS".
    #[arg(long, value_name = "PART")]
    stratum: Vec<Stratum>,
    /// Anything worth keeping with it.
    #[arg(long)]
    note: Option<String>,
}

/// `dense 120: 31 40 27`.
#[derive(Clone, Debug, PartialEq)]
struct Stratum {
    name: String,
    area_m2: Option<f64>,
    amounts: Vec<f64>,
}

impl FromStr for Stratum {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let unreadable = || {
            format!(
                "`{text}` is not a part of a patch; write `dense 120: 31 40 27`, with the area in m²"
            )
        };
        let (head, amounts) = text.split_once(':').ok_or_else(unreadable)?;
        let (name, area) = head.trim().rsplit_once(' ').ok_or_else(unreadable)?;
        let amounts: Option<Vec<f64>> =
            amounts.split_whitespace().map(|amount| amount.parse().ok()).collect();
        Ok(Self {
            name: name.trim().to_owned(),
            area_m2: Some(area.parse().map_err(|_| unreadable())?),
            amounts: amounts.filter(|amounts| !amounts.is_empty()).ok_or_else(unreadable)?,
        })
    }
}

pub fn run(context: &Context, asked: &SurveyAsked) -> Result<Status, Failure> {
    match (&asked.question, &asked.made, &asked.signed) {
        (Some(Question::Plan(asked)), None, None) => survey_plan::run(context, asked),
        (Some(Question::Advise(asked)), None, None) => survey_advise::run(context, asked),
        (None, Some(made), Some(signed)) => record(context, made, signed),
        _ => Err(Failure::wrong(
            "a survey is recorded, planned or advised; `stintbook survey --help` shows how",
        )),
    }
}

fn record(context: &Context, made: &SurveyMade, signed: &Signed) -> Result<Status, Failure> {
    let mut book = context.open()?;
    let known_patch = book.patch(&made.patch)?;
    let places = Places::of(&book)?;
    let surroundings = Surroundings::of(&places);
    let measure = Catalogue::built_in()
        .crop(&known_patch.crop)
        .map_or(Measure::Mass, |crop: &std::sync::Arc<Crop>| crop.measure);
    let amount_column = if measure == Measure::Mass { "mass_g" } else { "count" };
    let columns = [
        "patch",
        "date",
        "by",
        "stratum",
        "stratum_area_m2",
        "frame_area_m2",
        amount_column,
        "note",
        "recorded_on",
    ];
    let rows = made.rows(context, &known_patch.name, signed);
    let entry = typed::entry(&columns, &rows, surroundings.known())?;
    let id = context.record(&mut book, entry)?;
    let said = format!(
        "Recorded as {}: {} quadrats on {} on {}. `stintbook check` shows what they say.",
        id.short(),
        rows.len(),
        known_patch.name,
        spoken_day(context.on)
    );
    context.print(&paragraph(&said, context.width, ""))?;
    Ok(Status::Done)
}

impl SurveyMade {
    fn rows(&self, context: &Context, patch: &PatchName, signed: &Signed) -> Vec<Vec<String>> {
        let whole = Stratum { name: String::new(), area_m2: None, amounts: self.amounts.clone() };
        let strata = if self.stratum.is_empty() { vec![whole] } else { self.stratum.clone() };
        let number = |value: Option<f64>| value.map(|value| value.to_string()).unwrap_or_default();
        let recorded_on = context.recorded_on(signed.recorded_on, context.on);
        let row = |stratum: &Stratum, amount: &f64| {
            vec![
                patch.to_string(),
                context.on.to_string(),
                signed.by.clone(),
                stratum.name.clone(),
                number(stratum.area_m2),
                number(self.frame),
                amount.to_string(),
                self.note.clone().unwrap_or_default(),
                recorded_on.to_string(),
            ]
        };
        strata
            .iter()
            .flat_map(|stratum| stratum.amounts.iter().map(|amount| row(stratum, amount)))
            .collect()
    }
}
