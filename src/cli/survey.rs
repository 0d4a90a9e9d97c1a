//! `stintbook survey`: record what was measured on one patch; plan it, or ask where.

use clap::Subcommand;

use super::args::Signed;
use super::context::Context;
use super::failure::{Failure, Status};
use super::measured::{Cell, Measured};
use super::named;
use super::recording::Answered;
use super::survey_advise::{self, AdviceWanted};
use super::survey_plan::{self, SurveyPlanned};
use super::typed;
use crate::book::{Moment, Scope};
use crate::gate::{Delivery, Places, Surroundings};
use crate::records::{PatchName, Record};
use crate::report::layout::paragraph;
use crate::report::receipt;
use crate::units::Measure;

#[derive(Debug, clap::Args)]
#[command(subcommand_negates_reqs = true)]
pub struct SurveyAsked {
    #[command(subcommand)]
    question: Option<Question>,
    #[command(flatten)]
    made: Option<SurveyMade>,
    #[command(flatten)]
    measured: Box<Measured>,
    #[command(flatten)]
    signed: Option<Signed>,
    #[command(flatten)]
    answered: Answered,
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
    --stratum \"dense 120: 31 40 27\" --stratum \"thin 300: 4 0 9\"\n  \
    stintbook survey \"mill bank\" --judged \"30=27 45 20=21 10=8\" --frame 0.25 --by Ida\n  \
    stintbook survey \"mill bank\" --units \"3 1.5 2\" --unit handful --unit-grams \"41 36\" \\\n    \
    --frame 0.25 --by Ida\n  \
    stintbook survey \"mill bank\" --cover \"35 60 20\" --scale percent \\\n    \
    --full-cover \"900 1100\" --by Ida\n\n\
    Amounts are grams in each quadrat, or pieces for a crop that is counted. Place quadrats \
    at random, not where the plants are good: `survey plan` draws them; say so with --placed \
    drawn. For a hedge give --length in place of --frame. For a patch of counted plants leave \
    both out: each amount is one plant's. A patch called `plan` or `advise` is named with its \
    site.")]
pub struct SurveyMade {
    /// The patch: its name, site/name, or short id.
    patch: String,
    /// Anything worth keeping with it.
    #[arg(long)]
    note: Option<String>,
}

pub fn run(context: &Context, asked: &SurveyAsked) -> Result<Status, Failure> {
    match (&asked.question, &asked.made, &asked.signed) {
        (Some(Question::Plan(asked)), None, None) => survey_plan::run(context, asked),
        (Some(Question::Advise(asked)), None, None) => survey_advise::run(context, asked),
        (None, Some(made), Some(signed)) => {
            record(context, made, &asked.measured, signed, asked.answered)
        }
        _ => Err(Failure::wrong(
            "a survey is recorded, planned or advised; `stintbook survey --help` shows how",
        )),
    }
}

fn record(
    context: &Context,
    made: &SurveyMade,
    measured: &Measured,
    signed: &Signed,
    answered: Answered,
) -> Result<Status, Failure> {
    let mut book = context.open()?;
    let known_patch = named::patch(&book, &made.patch)?;
    let scope = Scope::Patch(known_patch.name.clone());
    let places = Places::of(book.directory()?, book.ledger(&scope, None)?);
    let surroundings = Surroundings::of(&places, context.catalogue()?);
    let crop = context.catalogue()?.crop(&known_patch.crop);
    let measure = crop.map_or(Measure::Mass, |crop| crop.measure);
    let (columns, rows) =
        table(made.rows(context, &known_patch.name, measured.rows(measure), signed));
    if rows.is_empty() {
        return Err(Failure::wrong(
            "nothing was measured; write what stood in each quadrat, like `31 18 40`",
        ));
    }
    let entry = typed::entry(&columns, &rows, surroundings.known())?;
    let gist = gist(&entry.record);
    let bring = |_: &Moment<'_>| Ok((places.clone(), vec![Delivery::typed(entry)]));
    let admitted = context.gate()?.admit(&mut book, &answered.answers(), bring)?;
    let (ids, patch) = (admitted.short_ids(), &known_patch.name);
    let said = receipt::survey_recorded(&ids, patch, &gist, context.on);
    context.print(&paragraph(&said, context.width, ""))?;
    Ok(Status::Done)
}

fn gist(record: &Record) -> String {
    match record {
        Record::Survey(survey) => survey.method.gist(),
        other => other.kind().name().to_owned(),
    }
}

impl SurveyMade {
    fn rows(
        &self,
        context: &Context,
        patch: &PatchName,
        mut rows: Vec<Vec<Cell>>,
        signed: &Signed,
    ) -> Vec<Vec<Cell>> {
        for row in &mut rows {
            row.push(("patch", patch.to_string()));
            row.push(("date", context.on.to_string()));
            row.push(("by", signed.by.clone()));
            row.push(("note", self.note.clone().unwrap_or_default()));
            row.push(("recorded_on", signed.recorded_on()));
            // Tells that these are rows of surveys, whichever way was taken.
            row.push(("frame_area_m2", String::new()));
        }
        rows
    }
}

/// The columns that any row has, and the rows' texts in their order.
fn table(rows: Vec<Vec<Cell>>) -> (Vec<&'static str>, Vec<Vec<String>>) {
    let mut columns: Vec<&'static str> = Vec::new();
    for (name, _) in rows.iter().flatten() {
        if !columns.contains(name) {
            columns.push(name);
        }
    }
    let text = |row: &[Cell], column: &str| {
        row.iter().find(|(name, _)| *name == column).map_or(String::new(), |cell| cell.1.clone())
    };
    let texts = rows.iter().map(|row| columns.iter().map(|name| text(row, name)).collect());
    let texts = texts.collect();
    (columns, texts)
}
