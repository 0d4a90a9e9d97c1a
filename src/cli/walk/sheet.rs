//! `stintbook walk sheet`: what a leader prints, or carries on a phone.

use std::path::{Path, PathBuf};

use geo::Point;
use jiff::civil::Date;

use super::recorded::{asked_on, briefing, stated_today, walk_called};
use super::start::{Start, start_of_walk};
use crate::assess::Briefing;
use crate::cli::args::day;
use crate::cli::context::Context;
use crate::cli::failure::{Failure, Status};
use crate::cli::file_name::stem;
use crate::cli::one_site::of_walk_in;
use crate::cli::writing::{write_all, write_file};
use crate::records::{Fact, Ledger, Walk};
use crate::report::layout::paragraph;
use crate::report::receipt;
use crate::report::{WalkSheet, cautions, walk_sheet};

const FOLDER: &str = "reports";

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  stintbook walk sheet \"spring walk\"\n\n\
    One page that needs no network: map, stops, limits, a slip for each party, look-alikes and \
    cautions, and blanks for an emergency and for what was taken. Parties go by their numbers; \
    nobody is named on it, and its places are exact. Make it anew after `walk hold`.")]
pub struct SheetWanted {
    /// The name of the walk.
    walk: String,
    /// Where the page goes (default: reports/WALK-DAY.html).
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Where the walk begins: a landmark, or LON,LAT in degrees (default: where one parks, a gate,
    /// or the first patch).
    #[arg(long, value_name = "PLACE", allow_hyphen_values = true)]
    start: Option<Start>,
    /// Ask as on that day: what was set aside for earlier days has lapsed (default: today).
    #[arg(long, value_name = "DATE", value_parser = day)]
    recorded_on: Option<Date>,
}

impl SheetWanted {
    /// For a walk that was recorded just now, to the usual place.
    pub fn of(walk: &str, recorded_on: Option<Date>) -> Self {
        Self { walk: walk.to_owned(), out: None, start: None, recorded_on }
    }
}

pub fn run(context: &Context, asked: &SheetWanted) -> Result<Status, Failure> {
    let book = context.open_to_read()?;
    let ledger = of_walk_in(&book, &asked.walk)?;
    let walk = walk_called(&ledger, &asked.walk)?;
    let start = start_of_walk(asked.start.as_ref(), &ledger, &walk.record)?;
    let made_on = stated_today(context, asked.recorded_on);
    let (briefing, page) = sheet_of(context, &ledger, walk, start, made_on)?;
    let path = asked.out.clone().unwrap_or_else(|| Path::new(FOLDER).join(usual_name(&briefing)));
    let file = (usual_name(&briefing), page);
    context.hand_over(std::slice::from_ref(&file), || {
        write_file(&path, &file.1)?;
        Ok(Vec::new())
    })?;
    context.print(&said(&briefing, &path, context.width))?;
    Ok(Status::Done)
}

/// The sheet of a walk, as made on a day or today, and what it was made of.
fn sheet_of(
    context: &Context,
    ledger: &Ledger,
    walk: &Fact<Walk>,
    start: Option<Point>,
    made_on: Option<Date>,
) -> Result<(Briefing, String), Failure> {
    let today = asked_on(context, walk.record.day, made_on);
    let briefing = briefing(context, ledger, walk, start, today)?;
    let made_on = made_on.unwrap_or(context.today);
    let page = walk_sheet(&WalkSheet { briefing: &briefing, ledger, made_on });
    Ok((briefing, page))
}

/// `spring-walk-2027-03-20.html`.
fn usual_name(briefing: &Briefing) -> String {
    format!("{}-{}.html", stem(briefing.walk.as_str()), briefing.day)
}

/// Writes the sheet of every walk that is still to come on `--on`, and says where they went.
pub fn write_coming(context: &Context, ledger: &Ledger, folder: &Path) -> Result<String, Failure> {
    let mut files = Vec::new();
    for walk in ledger.walks().filter(|walk| walk.record.day >= context.on) {
        let (briefing, page) = {
            let start = start_of_walk(None, ledger, &walk.record)?;
            sheet_of(context, ledger, walk, start, Some(context.on))?
        };
        files.push((usual_name(&briefing), page));
    }
    let written = write_all(folder, &files)?;
    let line =
        |path: &PathBuf| paragraph(&format!("Written: {}", path.display()), context.width, "");
    Ok(written.iter().map(line).collect())
}

fn said(briefing: &Briefing, path: &Path, width: usize) -> String {
    let mut text = paragraph(&format!("Written: {}", path.display()), width, "");
    text += &paragraph(receipt::PLACES_ARE_EXACT, width, "");
    if !briefing.is_held {
        text += &paragraph(&receipt::not_set_aside(&briefing.walk), width, "");
    }
    if !briefing.stops.is_empty() {
        let crops = briefing.stops.iter().map(|stop| &stop.crop);
        text += &cautions::short(crops, width);
    }
    text
}
