//! `stintbook walk forget`: the one thing in a book that can be deleted.

use crate::book::{Book, Forgetting, Traces};
use crate::cli::args::words;
use crate::cli::context::Context;
use crate::cli::failure::{Failure, Status};
use crate::report::layout::paragraph;
use crate::units::{agreeing, counted, noun_for};

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  stintbook walk forget Ann\n\n\
    The name is taken out of the book's file, which is looked at afterwards. How many people \
    came stays, under the number of their party. A mark without the name stays too, so that a \
    backup made before does not bring it back when it is restored.")]
pub struct Forgotten {
    /// What a party is called.
    #[arg(value_parser = words)]
    name: String,
}

pub fn run(context: &Context, asked: &Forgotten) -> Result<Status, Failure> {
    let mut book = context.open()?;
    let Forgetting { parties, traces } = book.forget(&asked.name, context.today)?;
    let said = match parties {
        // Old pages of an earlier attempt may have been in the way of it.
        0 if traces.cleared == 0 && !traces.is_read && traces.unseen.is_none() => {
            let seen = seen(&asked.name, &traces);
            return Err(Failure::wrong(format!(
                "no party of any walk is called `{}`. {seen}",
                asked.name
            )));
        }
        0 => format!("No party is called `{}` any more.", asked.name),
        n => format!(
            "Forgotten: the name of {}. {} and people.",
            counted(n, "party"),
            agreeing(n, "It keeps its number", "They keep their numbers")
        ),
    };
    let again = format!("`stintbook walk forget \"{}\"`", asked.name);
    if let Some(held) = held(&said, &traces, &again) {
        return Err(held);
    }
    let said = format!("{said} {}", seen(&asked.name, &traces));
    context.print(&paragraph(&said, context.width, ""))?;
    Ok(Status::Done)
}

/// How a command ends that deleted names beside what else it did.
pub fn end(context: &Context, said: &str, traces: &Traces) -> Result<(), Failure> {
    if let Some(held) = held(said, traces, "`stintbook walk forget` with each such name") {
        return Err(held);
    }
    context.print(&paragraph(said, context.width, ""))
}

/// The same of a command that has said all else already: clears the names away that went with
/// what it recorded.
pub fn end_of(context: &Context, book: &Book, gone: &[String]) -> Result<(), Failure> {
    if gone.is_empty() {
        return Ok(());
    }
    let said = format!("{}, since nobody of the walk bears them now.", names_deleted(gone.len()));
    end(context, &said, &book.clear_away(gone))
}

/// `The names of 3 parties are deleted`, which more may follow.
pub fn names_deleted(parties: usize) -> String {
    format!(
        "The {} of {} {} deleted",
        noun_for(parties, "name"),
        counted(parties, "party"),
        agreeing(parties, "is", "are")
    )
}

/// That the book no longer has a name, but its file may.
fn held(said: &str, traces: &Traces, again: &str) -> Option<Failure> {
    let Traces { is_read, unseen, .. } = traces;
    let why = match unseen {
        None if !is_read => return None,
        None => "but another program still reads old pages of the file, and it may stand in \
             them. Close that program, then"
            .to_owned(),
        Some(why) => format!(
            "but the file could not be looked through afterwards, and it may stand in it: {why}. \
             Once that is mended,"
        ),
    };
    Some(Failure::Storage(format!("{said} It is gone from the book, {why} run {again} again.")))
}

/// What a look at the file's bytes showed.
fn seen(name: &str, traces: &Traces) -> String {
    let records: Vec<String> = traces
        .records
        .iter()
        .map(|(table, rows)| format!("{} of `{table}`", counted(*rows, "row")))
        .collect();
    match (traces.left, records.as_slice()) {
        (0, _) => "The file was looked through afterwards; the name is not in it.".to_owned(),
        (left, []) => format!(
            "The file was written anew and looked through. The bytes of `{name}` stand in it \
             {}, in no text of any record: by chance, as short names do.",
            times(left)
        ),
        (left, records) => format!(
            "The file was written anew and looked through. The letters `{name}` still stand in \
             it {}, in {}: facts or other names that have them too, which are kept.",
            times(left),
            records.join(", ")
        ),
    }
}

fn times(n: usize) -> String {
    if n == 1 { "once".to_owned() } else { format!("{n} times") }
}
