//! `stintbook walk forget`: the one thing in a book that can be deleted.

use crate::book::{Forgetting, Traces};
use crate::cli::args::words;
use crate::cli::context::Context;
use crate::cli::failure::{Failure, Status};
use crate::report::layout::paragraph;

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
        0 if traces.cleared == 0 && !traces.is_read => {
            let seen = seen(&asked.name, &traces);
            return Err(Failure::wrong(format!(
                "no party of any walk is called `{}`. {seen}",
                asked.name
            )));
        }
        0 => format!("No party is called `{}` any more.", asked.name),
        1 => "Forgotten: the name of 1 party. It keeps its number and its people.".to_owned(),
        n => format!("Forgotten: the name of {n} parties. They keep their numbers and people."),
    };
    if traces.is_read {
        return Err(held(&said, &format!("`stintbook walk forget \"{}\"`", asked.name)));
    }
    let said = format!("{said} {}", seen(&asked.name, &traces));
    context.print(&paragraph(&said, context.width, ""))?;
    Ok(Status::Done)
}

/// That the book no longer has a name, but its file may.
pub fn held(said: &str, again: &str) -> Failure {
    Failure::Storage(format!(
        "{said} It is gone from the book, but another program still reads old pages of the \
         file, and it may stand in them. Close that program, then run {again} again."
    ))
}

/// What a look at the file's bytes showed.
fn seen(name: &str, traces: &Traces) -> String {
    if let Some(why) = &traces.unseen {
        return format!("The file could not be looked at afterwards: {why}.");
    }
    let records: Vec<String> = traces
        .records
        .iter()
        .map(|(table, rows)| match rows {
            1 => format!("1 row of `{table}`"),
            rows => format!("{rows} rows of `{table}`"),
        })
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
