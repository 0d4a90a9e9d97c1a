//! Which patches to survey next, as text for a terminal.

use super::layout::{hanging, left, paragraph, right, widest};
use crate::assess::{HORIZON_DAYS, PatchAdvice, SurveyAdvice, WhySurvey};
use crate::units::{counted, percent, spoken_day};

/// From this width on, the reason stands on the patch's own line.
const WIDE: usize = 110;
const QUADRATS: usize = 8;
const AMOUNT: usize = 8;
const PER_QUADRAT: usize = 9;

/// One patch a row, what gains most first; at most `width` cells wide.
pub fn survey_advice_table(advice: &SurveyAdvice, width: usize) -> String {
    let (weekday, day) = (advice.on.strftime("%a"), spoken_day(advice.on));
    let title = if advice.patches.is_empty() {
        format!("No survey is worth its while on {weekday} {day}.")
    } else {
        format!("Surveys that would gain most, as things stand on {weekday} {day}")
    };
    let mut text = paragraph(&title, width, "");
    if !advice.patches.is_empty() {
        text += &rows(advice, width);
        text += &format!("\n{}", paragraph(WHAT_IS_AT_STAKE, width, ""));
    }
    text + &paragraph(&the_others(advice), width, "")
}

const WHAT_IS_AT_STAKE: &str = "At stake is what a survey adds to one day's limit if it finds the \
    crop that is believed to stand there. Quadrats are as many as pay: one more would add less \
    than 1 % of the limit. Six are the fewest that show the spread.";

fn the_others(advice: &SurveyAdvice) -> String {
    let well_enough = match advice.well_enough {
        0 => String::new(),
        1 => "1 patch is surveyed well enough. ".to_owned(),
        n => format!("{n} patches are surveyed well enough. "),
    };
    let out_of_reach = match advice.out_of_reach {
        0 => String::new(),
        n => format!(
            "{n} {} not be cut within {HORIZON_DAYS} days, surveyed or not.",
            if n == 1 { "patch could" } else { "patches could" }
        ),
    };
    well_enough + &out_of_reach
}

/// Where each column stands.
struct Columns {
    width: usize,
    patch: usize,
    crop: usize,
}

fn rows(advice: &SurveyAdvice, width: usize) -> String {
    let names: Vec<String> = advice.patches.iter().map(|patch| patch.patch.to_string()).collect();
    let crop = widest(advice.patches.iter().map(|patch| &*patch.crop.name), 4, 20);
    let gaps = 8;
    let left_over = width.saturating_sub(crop + QUADRATS + AMOUNT + PER_QUADRAT + gaps);
    let most = if width < WIDE { left_over } else { 32 };
    let patch = widest(names.iter().map(String::as_str), 5, most.max(12));
    let columns = Columns { width, patch, crop };
    let header =
        columns.row(["patch", "crop", "quadrats", "at stake", "for each"], columns.wide("why"));
    let rows = advice.patches.iter().map(|patch| columns.patch(patch, advice));
    format!("\n{header}{}", rows.collect::<String>())
}

impl Columns {
    fn patch(&self, patch: &PatchAdvice, advice: &SurveyAdvice) -> String {
        let show =
            |amount: Option<f64>| amount.map_or("–".to_owned(), |amount| patch.crop.show(amount));
        let (name, quadrats) = (patch.patch.to_string(), patch.quadrats.to_string());
        let (at_stake, each) = (show(patch.at_stake), show(patch.per_quadrat()));
        let why = why(patch, advice);
        let row = self.row([&name, &patch.crop.name, &quadrats, &at_stake, &each], self.wide(&why));
        if self.width >= WIDE { row } else { row + &paragraph(&why, self.width, "      ") }
    }

    /// What only a wide line has room for.
    fn wide<'t>(&self, text: &'t str) -> &'t str {
        if self.width >= WIDE { text } else { "" }
    }

    fn row(&self, [patch, crop, quadrats, at_stake, each]: [&str; 5], why: &str) -> String {
        let line = format!(
            "  {} {} {} {} {}",
            left(patch, self.patch),
            left(crop, self.crop),
            right(quadrats, QUADRATS),
            right(at_stake, AMOUNT),
            right(each, PER_QUADRAT)
        );
        if why.is_empty() {
            return line.trim_end().to_owned() + "\n";
        }
        let indent = " ".repeat(self.patch + self.crop + QUADRATS + AMOUNT + PER_QUADRAT + 8);
        hanging(why, self.width, &format!("{line}  "), &indent)
    }
}

fn why(patch: &PatchAdvice, advice: &SurveyAdvice) -> String {
    let mut why = match patch.why {
        WhySurvey::Never { guessed_from: 0 } => {
            format!("never surveyed, nor any patch of {}: nobody can tell", patch.crop.name)
        }
        WhySurvey::Never { guessed_from } => format!(
            "never surveyed; guessed from {} of the crop",
            if guessed_from == 1 {
                "1 other patch".to_owned()
            } else {
                format!("{guessed_from} other patches")
            }
        ),
        WhySurvey::Lapsed(last) => {
            let ago = (advice.on - last).get_days().unsigned_abs();
            format!("expired on {}, {} ago", spoken_day(last), counted(ago, "day"))
        }
        WhySurvey::Lapses(last) => format!("expires on {}", spoken_day(last)),
        WhySurvey::Doubt { costs } => format!("doubt costs {} of the limit", percent(costs)),
    };
    if patch.day > advice.on && !matches!(patch.why, WhySurvey::Lapses(_)) {
        why += &format!("; to be cut from {}", spoken_day(patch.day));
    }
    if let Some(quadrats) = patch.for_precision {
        why += &format!("; ±{} takes {quadrats}", percent(advice.precision));
    }
    why
}
