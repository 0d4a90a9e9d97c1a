//! `stintbook undo`: take back the last thing that this hand recorded.

use super::args::words;
use super::close::Tried;
use super::context::Context;
use super::failure::{Failure, Status};
use super::walk::forget::end_of;
use crate::book::Moment;
use crate::gate::{Undone, told};
use crate::records::HistoryLine;
use crate::report::effects_list;
use crate::report::layout::{hanging, paragraph};
use crate::report::receipt;

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  stintbook undo --by Ida --dry\n  stintbook undo --by Ida\n\n\
    Takes back all that Ida's last command recorded, and nothing of anyone else's; what it put \
    right or took back counts again as it did. Once more, and the command before it is taken back. \
    It all stays in the history. What came from files is not undone: `stintbook withdraw` takes \
    it back.")]
pub struct Undo {
    /// Whose last command.
    #[arg(long, value_name = "NAME", value_parser = words)]
    by: String,
    #[command(flatten)]
    tried: Tried,
}

pub fn run(context: &Context, asked: &Undo) -> Result<Status, Failure> {
    let mut book = context.open()?;
    let gate = context.gate()?;
    let scope = |moment: &Moment<'_>| Ok(gate.last_act(moment, &asked.by)?.scope());
    let decide = |moment: &Moment<'_>| {
        let act = gate.last_act(moment, &asked.by)?;
        // Trying it out needs no asking.
        Ok::<_, Failure>(gate.undone(
            moment,
            act,
            &asked.by,
            asked.tried.sure || asked.tried.dry,
        )?)
    };
    let done = gate.foresee(&mut book, asked.tried.dry, scope, decide)?;
    let Undone { taken_back, counts_again, gone } = &done.answer;
    let line = |text: String| hanging(&text, context.width, "  - ", "    ");
    let section = |heading: &str, lines: &[HistoryLine]| match lines {
        [] => String::new(),
        lines => {
            paragraph(heading, context.width, "")
                + &lines.iter().map(|of| line(told(of))).collect::<String>()
        }
    };
    let [back, again] = receipt::undone(asked.tried.dry);
    context.print(&(section(back, taken_back) + &section(again, counts_again)))?;
    context.print(&effects_list(&done.effects, asked.tried.dry, context.width))?;
    if !asked.tried.dry {
        end_of(context, &book, gone)?;
    }
    Ok(Status::Done)
}
