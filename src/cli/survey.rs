//! `stintbook survey`: record what was measured on one patch.

use super::args::Signed;
use super::context::Context;
use super::deeds::unfit;
use super::failure::{Failure, Status};
use super::known::{Places, Surroundings};
use super::measured::{Cell, Measured};
use super::typed;
use crate::records::{PatchName, Record};
use crate::report::layout::paragraph;
use crate::units::{Measure, spoken_day};

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    stintbook survey \"mill bank\" 31 18 40 22 0 27 --frame 0.25 --by Ida\n  \
    stintbook survey \"mill bank\" --frame 0.25 --by Ida \\\n    \
    --stratum \"dense 120: 31 40 27\" --stratum \"thin 300: 4 0 9\"\n  \
    stintbook survey \"mill bank\" --judged \"30=27 45 20=21 10=8\" --frame 0.25 --by Ida\n  \
    stintbook survey \"mill bank\" --units \"3 1.5 2\" --unit handful --unit-grams \"41 36\" \\\n    \
    --frame 0.25 --by Ida\n  \
    stintbook survey \"mill bank\" --cover \"35 60 20\" --scale percent \\\n    \
    --full-cover \"900 1100\" --by Ida\n\n\
    Amounts are grams in each quadrat, or pieces for a crop that is counted. Place quadrats \
    at random, not where the plants are good, and say so with --placed drawn. For a hedge \
    give --length in place of --frame. For a patch of counted plants leave both out: each \
    amount is one plant's.")]
pub struct SurveyMade {
    /// The patch: its name, site/name, or short id.
    patch: String,
    #[command(flatten)]
    measured: Box<Measured>,
    /// Anything worth keeping with it.
    #[arg(long)]
    note: Option<String>,
    #[command(flatten)]
    signed: Signed,
}

pub fn run(context: &Context, made: &SurveyMade) -> Result<Status, Failure> {
    let mut book = context.open()?;
    let known_patch = book.patch(&made.patch)?;
    let places = Places::of(&book)?;
    let surroundings = Surroundings::of(&places, context.catalogue()?);
    let crop = context.catalogue()?.crop(&known_patch.crop);
    let measure = crop.map_or(Measure::Mass, |crop| crop.measure);
    let (columns, rows) = table(made.rows(context, &known_patch.name, measure));
    if rows.is_empty() {
        return Err(Failure::wrong(
            "nothing was measured; write what stood in each quadrat, like `31 18 40`",
        ));
    }
    let entry = typed::entry(&columns, &rows, surroundings.known())?;
    if let Some(problem) = unfit(&entry, &places) {
        return Err(typed::refusal(&[problem]));
    }
    let gist = gist(&entry.record);
    let id = context.record(&mut book, entry)?;
    let said = format!(
        "Recorded as {}: {gist} on {} on {}. `stintbook check` shows what they say.",
        id.short(),
        known_patch.name,
        spoken_day(context.on)
    );
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
    fn rows(&self, context: &Context, patch: &PatchName, measure: Measure) -> Vec<Vec<Cell>> {
        let recorded_on = context.recorded_on(self.signed.recorded_on, context.on);
        let mut rows = self.measured.rows(measure);
        for row in &mut rows {
            row.push(("patch", patch.to_string()));
            row.push(("date", context.on.to_string()));
            row.push(("by", self.signed.by.clone()));
            row.push(("note", self.note.clone().unwrap_or_default()));
            row.push(("recorded_on", recorded_on.to_string()));
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
