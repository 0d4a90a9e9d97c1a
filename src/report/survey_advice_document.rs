//! Which patches to survey next, in words and a table.

use super::page::{Block, Cell, Column, Document, Section, Table};
use crate::assess::{HORIZON_DAYS, PatchAdvice, SurveyAdvice, WhySurvey};
use crate::units::{agreeing, counted, percent, spoken_day};

/// One patch a row, what gains most first.
pub fn survey_advice_document(advice: &SurveyAdvice) -> Document {
    let (weekday, day) = (advice.on.strftime("%a"), spoken_day(advice.on));
    let title = if advice.ranked().is_empty() {
        format!("No survey is worth its while on {weekday} {day}.")
    } else {
        format!("Surveys that would gain most, as things stand on {weekday} {day}")
    };
    let stake = (!advice.ranked().is_empty())
        .then(|| [Block::Table(table(advice)), Block::Note(WHAT_IS_AT_STAKE.to_owned())]);
    let others = Some(the_others(advice)).filter(|said| !said.is_empty()).map(Block::Paragraph);
    let blocks: Vec<Block> = stake.into_iter().flatten().chain(others).collect();
    let section = Section { id: "surveys", heading: String::new(), blocks };
    let sections = if section.blocks.is_empty() { Vec::new() } else { vec![section] };
    Document { title, kind: "Survey advice", lead: String::new(), sections, foot: Vec::new() }
}

const WHAT_IS_AT_STAKE: &str = "At stake is what a survey adds to one day's limit if it finds the \
    crop that is believed to stand there. Quadrats are as many as pay: one more would add less \
    than 1 % of the limit. Six are the fewest that show the spread.";

fn the_others(advice: &SurveyAdvice) -> String {
    let well_enough = match advice.well_enough {
        0 => String::new(),
        n => format!("{} {} surveyed well enough. ", counted(n, "patch"), agreeing(n, "is", "are")),
    };
    let out_of_reach = match advice.out_of_reach {
        0 => String::new(),
        n => format!(
            "{} could not be cut within {HORIZON_DAYS} days, surveyed or not.",
            counted(n, "patch")
        ),
    };
    well_enough + &out_of_reach
}

fn table(advice: &SurveyAdvice) -> Table {
    let columns = vec![
        Column::name("patch"),
        Column::name("crop"),
        Column::figures("quadrats"),
        Column::amount("at stake"),
        Column::figures("for each"),
        Column::note("why"),
    ];
    let row = |patch: &PatchAdvice| {
        let show =
            |amount: Option<f64>| amount.map_or("–".to_owned(), |amount| patch.crop.show(amount));
        let cells = [
            patch.patch.to_string(),
            patch.crop.name.to_string(),
            patch.quadrats.to_string(),
            show(patch.at_stake),
            show(patch.per_quadrat()),
            why(patch, advice),
        ];
        cells.map(Cell::of).to_vec()
    };
    let rows = advice.ranked().into_iter().map(row).collect();
    Table { caption: "What a survey would gain, patch by patch".to_owned(), columns, rows }
}

fn why(patch: &PatchAdvice, advice: &SurveyAdvice) -> String {
    let mut why = match patch.why {
        WhySurvey::Never { guessed_from: 0 } => {
            format!("never surveyed, nor any patch of {}: nobody can tell", patch.crop.name)
        }
        WhySurvey::Never { guessed_from } => format!(
            "never surveyed; guessed from {} of the crop",
            counted(guessed_from, "other patch")
        ),
        WhySurvey::Lapsed(last) => {
            let ago = (advice.on - last).get_days().unsigned_abs();
            format!("expired on {}, {} ago", spoken_day(last), counted(ago, "day"))
        }
        WhySurvey::Lapses(last) => format!("expires on {}", spoken_day(last)),
        WhySurvey::Doubt { costs } => format!("doubt costs {} of the limit", percent(costs)),
        WhySurvey::Untested { second_cut } => format!(
            "a recovery test: nobody knows how fast it comes back; squares cut today and on {}",
            spoken_day(second_cut)
        ),
    };
    if patch.day > advice.on
        && !matches!(patch.why, WhySurvey::Lapses(_) | WhySurvey::Untested { .. })
    {
        why += &format!("; to be cut from {}", spoken_day(patch.day));
    }
    if let Some(quadrats) = patch.for_precision {
        why += &format!("; ±{} takes {quadrats}", percent(advice.precision));
    }
    why
}
