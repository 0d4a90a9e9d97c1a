//! The plan of a survey as text for a terminal.

use std::sync::Arc;

use super::layout::{paragraph, right};
use crate::ground::grid_reference;
use crate::records::{Crop, PatchName};
use crate::sampling::{Design, Request, Spot, SurveyPlan};
use crate::units::SquareMetres;

/// Drawn places and what is to be measured there.
#[derive(Clone, Debug)]
pub struct PlannedSurvey {
    pub patch: PatchName,
    pub crop: Arc<Crop>,
    /// The ground of one quadrat, where that is known already.
    pub frame: Option<SquareMetres>,
    pub plan: SurveyPlan,
}

impl PlannedSurvey {
    /// `12 quadrats on shore/spit, random, seed 7`.
    pub fn title(&self) -> String {
        let Request { design, seed, .. } = &self.plan.request;
        let what = if self.is_of_plants() { "plants" } else { "quadrats" };
        format!("{} {what} on {}, {design}, seed {seed}", self.plan.spots.len(), self.patch)
    }

    pub fn is_of_plants(&self) -> bool {
        self.plan.spots.iter().any(|spot| spot.plant.is_some())
    }
}

/// Seven digits of a longitude with its sign, a reference, and `1.2 km`.
const DEGREES: usize = 11;
const REFERENCE: usize = 18;
const LEG: usize = 8;

/// A numbered list in walking order, and how to use it; at most `width` cells wide.
pub fn survey_plan_table(survey: &PlannedSurvey, width: usize) -> String {
    let places = if survey.is_of_plants() { plants(survey, width) } else { places(survey, width) };
    let again = format!(
        "The same seed draws the same again as long as the ground does not change: --design {} \
         --quadrats {} --seed {}.",
        survey.plan.request.design, survey.plan.request.quadrats, survey.plan.request.seed
    );
    format!("{places}\n{}", paragraph(&again, width, ""))
}

fn places(survey: &PlannedSurvey, width: usize) -> String {
    let walk = walk(&survey.plan);
    let mut text = paragraph(&format!("{}; {walk}", survey.title()), width, "");
    text += &format!(
        "\n  no {} {}  {:REFERENCE$} {}\n",
        right("lon", DEGREES),
        right("lat", DEGREES),
        "grid reference",
        right("to next", LEG)
    );
    for (number, spot) in (1..).zip(&survey.plan.spots) {
        text += &row(number, spot);
    }
    text + "\n" + &paragraph(HOW_TO_PLACE, width, "") + &parts(survey, width)
}

const HOW_TO_PLACE: &str = "Lay the middle of the frame on the first spot to which your phone \
    leads you, and do not look for a better one. Measure every place, also where nothing grows: \
    a bare quadrat counts as 0. Grid references are MGRS on WGS84, squares of 1 m.";

fn parts(survey: &PlannedSurvey, width: usize) -> String {
    let parts = match survey.plan.request.design {
        Design::Random => return String::new(),
        Design::Stratified => {
            "One place is drawn in each of as many parts of equal area. Enter them as one sample, \
             without strata: the doubt shown is then rather too wide than too narrow."
        }
        Design::Systematic => {
            "One place is drawn, and repeated in as many parts of equal area. Enter them as one \
             sample. Draw at random instead where the plants stand in rows."
        }
    };
    paragraph(parts, width, "")
}

fn walk(plan: &SurveyPlan) -> String {
    match plan.to_first {
        Some(to_first) => format!("{} to walk, the first {to_first} off", plan.walk()),
        None => format!("{} to walk from the first", plan.walk()),
    }
}

fn row(number: usize, spot: &Spot) -> String {
    let reference = grid_reference(spot.at).unwrap_or_else(|| "–".to_owned());
    let leg = spot.to_next.map_or(String::new(), |leg| leg.to_string());
    let line = format!(
        "{number:>4} {:>DEGREES$.6} {:>DEGREES$.6}  {reference:REFERENCE$} {}",
        spot.at.x(),
        spot.at.y(),
        right(&leg, LEG)
    );
    line.trim_end().to_owned() + "\n"
}

fn plants(survey: &PlannedSurvey, width: usize) -> String {
    let numbers: Vec<String> =
        survey.plan.spots.iter().filter_map(|spot| spot.plant).map(|n| n.to_string()).collect();
    let how_to = "Count the plants in the order in which you walk past them and measure those with \
         these numbers, bare ones too: a bare plant counts as 0.";
    paragraph(&survey.title(), width, "")
        + "\n"
        + &paragraph(&format!("numbers {}", numbers.join(", ")), width, "  ")
        + "\n"
        + &paragraph(how_to, width, "")
}
