//! `stintbook bring`: a spreadsheet's table put straight, shown, and recorded where wished.

use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use super::context::Context;
use super::failure::{Failure, Status};
use super::load::take_in;
use super::reading::Source;
use super::recording::Answered;
use super::walk;
use crate::bring::{Order, Straight, straighten};
use crate::report::layout::paragraph;
use crate::report::receipt;
use crate::units::noun_for;

/// The largest file, in bytes.
const MOST: u64 = 16 << 20;

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  stintbook bring notebook.csv\n  \
    stintbook bring notebook.csv --day-first --yes\n\n\
    Without --yes nothing is recorded: it shows how the table is read.")]
pub struct Bring {
    /// A table as text: its cells parted by `;`, tabs, `,` or `|`.
    file: PathBuf,
    /// Days like 3/4/2027 have the day first.
    #[arg(long, conflicts_with = "month_first")]
    day_first: bool,
    /// Days like 3/4/2027 have the month first.
    #[arg(long)]
    month_first: bool,
    /// Record what it says.
    #[arg(long)]
    yes: bool,
    #[command(flatten)]
    answered: Answered,
}

pub fn run(context: &Context, asked: &Bring) -> Result<Status, Failure> {
    let name = asked.file.display();
    let order = match (asked.day_first, asked.month_first) {
        (true, _) => Some(Order::DayFirst),
        (_, true) => Some(Order::MonthFirst),
        _ => None,
    };
    let straight = straighten(&text(asked)?, order).map_err(|unclear| {
        Failure::wrong(format!("{name}: {}\n  (nothing was recorded)", unclear.join("\n  ")))
    })?;
    if !asked.yes {
        context.print(&proposal(&name.to_string(), &straight, context.width))?;
        return Ok(Status::Done);
    }
    let mut book = context.open()?;
    let held =
        Source::Held { path: as_table(&asked.file), text: straight.text.into_bytes().into() };
    let (said, gone) = take_in(context, &mut book, &[held], None, &asked.answered.answers())?;
    context.print(&said)?;
    walk::forget::end_of(context, &book, &gone)?;
    Ok(Status::Done)
}

/// Whatever its name ends in, it is a table by now.
fn as_table(file: &Path) -> PathBuf {
    match file.extension().is_some_and(|end| end.eq_ignore_ascii_case("csv")) {
        true => file.to_owned(),
        false => PathBuf::from(format!("{}.csv", file.display())),
    }
}

fn text(asked: &Bring) -> Result<String, Failure> {
    let unread = |error| Failure::file("read", &asked.file, &error);
    let mut bytes = Vec::new();
    let file = File::open(&asked.file).map_err(unread)?;
    file.take(MOST + 1).read_to_end(&mut bytes).map_err(unread)?;
    let name = asked.file.display();
    if bytes.len() as u64 > MOST {
        return Err(Failure::wrong(format!("{name} is larger than 16 MB; bring it in parts")));
    }
    String::from_utf8(bytes)
        .map_err(|_| Failure::wrong(format!("{name} is not UTF-8 text; save it as CSV in UTF-8")))
}

fn proposal(name: &str, straight: &Straight, width: usize) -> String {
    let rows = format!("{name}: {} {}", straight.rows, noun_for(straight.rows, "row"));
    let mut said = paragraph(&rows, width, "");
    said.extend(straight.remarks.iter().map(|remark| paragraph(remark, width, "  - ")));
    said.extend(straight.shown.iter().map(|row| format!("    {row}\n")));
    said + &paragraph(receipt::ONLY_SHOWN, width, "")
}
