//! The plan of a survey in words: where to measure, and how to use it.

use std::sync::Arc;

use super::page::{Block, Cell, Column, Document, Section, Table};
use crate::ground::grid_reference;
use crate::records::{Crop, PatchName};
use crate::sampling::{Design, Request, Spot, SurveyPlan};
use crate::units::SquareMetres;

/// Drawn places and what is to be measured there.
#[derive(Clone, Debug)]
pub struct PlannedSurvey {
    /// Where to measure.
    pub patch: PatchName,
    /// What grows there.
    pub crop: Arc<Crop>,
    /// The ground of one quadrat, where that is known already.
    pub frame: Option<SquareMetres>,
    /// The places, in walking order.
    pub plan: SurveyPlan,
}

impl PlannedSurvey {
    /// `12 quadrats on shore/spit, random, seed 7`.
    pub fn title(&self) -> String {
        let Request { design, seed, .. } = &self.plan.request;
        let what = if self.is_of_plants() { "plants" } else { "quadrats" };
        format!("{} {what} on {}, {design}, seed {seed}", self.plan.spots.len(), self.patch)
    }

    /// Whether plants were drawn by number, and not places on the ground.
    pub fn is_of_plants(&self) -> bool {
        self.plan.spots.iter().any(|spot| spot.plant.is_some())
    }
}

/// A numbered list in walking order, and how to use it.
pub fn survey_plan_document(survey: &PlannedSurvey) -> Document {
    let request = &survey.plan.request;
    let again = format!(
        "The same seed draws the same again as long as the ground does not change: --design {} \
         --quadrats {} --seed {}.",
        request.design, request.quadrats, request.seed
    );
    let (title, lead, drawn, how_to) = match survey.is_of_plants() {
        true => {
            let numbers = Block::Paragraph(plants(&survey.plan));
            (survey.title(), String::new(), numbers, vec![HOW_TO_COUNT.to_owned()])
        }
        false => {
            let parts = parts(request.design).map(str::to_owned);
            let how_to = [HOW_TO_PLACE.to_owned()].into_iter().chain(parts).collect();
            (survey.title(), walk(&survey.plan), Block::Table(places(&survey.plan)), how_to)
        }
    };
    let drawn = Section { id: "places", heading: String::new(), blocks: vec![drawn] };
    let how_to = vec![Block::Paragraphs(how_to)];
    let how_to = Section { id: "how-to", heading: String::new(), blocks: how_to };
    let sections = vec![drawn, how_to, Section::said(again)];
    Document { title, kind: "Survey plan", lead, sections, foot: Vec::new() }
}

const HOW_TO_PLACE: &str = "Lay the middle of the frame on the first spot to which your phone \
    leads you, and do not look for a better one. Measure every place, also where nothing grows: \
    a bare quadrat counts as 0. Grid references are MGRS on WGS84, squares of 1 m.";

const HOW_TO_COUNT: &str = "Count the plants in the order in which you walk past them and measure \
    those with these numbers, bare ones too: a bare plant counts as 0.";

fn parts(design: Design) -> Option<&'static str> {
    match design {
        Design::Random => None,
        Design::Stratified => Some(
            "One place is drawn in each of as many parts of equal area. Enter them as one sample, \
             without strata: the doubt shown is then rather too wide than too narrow.",
        ),
        Design::Systematic => Some(
            "One place is drawn, and repeated in as many parts of equal area. Enter them as one \
             sample. Draw at random instead where the plants stand in rows.",
        ),
    }
}

fn walk(plan: &SurveyPlan) -> String {
    match plan.to_first {
        Some(to_first) => format!("{} to walk, the first {to_first} off", plan.walk()),
        None => format!("{} to walk from the first", plan.walk()),
    }
}

fn places(plan: &SurveyPlan) -> Table {
    let columns = vec![
        Column::name("no"),
        Column::figures("lon"),
        Column::figures("lat"),
        Column::words("grid reference"),
        Column::figures("to next"),
    ];
    let row = |(n, spot): (usize, &Spot)| {
        let leg = spot.to_next.map_or(String::new(), |leg| leg.to_string());
        let name = Cell::of(n.to_string());
        [name].into_iter().chain(position(spot)).chain([Cell::of(leg)]).collect()
    };
    let rows = (1..).zip(&plan.spots).map(row).collect();
    Table { caption: "Places in walking order".to_owned(), columns, rows }
}

/// Longitude and latitude, to a tenth of a metre, and the grid reference.
pub(super) fn position(spot: &Spot) -> [Cell; 3] {
    let degrees = |value: f64| Cell::of(format!("{value:.6}"));
    let reference = grid_reference(spot.at).unwrap_or_else(|| "–".to_owned());
    [degrees(spot.at.x()), degrees(spot.at.y()), Cell::of(reference)]
}

fn plants(plan: &SurveyPlan) -> String {
    let numbers: Vec<String> =
        plan.spots.iter().filter_map(|spot| spot.plant).map(|n| n.to_string()).collect();
    format!("numbers {}", numbers.join(", "))
}
