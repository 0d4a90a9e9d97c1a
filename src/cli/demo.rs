//! `stintbook demo`: an invented season, to look at and to try things on.

use std::path::PathBuf;

use jiff::civil::{Date, date};

use super::context::Context;
use super::failure::{Failure, Status};
use super::load::take_in;
use super::pressure::{draw, seasons};
use super::reading::Source;
use super::report::write_all;
use super::walk::sheet::write_coming;
use super::writing::{make, make_in};
use crate::assess::{assess, prepare, week};
use crate::book::{Book, Scope};
use crate::gate::Answers;
use crate::report::layout::paragraph;
use crate::report::receipt;
use crate::report::{Detail, week_document};
use crate::units::Season;

const BOOK: &str = "demo.sqlite";

/// The day up to which the demo's second season is told.
const DEMO_DAY: Date = date(2027, 3, 15);

macro_rules! carried {
    ($($name:literal),* $(,)?) => {
        [$(Source::Carried {
            name: concat!("sites/", $name),
            text: include_str!(concat!("../../sites/", $name)),
        }),*]
    };
}

/// The scenario in `sites/`, so that the demo works away from it too.
const FILES: [Source; 14] = carried![
    "estate.geojson",
    "shore.geojson",
    "commons.geojson",
    "emergencies.csv",
    "permissions.csv",
    "closures.csv",
    "overrides.csv",
    "surveys.csv",
    "glances.csv",
    "visits.csv",
    "cuts.csv",
    "clippings.csv",
    "walks.csv",
    "holds.csv",
];

/// A weight that was misread, and a walk that was moved.
const CORRECTIONS: [Source; 2] = carried!["corrections/cuts.csv", "corrections/walks.csv"];
const WHY_CORRECTED: [&str; 2] =
    ["6.40 kg was written down for 0.64 kg", "rain all Saturday; moved to Sunday"];

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  stintbook demo --folder trial")]
pub struct Demo {
    /// Where the demo's book and reports go; a demo book that is there is made anew.
    #[arg(long, default_value = ".")]
    folder: PathBuf,
}

pub fn run(context: &Context, asked: &Demo) -> Result<Status, Failure> {
    let folder = asked.folder.strip_prefix(".").unwrap_or(&asked.folder);
    let mut context = context.with_book(folder.join(BOOK));
    if context.on == context.today {
        context.on = DEMO_DAY;
    }
    make(folder)?;
    Book::make_anew(&context.book, |book| load(&context, book))?;
    let book = context.open_to_read()?;
    context.print(&introduction(&context, &book)?)?;
    context.print(&this_week(&context, &book)?)?;
    let season = Season::containing(context.on);
    let ledger = book.ledger(&Scope::All, None)?;
    let seasons = seasons(&context, &ledger, season)?;
    let reports = make_in(folder, "reports")?;
    context.print(&draw(&context, &ledger, &seasons, season, &reports)?)?;
    write_all(&context, &book, season, &reports)?;
    context.print(&write_coming(&context, &ledger, &reports)?)?;
    context.print(&what_next(&context))?;
    Ok(Status::Done)
}

fn load(context: &Context, book: &mut Book) -> Result<(), Failure> {
    take_in(context, book, &FILES, None, &Answers::default())?;
    for (file, why) in CORRECTIONS.iter().zip(WHY_CORRECTED) {
        let answers = Answers { replace: Some(why), ..Answers::default() };
        take_in(context, book, std::slice::from_ref(file), None, &answers)?;
    }
    Ok(())
}

fn introduction(context: &Context, book: &Book) -> Result<String, Failure> {
    let lines = book.history(&Scope::All)?;
    let count = |kind| lines.iter().filter(|line| line.fact.record.kind() == kind).count();
    let text = receipt::demo_made(count, &context.book);
    Ok(paragraph(&text, context.width, "") + "\n")
}

fn this_week(context: &Context, book: &Book) -> Result<String, Failure> {
    let ledger = book.ledger(&Scope::All, None)?;
    let prepared = prepare(&ledger, context.catalogue()?, context.on)?;
    let kept = prepared.iter().filter(|patch| patch.is_kept_on(context.on));
    let assessed = kept.map(|patch| assess(patch, context.on, None, None));
    Ok(week_document(&week(context.on, assessed.collect()), Detail::Short, None)
        .text(context.width))
}

fn what_next(context: &Context) -> String {
    let (mut book, on) = (context.book.display().to_string(), context.on);
    if book.contains(char::is_whitespace) {
        book = format!("\"{book}\"");
    }
    let stintbook = format!("stintbook --book {book} --on {on}");
    format!(
        "\nTry next:\n  {stintbook} check \"mill bank\" --people 9\n  \
         {stintbook} cut \"mill bank\" 650g --people 9 --by Ida\n  \
         {stintbook} check \"mill bank\"\n  \
         {stintbook} check slipway --full\n  \
         {stintbook} check \"mill hedge\"\n  \
         {stintbook} due --until 2027-04-30\n  \
         {stintbook} walk split \"creek walk\"\n  \
         {stintbook} walk plan --site Wendlestow --want \"green leaf=2kg\"\n  \
         {stintbook} calendar --month 2027-04\n  \
         {stintbook} box --month 2027-04 --count 12 --each \"green leaf=150g\" \
         --without chickweed-tops --packing --recorded-on {on}\n  \
         {stintbook} pressure --beside 2025/26\n  \
         {stintbook} report Wendlestow\n  \
         stintbook crops ramsons-leaf\n  \
         stintbook new myland\n"
    )
}
