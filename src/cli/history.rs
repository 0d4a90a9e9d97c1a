//! `stintbook history`: what was recorded, and what became of it.

use super::context::Context;
use super::failure::{Failure, Status};
use super::format::Format;
use super::named;
use crate::book::Scope;
use crate::report::{history_csv, history_document, history_json};

#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  stintbook history \"mill bank\"\n  stintbook history --site shore"
)]
pub struct History {
    /// A patch: its name, site/name, or short id. Without it, everything.
    #[arg(conflicts_with = "site")]
    patch: Option<String>,
    /// A site with all its patches.
    #[arg(long)]
    site: Option<String>,
    /// How to answer.
    #[arg(long, default_value = Format::TABLE, value_parser = Format::among(&[Format::Table, Format::Html, Format::Md, Format::Csv, Format::Json]))]
    format: Format,
}

pub fn run(context: &Context, asked: &History) -> Result<Status, Failure> {
    let book = context.open_to_read()?;
    let (scope, of) = match (&asked.patch, &asked.site) {
        (Some(patch), _) => {
            let name = named::patch(&book, patch)?.name;
            (Scope::Patch(name.clone()), Some(name.to_string()))
        }
        (None, Some(site)) => {
            let name = named::site(&book, site)?;
            (Scope::Site(name.clone()), Some(name.to_string()))
        }
        (None, None) => (Scope::All, None),
    };
    let lines = book.history(&scope)?;
    context.print(&match asked.format {
        Format::Json => history_json(&lines),
        Format::Csv => history_csv(&lines).map_err(Failure::wrong)?,
        format => context.laid_out(format, &history_document(of.as_deref(), &lines)),
    })?;
    Ok(Status::Done)
}
