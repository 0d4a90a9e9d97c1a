//! The commands. Nothing else opens files, reads the clock, or prints.

mod args;
mod commands;
mod context;
mod failure;
mod file_name;
mod format;
mod measured;
mod numbers;
mod on_book;
mod one_site;
mod own_crops;
mod place;
mod progress;
mod reading;
mod recording;
mod typed;
#[cfg(not(all(feature = "bring", feature = "desk")))]
mod unbuilt;
mod unsettled;
mod writing;

// One file a command
#[cfg(feature = "desk")]
mod access;
mod backup;
mod blurred;
mod boxes;
#[cfg(feature = "bring")]
mod bring;
mod calendar;
mod check;
mod close;
mod copy;
mod correct;
mod crops;
mod cut;
#[cfg(feature = "bring")]
mod darwin_core;
mod demo;
mod digest;
mod drawing;
mod due;
mod export;
mod export_map;
mod field;
mod glance;
mod history;
mod load;
mod merge;
mod named;
mod new;
mod permit;
mod places_on_map;
mod pressure;
mod recovery;
mod redraw;
mod rehearse;
mod rehearse_plan;
mod report;
mod restore;
#[cfg(feature = "desk")]
mod serve;
mod shell;
mod signed;
mod split;
mod survey;
mod survey_advise;
mod survey_plan;
mod undo;
mod verify;
mod visit;
mod walk;
mod week;

use std::process::ExitCode;

use clap::CommandFactory;
use commands::{Arguments, Command};
use context::Context;
use failure::{Failure, Status};
#[cfg(not(feature = "desk"))]
use unbuilt::{access, serve};
#[cfg(not(feature = "bring"))]
use unbuilt::{bring, darwin_core};

use crate::records::{Unfit, escaped};

/// Runs the command line and says how it went: 0 done (`check`: may be cut), 1 `check` says
/// no or `verify` found something, 2 wrong use or bad input, 3 the book could not be read or
/// written.
pub fn run() -> ExitCode {
    if let Err(failure) = typed_plainly() {
        return failure.report();
    }
    let arguments = signed::arguments().unwrap_or_else(|error| error.exit());
    let context = Context::new(&arguments.book, arguments.catalogue.as_deref(), arguments.on);
    match dispatch(&context, arguments.command) {
        Ok(status) => status.into(),
        Err(failure) => failure.report(),
    }
}

/// # Errors
/// The first word of the command line with a letter that plain text does not have: it would be
/// recorded, or shown in a message.
fn typed_plainly() -> Result<(), Failure> {
    for (number, word) in std::env::args_os().enumerate().skip(1) {
        let word = word.to_string_lossy();
        if let Some(unfit) = Unfit::first_in(&word) {
            return Err(Failure::Wrong(format!(
                "word {number} of the command line, `{}`, has {unfit} in it\n  expected plain text \
                 on one line; type it anew without that character",
                escaped(&word, &[])
            )));
        }
    }
    Ok(())
}

fn dispatch(context: &Context, command: Command) -> Result<Status, Failure> {
    match command {
        Command::Demo(asked) => demo::run(context, &asked),
        Command::New(asked) => new::run(context, &asked),
        Command::Load(asked) => load::run(context, &asked),
        Command::Bring(asked) => bring::run(context, &asked),
        Command::Week(asked) => week::run(context, &asked),
        Command::Due(asked) => due::run(context, &asked),
        Command::Calendar(asked) => calendar::run(context, &asked),
        Command::Check(asked) => check::run(context, &asked),
        Command::Cut(asked) => cut::run(context, &asked),
        Command::Visit(made) => visit::run(context, &made),
        Command::Survey(asked) => survey::run(context, &asked),
        Command::Recovery(asked) => recovery::run(context, &asked),
        Command::Glance(asked) => glance::run(context, &asked),
        Command::Close(asked) => close::close(context, &asked),
        Command::Reopen(asked) => close::reopen(context, &asked),
        Command::Permit(asked) => permit::run(context, &asked),
        Command::Retire(asked) => redraw::retire(context, &asked),
        Command::Redraw(asked) => redraw::redraw(context, &asked),
        Command::Split(asked) => split::run(context, &asked),
        Command::Undo(asked) => undo::run(context, &asked),
        Command::Correct(asked) => correct::correct(context, &asked),
        Command::Withdraw(asked) => correct::withdraw(context, &asked),
        Command::History(asked) => history::run(context, &asked),
        Command::Walk(asked) => walk::run(context, &asked),
        Command::Box(asked) => boxes::run(context, &asked),
        Command::Pressure(asked) => pressure::run(context, &asked),
        Command::Report(asked) => report::run(context, &asked),
        Command::Rehearse(asked) => rehearse::run(context, &asked),
        Command::Crops(asked) => crops::run(context, &asked),
        Command::Field(asked) => field::run(context, &asked),
        Command::Export(asked) => export::run(context, &asked),
        Command::Merge(asked) => merge::run(context, &asked),
        Command::Access(asked) => access::run(context, &asked),
        Command::Serve(asked) => {
            serve::run(context, &asked, Box::new(on_book::OnBook::of(context)))
        }
        Command::Verify(asked) => verify::run(context, &asked),
        Command::Copy(asked) => copy::run(context, &asked),
        Command::Backup(asked) => backup::run(context, &asked),
        Command::Completions(asked) => shell::completions(context, &asked, Arguments::command()),
        Command::Man(asked) => shell::man(context, &asked, Arguments::command()),
        Command::Restore(asked) => restore::run(context, &asked),
    }
}
