//! `stintbook load`: take files in, whole or not at all.

use std::path::PathBuf;
use std::sync::Arc;

use super::args::words;
use super::context::Context;
use super::failure::{Failure, Status};
use super::reading::{Source, apart, marks, names, read_maps, read_tables};
use super::recording::Answered;
use super::walk;
use crate::book::Book;
use crate::gate::{Admitted, Answers, Delivery, NewCutRuled, Sorted};
use crate::intake::loadable;
use crate::records::Kind;
use crate::report::layout::{hanging, paragraph};
use crate::report::receipt;
use crate::units::noun_for;

/// Cuts over their limit that are told one by one.
const MOST_OVER: usize = 10;

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  stintbook load sites/*.geojson sites/*.csv\n  \
    stintbook load sites/cuts.csv --replace --why \"misread scales\"\n\n\
    Nothing is recorded unless everything can be. Loading a file again adds nothing; where \
    it says otherwise than the book, the changes are shown and --replace records them as \
    corrections. A row with an id in its column `fact`, as `export` writes them, is that fact; \
    one without is known again by the file it came from.")]
pub struct Load {
    #[arg(required = true, help = loadable())]
    files: Vec<PathBuf>,
    /// Record what a changed file says as corrections.
    #[arg(long)]
    replace: bool,
    /// Why the book was wrong, kept with each correction.
    #[arg(
        long,
        requires = "replace",
        default_value = "the file was changed",
        value_parser = words
    )]
    why: String,
    /// What the file was called when it was loaded before, if it has been renamed since.
    #[arg(long, value_name = "FILE", value_parser = words)]
    formerly: Option<String>,
    #[command(flatten)]
    answered: Answered,
}

pub fn run(context: &Context, asked: &Load) -> Result<Status, Failure> {
    let mut book = context.open()?;
    let sources: Vec<Source> =
        asked.files.iter().map(|path| context.source(path)).collect::<Result<_, _>>()?;
    if asked.formerly.is_some() && sources.len() > 1 {
        return Err(Failure::wrong("--formerly tells of one file; load it by itself"));
    }
    let replace = asked.replace.then_some(&*asked.why);
    let answers = Answers { replace, ..asked.answered.answers() };
    let formerly = asked.formerly.as_deref();
    let (said, gone) = take_in(context, &mut book, &sources, formerly, &answers)?;
    context.print(&said)?;
    walk::forget::end_of(context, &book, &gone)?;
    Ok(Status::Done)
}

/// Records what the files hold beyond what the book has. Gives what there is to say of it, and
/// the names of parties that were deleted with it.
pub fn take_in(
    context: &Context,
    book: &mut Book,
    sources: &[Source],
    formerly: Option<&str>,
    answers: &Answers,
) -> Result<(String, Vec<String>), Failure> {
    let gate = context.gate()?;
    let sources: Vec<Source> = sources.iter().map(Source::held).collect::<Result<_, _>>()?;
    let (maps, tables) = apart(&sources)?;
    if formerly.is_none()
        && book.has_recognised(&names(&maps, &tables))?
        && let Some(marks) = marks(&maps, &tables)
        && let Some(known) = gate.known_again(book, &marks)?
    {
        return Ok((said(&known, context.width), known.gone));
    }
    let called_before = |mut deliveries: Vec<Delivery>| {
        for delivery in &mut deliveries {
            delivery.formerly = formerly.map(Arc::from);
            // Under the new name alone nothing of it is known.
            delivery.digest = delivery.digest.filter(|_| formerly.is_none());
        }
        deliveries
    };
    let admitted = gate.admit_files(
        book,
        answers,
        |places| Ok(called_before(read_maps(&maps, places, gate.catalogue)?)),
        |places| Ok(called_before(read_tables(&tables, places, gate.catalogue)?)),
    )?;
    Ok((said(&admitted, context.width), admitted.gone))
}

fn said(admitted: &Admitted, width: usize) -> String {
    let Admitted { sorted, cuts, more_over, .. } = admitted;
    let mut text: String = sorted.iter().map(|sorted| summary(sorted, width)).collect();
    text.extend(sorted.iter().map(|sorted| changes_of(sorted, width)));
    let over: Vec<&NewCutRuled> = cuts.iter().filter(|cut| cut.is_over()).collect();
    if !over.is_empty() {
        text += &paragraph(receipt::NOT_WITHIN, width, "");
    }
    text.extend(over.iter().take(MOST_OVER).map(|cut| {
        let (was_cut, charged) = ((cut.day, cut.amount), (&cut.ruling, cut.was_said));
        let line = receipt::cut_charged(&cut.patch, &cut.crop, was_cut, charged);
        hanging(&line, width, "  - ", "    ")
    }));
    if let more @ 1.. = over.len().saturating_sub(MOST_OVER) + more_over {
        text += &paragraph(&format!("and {more} more"), width, "  - ");
    }
    text
}

fn summary(sorted: &Sorted, width: usize) -> String {
    let (file, remarks) = (sorted.file.as_deref().unwrap_or_default(), &sorted.remarks);
    let mut parts: Vec<String> = Kind::ALL
        .into_iter()
        .filter_map(|kind| {
            let n = sorted.new.iter().filter(|new| **new == kind).count();
            (n > 0).then(|| kind.counted(n))
        })
        .collect();
    let mut add = |n: usize, text: &str| {
        if n > 0 {
            parts.push(format!("{n} {text}"));
        }
    };
    add(sorted.told, &noun_for(sorted.told, "correction"));
    add(sorted.known, "known already");
    add(sorted.corrected_since, "corrected or withdrawn since, left as they are");
    add(sorted.changed.len(), "changed");
    let remarked: String =
        remarks.iter().map(|remark| hanging(remark, width, "  - ", "    ")).collect();
    let what = match (parts.as_slice(), remarks.as_slice()) {
        ([], [only]) => return paragraph(&format!("{file}: {only}"), width, ""),
        ([], _) => "nothing in it".to_owned(),
        _ if sorted.new.is_empty() && sorted.changed.is_empty() && sorted.told == 0 => {
            format!("nothing new; {}", parts.join(", "))
        }
        (parts, _) => parts.join(", "),
    };
    paragraph(&format!("{file}: {what}"), width, "") + &remarked
}

fn changes_of(sorted: &Sorted, width: usize) -> String {
    let lines =
        sorted.changed.iter().map(|change| hanging(&change.to_string(), width, "  - ", "    "));
    lines.collect()
}
