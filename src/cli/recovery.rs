//! `stintbook recovery`: plan a recovery test, and record its two days.

use clap::Subcommand;
use geo::Point;

use super::args::{LonLat, Signed, words};
use super::context::Context;
use super::failure::{Failure, Status};
use super::format::Format;
use super::numbers::{number, whole};
use super::recording::{Answered, drawn_seed};
use super::typed;
use crate::assess::{Prepared, assess, evidence, plan_test, prepare};
use crate::book::{Book, Scope};
use crate::gate::{Places, Surroundings};
use crate::ground::SiteGround;
use crate::records::{Clipping, Footprint, KnownPatch, PatchName, TestDesign};
use crate::regrowth::{SecondCut, marked_squares};
use crate::report::layout::paragraph;
use crate::report::receipt;
use crate::report::{PlannedTest, how_fast, recovery_csv, recovery_document};
use crate::sampling::{Design, Request, plan};
use crate::units::{Amount, Measure, SquareMetres, spoken_day};

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    stintbook recovery plan \"mill bank\" --seed 7\n  \
    stintbook recovery start \"mill bank\" 1400g --squares 8 --by Ida\n  \
    stintbook recovery finish \"mill bank\" 900g --uncut 1300g --by Ida\n\n\
    Marked squares that stand full are cut by three stems in four, left alone for about a \
    recovery interval, and cut again. What came back sets how fast the patch's allowance refills. \
    What is cut for a test counts as cut; do not record it a second time.")]
pub struct RecoveryAsked {
    #[command(subcommand)]
    step: Step,
}

#[derive(Debug, Subcommand)]
enum Step {
    /// Draw places for the squares and print the sheet, with what the baskets will say.
    Plan(Planned),
    /// Record the first day: what the squares gave that were cut.
    Start(Started),
    /// Record the second day, and say how fast the patch comes back.
    Finish(Finished),
}

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  stintbook recovery plan \"mill bank\" --seed 7")]
struct Planned {
    /// The patch: its name, site/name, or short id.
    patch: String,
    /// How many squares, or pairs of them.
    #[arg(long, value_name = "N", default_value_t = 8, value_parser = squares, allow_negative_numbers = true)]
    squares: u32,
    /// pairs (one cut, one not) or same squares (cut twice).
    #[arg(long, default_value = "pairs")]
    design: TestDesign,
    /// The area of one square in square metres.
    #[arg(long, value_name = "M2", default_value_t = 0.25, value_parser = number, allow_negative_numbers = true)]
    square: f64,
    /// The same seed draws the same places again (default: one drawn for you, and shown).
    #[arg(long, value_name = "NUMBER", value_parser = whole::<u64>(0..), allow_negative_numbers = true)]
    seed: Option<u64>,
    /// Where you come from: LON,LAT in degrees (default: begin with the southernmost).
    #[arg(long, value_name = "LON,LAT", allow_hyphen_values = true)]
    start: Option<LonLat>,
    /// How to answer; csv is a file of clippings to fill in and load.
    #[arg(long, default_value = Format::TABLE, value_parser = Format::among(&[Format::Table, Format::Html, Format::Md, Format::Csv]))]
    format: Format,
}

#[derive(Debug, clap::Args)]
#[command(
    after_help = "Example:\n  stintbook recovery start \"mill bank\" 1400g --squares 8 --by Ida"
)]
struct Started {
    /// The patch: its name, site/name, or short id.
    patch: String,
    /// What all squares that were cut gave together: 1400g, 120 heads.
    #[arg(allow_hyphen_values = true)]
    cut: Amount,
    /// How many squares were cut; of pairs, one of each.
    #[arg(long, value_name = "N", default_value_t = 8, value_parser = squares, allow_negative_numbers = true)]
    squares: u32,
    /// pairs (one cut, one not) or same squares (cut twice).
    #[arg(long, default_value = "pairs")]
    design: TestDesign,
    /// The area of one square in square metres.
    #[arg(long, value_name = "M2", default_value_t = 0.25, value_parser = number, allow_negative_numbers = true)]
    square: f64,
    /// The part of what stood there that was left.
    #[arg(long, value_name = "PART", default_value_t = Clipping::LEFT, value_parser = number, allow_negative_numbers = true)]
    left: f64,
    /// Where the squares are: longitude and latitude of each, `;` between them.
    #[arg(long, value_name = "PLACES", allow_hyphen_values = true)]
    at: Option<String>,
    /// Plain words to keep with it.
    #[arg(long, value_name = "WORDS", value_parser = words)]
    note: Option<String>,
    #[command(flatten)]
    signed: Signed,
    #[command(flatten)]
    answered: Answered,
}

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  \
    stintbook recovery finish \"mill bank\" 900g --uncut 1300g --by Ida")]
