//! `stintbook history`: what was recorded, and what became of it.

use super::context::Context;
use super::failure::{Failure, Status};
use super::named;
use crate::book::{HistoryLine, Scope};
use crate::records::Replacement;
use crate::report::layout::{hanging, paragraph};
use crate::report::receipt;

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
}

pub fn run(context: &Context, asked: &History) -> Result<Status, Failure> {
    let book = context.open_to_read()?;
    let scope = match (&asked.patch, &asked.site) {
        (Some(patch), _) => Scope::Patch(named::patch(&book, patch)?.name),
        (None, Some(site)) => Scope::Site(named::site(&book, site)?),
        (None, None) => Scope::All,
    };
    let lines = book.history(&scope)?;
    if lines.is_empty() {
        context.print(&paragraph(receipt::NOTHING_YET, context.width, ""))?;
    }
    let text: String =
        lines.iter().map(|line| hanging(&fact_line(line), context.width, "", "    ")).collect();
    context.print(&text)?;
    Ok(Status::Done)
}

/// `9f3a01c7  2027-03-14  cut by Ida: 650 g …`, and what took its place.
pub fn fact_line(line: &HistoryLine) -> String {
    let fact = &line.fact;
    let late = if fact.recorded_on == fact.happened_on {
        String::new()
    } else {
        format!(" (written down {})", fact.recorded_on)
    };
    let fate = match &line.correction {
        None => match line.beaten_by {
            None => String::new(),
            Some(other) => format!(
                "; DOES NOT COUNT: put right in two ways, and {} stands until that is settled",
                other.short()
            ),
        },
        Some(correction) => {
            let what = match correction.replacement {
                Replacement::By(id) => format!("replaced by {}", id.short()),
                Replacement::Withdrawn => "withdrawn".to_owned(),
            };
            let (on, by, why) = (correction.recorded_on, &correction.by, &correction.why);
            format!("; NO LONGER COUNTS: {what} on {on} by {by}: {why}")
        }
    };
    format!(
        "{}  {}  {} by {}: {}{late}{fate}",
        fact.id.short(),
        fact.happened_on,
        fact.record.kind().name(),
        fact.by,
        fact.record.gist()
    )
}
