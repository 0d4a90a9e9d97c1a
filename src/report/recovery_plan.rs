//! The sheet of a recovery test that is to be made, in words and as a file to fill in.

use std::sync::Arc;

use super::cautions;
use super::comeback::{squares, times};
use super::page::{Block, Cell, Column, Document, Section, Table};
use super::survey_plan_document::position;
use crate::assess::{RatioLine, TestPlan};
use crate::records::{Crop, PatchName, SquarePlace, TestDesign};
use crate::sampling::{Spot, SurveyPlan};
use crate::units::{SquareMetres, percent, spoken_day};

/// A test with the places drawn for its squares: more than are needed, so that those can be
/// passed over at which the plants do not stand full.
#[derive(Clone, Debug)]
pub struct PlannedTest {
    /// Where the squares go.
    pub patch: PatchName,
    /// What grows there.
    pub crop: Arc<Crop>,
    /// When to cut, and what the baskets will say.
    pub test: TestPlan,
    /// Where each may lie, in walking order.
    pub places: SurveyPlan,
}

/// How to do it, where, and what the baskets will say.
pub fn recovery_document(planned: &PlannedTest) -> Document {
    let PlannedTest { patch, crop, test, .. } = planned;
    let title = format!(
        "Recovery test on {patch} ({}): {} of {}, seed {}",
        crop.common_name,
        squares(test.design, test.squares),
        area(test.square),
        planned.places.request.seed
    );
    let headed =
        |id, heading: &str, block| Section { id, heading: heading.to_owned(), blocks: vec![block] };
    let sections = vec![
        cautions::section_for(crop),
        headed("steps", "What to do", Block::Steps(steps(planned))),
        headed("places", "Where, in walking order", Block::Table(places(&planned.places))),
        headed("ratios", "What the baskets say", Block::Table(ratios(planned))),
        Section::said(what_it_is_for(planned)),
    ];
    Document { title, kind: "Recovery test", lead: String::new(), sections, foot: Vec::new() }
}

/// In full: squares are small.
fn area(square: SquareMetres) -> String {
    format!("{} m²", square.0)
}

fn steps(planned: &PlannedTest) -> Vec<String> {
    let test = &planned.test;
    let (n, square) = (test.squares, area(test.square));
    let begins = spoken_day(test.begins);
    let when = test.second_cut;
    let back = format!(
        "Come back best on {}, not before {} and not after {}.",
        spoken_day(when.best_day),
        spoken_day(when.first_day),
        spoken_day(when.last_day)
    );
    let pick = format!(
        "On {begins}, go from place to place in the order below and keep the first {n} at which \
         the plants stand full."
    );
    let leave = "Let nobody cut, graze or tread on the squares till then. Elsewhere the patch may \
                 be cut as ever."
        .to_owned();
    let name = &planned.patch;
    match test.design {
        TestDesign::Pairs => vec![
            pick,
            format!(
                "At each, mark two neighbouring squares of {square} that stand alike, and toss a \
                 coin which of them is cut. In that one cut three stems in four; in the other \
                 nothing. Weigh all that was cut, together, and write it down."
            ),
            format!(
                "`stintbook recovery start \"{name}\" WEIGHT --squares {n} --square {} --by NAME`",
                test.square.0
            ),
            leave,
            back,
            "Cut three stems in four of what stands in all squares. Weigh those that were cut \
             before and those that were not, each lot for itself."
                .to_owned(),
            format!("`stintbook recovery finish \"{name}\" WEIGHT --uncut WEIGHT --by NAME`"),
        ],
        TestDesign::SameSquares => vec![
            pick,
            format!(
                "At each, mark a square of {square} and cut three stems in four in it. Weigh all \
                 that was cut, together, and write it down."
            ),
            format!(
                "`stintbook recovery start \"{name}\" WEIGHT --design \"same squares\" --squares \
                 {n} --square {} --by NAME`",
                test.square.0
            ),
            leave,
            back,
            "Cut three stems in four of what stands in the same squares, and weigh them again."
                .to_owned(),
            format!("`stintbook recovery finish \"{name}\" WEIGHT --by NAME`"),
        ],
    }
}

fn places(plan: &SurveyPlan) -> Table {
    let columns = vec![
        Column::name("no"),
        Column::figures("lon"),
        Column::figures("lat"),
        Column::words("grid reference"),
        Column::words("stands full?"),
        Column::words("kept?"),
    ];
    let rows = (1..).zip(&plan.spots).map(|(n, spot)| place(n, spot)).collect();
    Table { caption: "Places drawn for the squares".to_owned(), columns, rows }
}

fn place(n: usize, spot: &Spot) -> Vec<Cell> {
    let mut cells = vec![Cell::of(n.to_string())];
    cells.extend(position(spot));
    cells.extend(["____________", "_____"].map(Cell::of));
    cells
}

fn ratios(planned: &PlannedTest) -> Table {
    let of = match planned.test.design {
        TestDesign::Pairs => "cut before ÷ uncut",
        TestDesign::SameSquares => "second ÷ first",
    };
    let columns = vec![
        Column::name(of),
        Column::figures("times as fast"),
        Column::figures("refills at"),
        Column::figures("share up to"),
    ];
    let row = |line: &RatioLine| {
        let RatioLine { ratio, speed, refill_part, largest_share, .. } = *line;
        let cells = [percent(ratio), times(speed), percent(refill_part), percent(largest_share)];
        cells.map(Cell::of).to_vec()
    };
    let rows = planned.test.ratios.iter().map(row).collect();
    Table { caption: "What a ratio of the baskets means".to_owned(), columns, rows }
}

fn what_it_is_for(planned: &PlannedTest) -> String {
    format!(
        "These are the shares of a second cut on its best day. What errs in so few squares is \
         heeded: the share then refills slower than the baskets say. Both cuts together go over \
         some {} of the patch, and count as cut.",
        percent(planned.test.part_of_ground)
    )
}

/// A file of clippings with a row for the first day, to be filled in and loaded.
///
/// # Errors
/// The CSV writer's own, which writing into memory has no cause for.
pub fn recovery_csv(planned: &PlannedTest) -> Result<String, csv::Error> {
    let test = &planned.test;
    let places: Vec<String> = planned
        .places
        .spots
        .iter()
        .map(|spot| SquarePlace { lon: spot.at.x(), lat: spot.at.y() }.to_string())
        .collect();
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record([
        "patch",
        "date",
        "by",
        "design",
        "squares",
        "square_m2",
        "mass_g",
        "count",
        "places",
    ])?;
    writer.write_record([
        planned.patch.to_string(),
        test.begins.to_string(),
        String::new(),
        test.design.to_string(),
        test.squares.to_string(),
        test.square.0.to_string(),
        String::new(),
        String::new(),
        places.join("; "),
    ])?;
    let bytes = writer.into_inner().map_err(|error| error.into_error())?;
    let rows = String::from_utf8_lossy(&bytes).into_owned();
    Ok(format!("# Of the places, keep those that were used.\n{rows}"))
}