struct Finished {
    /// The patch: its name, site/name, or short id.
    patch: String,
    /// What the squares gave together that were cut on the first day: 900g.
    #[arg(allow_hyphen_values = true)]
    cut: Amount,
    /// Of pairs: what the others gave together.
    #[arg(long, value_name = "AMOUNT", allow_hyphen_values = true)]
    uncut: Option<Amount>,
    /// The day on which it was begun, where several wait (default: the latest).
    #[arg(long, value_name = "DATE", value_parser = super::args::day)]
    begun: Option<jiff::civil::Date>,
    /// How many squares were cut, where some were lost (default: as many as on the first day).
    #[arg(long, value_name = "N", value_parser = squares, allow_negative_numbers = true)]
    squares: Option<u32>,
    /// A square was cut, grazed or trodden in between; the test then tells nothing.
    #[arg(long)]
    disturbed: bool,
    /// Plain words to keep with it.
    #[arg(long, value_name = "WORDS", value_parser = words)]
    note: Option<String>,
    #[command(flatten)]
    signed: Signed,
    #[command(flatten)]
    answered: Answered,
}

pub fn run(context: &Context, asked: &RecoveryAsked) -> Result<Status, Failure> {
    match &asked.step {
        Step::Plan(asked) => plan_squares(context, asked),
        Step::Start(made) => start(context, made),
        Step::Finish(made) => finish(context, made),
    }
}

fn squares(text: &str) -> Result<u32, String> {
    text.parse().ok().filter(|n| (1..=Clipping::MOST_SQUARES).contains(n)).ok_or_else(|| {
        format!(
            "`{text}` is not a number of squares; write a whole number from 1 to {}",
            Clipping::MOST_SQUARES
        )
    })
}

/// Does something with the patch as it stands on the day.
fn with_patch<T>(
    context: &Context,
    book: &Book,
    name: &PatchName,
    of: impl FnOnce(&Prepared) -> Result<T, Failure>,
) -> Result<T, Failure> {
    let ledger = book.ledger(&Scope::Patch(name.clone()), None)?;
    let prepared = prepare(&ledger, context.catalogue()?, context.on)?;
    let found = prepared.iter().find(|found| found.facts.patch.record.name == *name);
    of(found.ok_or_else(|| Failure::wrong(format!("`{name}` is not known")))?)
}

/// Of as many places again as are needed, half may be passed over.
const PLACES_FOR_EACH: usize = 2;

fn plan_squares(context: &Context, asked: &Planned) -> Result<Status, Failure> {
    if !(asked.square > 0.0 && asked.square <= Clipping::LARGEST_SQUARE) {
        return Err(Failure::wrong(format!(
            "`--square {}` is not the area of a square; write square metres over 0, at most {}",
            asked.square,
            Clipping::LARGEST_SQUARE
        )));
    }
    let book = context.open_to_read()?;
    let name = book.patch(&asked.patch)?.name;
    let planned = with_patch(context, &book, &name, |patch| {
        let record = &patch.facts.patch.record;
        if matches!(record.footprint, Footprint::Plants { .. }) {
            return Err(Failure::wrong(format!(
                "`{name}` is a patch of counted plants; a recovery test needs squares of a stand"
            )));
        }
        let wrong = |why: &dyn std::fmt::Display| Failure::wrong(format!("`{name}`: {why}"));
        let square = SquareMetres(asked.square);
        let test = plan_test(patch, context.on, asked.design, asked.squares, square)
            .map_err(|error| wrong(&error))?;
        let site = patch.site;
        let ground = SiteGround::new(&site.site.record, site.zones.iter().map(|zone| &zone.record));
        let request = Request {
            design: Design::Stratified,
            quadrats: PLACES_FOR_EACH * asked.squares as usize,
            seed: asked.seed.unwrap_or_else(|| drawn_seed().into()),
            start: asked.start.map(|start| Point::new(start.lon, start.lat)),
        };
        let places = plan(&ground, &record.footprint, request).map_err(|error| wrong(&error))?;
        Ok(PlannedTest { patch: name.clone(), crop: patch.crop().clone(), test, places })
    })?;
    let text = match asked.format {
        Format::Csv => recovery_csv(&planned).map_err(Failure::wrong)?,
        format => context.laid_out(format, &recovery_document(&planned)),
    };
    context.print(&text)?;
    Ok(Status::Done)
}

fn start(context: &Context, made: &Started) -> Result<Status, Failure> {
    let mut book = context.open()?;
    let known = book.patch(&made.patch)?;
    let row = Row {
        begun: None,
        design: made.design,
        squares: made.squares,
        square: made.square,
        left: made.left,
        cut: made.cut,
        uncut: None,
        disturbed: false,
        places: made.at.clone().unwrap_or_default(),
        note: made.note.clone().unwrap_or_default(),
    };
    let ids = record(context, &mut book, &known, &row, &made.signed, made.answered)?;
    let name = &known.name;
    let waits = with_patch(context, &book, name, |patch| {
        Ok(assess(patch, context.on, None, None).test_waiting)
    })?;
    let when = waits.map(|(_, when)| when);
    let said = receipt::squares_cut(&ids, name, made.cut, context.on, when);
    context.print(&paragraph(&said, context.width, ""))?;
    Ok(Status::Done)
}

