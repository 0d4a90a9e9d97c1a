//! `stintbook bring`: tables of any make, shown as they are read, asked about where they are
//! unclear, and recorded where that is wished.

mod asked;
mod keyboard;
mod map_asked;
mod mappings;
mod maps;
mod tables;
mod unread;

use super::context::Context;
use super::failure::{Failure, Status};
use super::load::take_in;
use super::reading::Source;
use super::walk;
use crate::bring::{Answers, Question};
use crate::desk::Asked;
use crate::report::layout::paragraph;
use crate::report::{bringing_form, bringing_refused, bringing_why, receipt};
pub use asked::Bring;
use mappings::Mappings;
use tables::{OfSheet, Proposals, Tables};

pub fn run(context: &Context, asked: &Bring) -> Result<Status, Failure> {
    if let Some(done) = maps::run(context, asked)? {
        return Ok(done);
    }
    let mappings = Mappings::of(context)?;
    let tables = Tables::open(context, asked, &mappings)?;
    let mut answers = asked.answers()?;
    let is_at_keyboard = keyboard::is_there(context);
    let mut proposals = tables.propose(context, asked, &answers)?;
    for reply in &asked.replies {
        let Some(question) = proposals.answerable() else { break };
        if !question.ask.hear(reply, &mut answers) {
            context.asks(by_form(&question));
            return Err(Failure::Wrong(format!("`{reply}` is no answer to that")));
        }
        proposals = tables.propose(context, asked, &answers)?;
    }
    let next = proposals.answerable().or_else(|| proposals.questions().next().cloned());
    if let Some(question) = next {
        context.asks(by_form(&question));
    }
    if is_at_keyboard && !asked.yes {
        if proposals.answerable().is_some() {
            context.print(&asked.format.of(&proposals.document(context), context.width))?;
        }
        while let Some(question) = proposals.answerable() {
            let mut heard = answers.clone();
            keyboard::answer(context, &question, &mut heard)?;
            match tables.propose(context, asked, &heard) {
                Ok(next) if !next.questions().eq(proposals.questions()) => {
                    (answers, proposals) = (heard, next);
                }
                Ok(_) => context.print(&format!("{}\n", receipt::NO_ANSWER))?,
                Err(Failure::Wrong(why)) => context.print(&format!("{why}\n"))?,
                Err(failure) => return Err(failure),
            }
        }
    }
    let is_clear = proposals.questions().next().is_none();
    if !asked.yes {
        context.print(&asked.format.of(&proposals.document(context), context.width))?;
        if !is_at_keyboard || !is_clear || !keyboard::is_wished(context)? {
            return Ok(Status::Done);
        }
    } else if !is_clear {
        return Err(Failure::Wrong(bringing_refused(&proposals.shown(context))));
    }
    record(context, asked, &mappings, &proposals)
}

fn by_form(question: &Question) -> Asked {
    let (said, replies, typed) = bringing_form(question);
    Asked { said, replies, typed }
}

/// Records what can be read, gives back what cannot, and keeps what was answered.
fn record(
    context: &Context,
    asked: &Bring,
    mappings: &Mappings,
    proposals: &Proposals<'_>,
) -> Result<Status, Failure> {
    let held = |of_sheet: &&OfSheet<'_>| !of_sheet.proposal.text.is_empty();
    let sources: Vec<Source> = proposals
        .of_sheets
        .iter()
        .filter(held)
        .map(|of_sheet| Source::Held {
            path: of_sheet.name.clone().into(),
            text: of_sheet.proposal.text.text().into_bytes().into(),
        })
        .collect();
    if sources.is_empty() {
        return Err(Failure::Wrong(bringing_refused(&proposals.shown(context))));
    }
    let mut book = context.open()?;
    let (said, gone) = take_in(context, &mut book, &sources, None, &asked.answered.answers())?;
    context.print(&said)?;
    for of_sheet in &proposals.of_sheets {
        if let Some(unread) = of_sheet.proposal.unread(bringing_why) {
            let path =
                unread::written(context, of_sheet.file, &of_sheet.proposal.sheet.name, &unread)?;
            let said = receipt::come_back(of_sheet.proposal.held.len(), &path);
            context.print(&paragraph(&said, context.width, ""))?;
        }
        let is_worth_keeping =
            of_sheet.answers != Answers::default() || !of_sheet.proposal.held.is_empty();
        if is_worth_keeping
            && let Some(path) = mappings.keep(&of_sheet.proposal.kept(&of_sheet.answers))?
        {
            let said = receipt::answers_kept(&path);
            context.print(&paragraph(&said, context.width, ""))?;
        }
    }
    walk::forget::end_of(context, &book, &gone)?;
    Ok(Status::Done)
}
