//! The sheet of a recovery test that is to be made, as text and as a file to fill in.

use std::sync::Arc;

use super::comeback::{squares, times};
use super::layout::{hanging, paragraph, right};
use crate::assess::{RatioLine, TestPlan};
use crate::ground::grid_reference;
use crate::records::{Crop, PatchName, SquarePlace, TestDesign};
use crate::sampling::{Spot, SurveyPlan};
use crate::units::{SquareMetres, percent, spoken_day};

/// A test with the places drawn for its squares: more than are needed, so that those can be
/// passed over at which the plants do not stand full.
#[derive(Clone, Debug)]
pub struct PlannedTest {
    pub patch: PatchName,
    pub crop: Arc<Crop>,
    pub test: TestPlan,
    pub places: SurveyPlan,
}

/// How to do it, where, and what the baskets will say; at most `width` cells wide. `dangers` are
/// lines that the caller words.
pub fn recovery_sheet(planned: &PlannedTest, dangers: &str, width: usize) -> String {
    let PlannedTest { patch, crop, test, .. } = planned;
    let title = format!(
        "Recovery test on {patch} ({}): {} of {}, seed {}",
        crop.common_name,
        squares(test.design, test.squares),
        area(test.square),
        planned.places.request.seed
    );
    let steps: String = (1..)
        .zip(steps(planned))
        .map(|(n, step)| hanging(&step, width, &format!("  {n}. "), "     "))
        .collect();
    [
        paragraph(&title, width, ""),
        format!("\n{dangers}\nWHAT TO DO\n{steps}"),
        format!("\nWHERE, IN WALKING ORDER\n{}", places(&planned.places)),
        format!("\nWHAT THE BASKETS SAY\n{}", ratios(planned)),
        format!("\n{}", paragraph(&what_it_is_for(planned), width, "")),
    ]
    .concat()
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

const DEGREES: usize = 11;
const REFERENCE: usize = 18;

fn places(plan: &SurveyPlan) -> String {
    let mut text = format!(
        "  no {} {}  {:REFERENCE$} stands full?  kept?\n",
        right("lon", DEGREES),
        right("lat", DEGREES),
        "grid reference"
    );
    for (number, spot) in (1..).zip(&plan.spots) {
        text += &place(number, spot);
    }
    text
}

fn place(number: usize, spot: &Spot) -> String {
    let reference = grid_reference(spot.at).unwrap_or_else(|| "–".to_owned());
    format!(
        "{number:>4} {:>DEGREES$.6} {:>DEGREES$.6}  {reference:REFERENCE$} ____________  _____\n",
        spot.at.x(),
        spot.at.y()
    )
}

fn ratios(planned: &PlannedTest) -> String {
    let of = match planned.test.design {
        TestDesign::Pairs => "cut before ÷ uncut",
        TestDesign::SameSquares => "second ÷ first",
    };
    let header = format!(
        "  {} {} {} {}\n",
        right(of, 18),
        right("times as fast", 14),
        right("refills at", 11),
        right("share up to", 12)
    );
    header + &planned.test.ratios.iter().map(ratio).collect::<String>()
}

fn ratio(line: &RatioLine) -> String {
    format!(
        "  {} {} {} {}\n",
        right(&percent(line.ratio), 18),
        right(&times(line.speed), 14),
        right(&percent(line.refill_part), 11),
        right(&percent(line.largest_share), 12)
    )
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