fn finish(context: &Context, made: &Finished) -> Result<Status, Failure> {
    let mut book = context.open()?;
    let known = book.patch(&made.patch)?;
    let name = known.name.clone();
    let (begun, first) = with_patch(context, &book, &name, |patch| {
        let (all, _) = marked_squares(&patch.facts.clippings);
        let mut waiting = all.into_iter().rev().filter(|squares| {
            let day = squares.first.happened_on;
            squares.second.is_none()
                && day < context.on
                && made.begun.is_none_or(|begun| begun == day)
        });
        let found = waiting.next().ok_or_else(|| {
            Failure::wrong(format!(
                "no recovery test of `{name}` waits for its second cut on {}; `stintbook recovery \
                 start` records the first, on an earlier day",
                spoken_day(context.on)
            ))
        })?;
        let when = found.second_cut(&patch.terms, &patch.growth);
        let tells = |when: &SecondCut| (when.first_day..=when.last_day).contains(&context.on);
        if !made.answered.sure && !when.as_ref().is_some_and(tells) {
            let window = when.map_or(String::new(), |when| {
                format!(
                    ", but from {} to {}",
                    spoken_day(when.first_day),
                    spoken_day(when.last_day)
                )
            });
            return Err(Failure::wrong(format!(
                "a second cut on {} would tell nothing{window}; --sure records it all the same, if \
                 it was made",
                spoken_day(context.on)
            )));
        }
        Ok((found.first.happened_on, found.first.record.clone()))
    })?;
    let row = Row {
        begun: Some(begun),
        design: first.design,
        squares: made.squares.unwrap_or(first.squares),
        square: first.square.0,
        left: first.left,
        cut: made.cut,
        uncut: made.uncut,
        disturbed: made.disturbed,
        places: String::new(),
        note: made.note.clone().unwrap_or_default(),
    };
    let ids = record(context, &mut book, &known, &row, &made.signed, made.answered)?;
    let said = receipt::squares_cut_again(&ids, begun, context.on);
    let told = with_patch(context, &book, &name, |patch| {
        let assessment = assess(patch, context.on, None, None);
        let evidence = evidence(patch, context.on);
        let told = how_fast(&assessment, &evidence.comeback);
        Ok(told.map_or(String::new(), |told| told.text(context.width)))
    })?;
    context.print(&(paragraph(&said, context.width, "") + &told))?;
    Ok(Status::Done)
}

/// What a row of a file of clippings says.
struct Row {
    begun: Option<jiff::civil::Date>,
    design: TestDesign,
    squares: u32,
    square: f64,
    left: f64,
    cut: Amount,
    uncut: Option<Amount>,
    disturbed: bool,
    places: String,
    note: String,
}

fn record(
    context: &Context,
    book: &mut Book,
    known: &KnownPatch,
    row: &Row,
    signed: &Signed,
    answered: Answered,
) -> Result<String, Failure> {
    let amount = |amount: Amount, wanted: Measure| match amount.measure == wanted {
        true => amount.value.to_string(),
        false => String::new(),
    };
    let uncut = |wanted| row.uncut.map_or(String::new(), |uncut| amount(uncut, wanted));
    let cells = [
        ("patch", known.name.to_string()),
        ("date", context.on.to_string()),
        ("by", signed.by.clone()),
        ("recorded_on", signed.recorded_on()),
        ("begun", row.begun.map_or(String::new(), |day| day.to_string())),
        ("design", row.design.to_string()),
        ("squares", row.squares.to_string()),
        ("square_m2", row.square.to_string()),
        ("left_standing", row.left.to_string()),
        ("mass_g", amount(row.cut, Measure::Mass)),
        ("count", amount(row.cut, Measure::Count)),
        ("uncut_g", uncut(Measure::Mass)),
        ("uncut_count", uncut(Measure::Count)),
        ("disturbed", if row.disturbed { "yes" } else { "" }.to_owned()),
        ("places", row.places.clone()),
        ("note", row.note.clone()),
    ];
    let columns = cells.each_ref().map(|(name, _)| *name);
    let places = Places::only(known.clone());
    let surroundings = Surroundings::of(&places, context.catalogue()?);
    let texts = cells.map(|(_, text)| text).to_vec();
    let entry = typed::entry(&columns, &[texts], surroundings.known())?;
    Ok(context.record(book, known, entry, answered)?.short_ids())
}
