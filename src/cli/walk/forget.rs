//! `stintbook walk forget`: the one thing in a book that can be deleted.

use crate::book::{Book, Forgetting, Traces, is_on_a_server};
use crate::cli::args::words;
use crate::cli::context::Context;
use crate::cli::failure::{Failure, Status};
use crate::report::layout::paragraph;
use crate::report::receipt::{self, NameOnFile};

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
            let seen = seen(context, &asked.name, &traces);
            return Err(Failure::wrong(format!(
                "no party of any walk is called `{}`. {seen}",
                asked.name
            )));
        }
        n => receipt::forgotten(&asked.name, n),
    };
    let again = format!("`stintbook walk forget \"{}\"`", asked.name);
    if let Some(held) = held(&said, &traces, &again) {
        return Err(held);
    }
    let said =
        format!("{said} {}{}", seen(context, &asked.name, &traces), not_vouched_for(context));
    context.print(&paragraph(&said, context.width, ""))?;
    Ok(Status::Done)
}

/// What stays to be said where the book is not on this machine alone.
fn not_vouched_for(context: &Context) -> String {
    match is_on_a_server(&context.book) {
        true => format!(" {}", receipt::NOT_VOUCHED_FOR),
        false => String::new(),
    }
}

/// How a command ends that deleted names beside what else it did.
pub fn end(context: &Context, said: &str, traces: &Traces) -> Result<(), Failure> {
    none_left(said, traces)?;
    context.print(&paragraph(said, context.width, ""))
}

/// # Errors
/// That the book no longer has the names, but its file may.
pub fn none_left(said: &str, traces: &Traces) -> Result<(), Failure> {
    held(said, traces, "`stintbook walk forget` with each such name").map_or(Ok(()), Err)
}

/// The same of a command that has said all else already: clears the names away that went with
/// what it recorded.
pub fn end_of(context: &Context, book: &Book, gone: &[String]) -> Result<(), Failure> {
    if gone.is_empty() {
        return Ok(());
    }
    end(context, &receipt::nobody_bears_them(gone.len()), &book.clear_away(gone))
}

/// That the book no longer has a name, but its file may.
fn held(said: &str, traces: &Traces, again: &str) -> Option<Failure> {
    let Traces { is_read, unseen, .. } = traces;
    let may_stand = *is_read || unseen.is_some();
    may_stand.then(|| Failure::Storage(receipt::held_back(said, unseen.as_deref(), again)))
}

fn seen(context: &Context, name: &str, traces: &Traces) -> String {
    let rows = traces.records.iter().map(|(table, rows)| (&**table, *rows)).collect();
    receipt::seen_on_file(&NameOnFile {
        name,
        is_copy: is_on_a_server(&context.book),
        left: traces.left,
        rows,
    })
}
