//! Files into sheets, and sheets into proposals.

use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};

use super::asked::Bring;
use super::mappings::Mappings;
use crate::book::Scope;
use crate::bring::{
    Answers, Ask, BLURRED, Cell, Lore, MOST_BYTES, Proposal, Question, Sheet, is_blurred, propose,
    sheets,
};
use crate::cli::context::Context;
use crate::cli::failure::Failure;
use crate::cli::progress::Progress;
use crate::cli::signed::known_beside;
use crate::gate::{Places, Surroundings};
use crate::records::folded;
use crate::report::page::Document;
use crate::report::{Brought, bringing};

/// From so many bytes, or rows, on it takes a while.
const LARGE: u64 = 1 << 20;
const MANY: usize = 20_000;

/// The files of one command.
#[derive(Debug)]
pub struct Tables {
    sheets: Vec<Opened>,
    /// Sheets that nobody asked for and that are no tables.
    left_out: Vec<String>,
}

/// A sheet, with what its table is called.
#[derive(Debug)]
struct Opened {
    file: PathBuf,
    sheet: Sheet,
    /// What its shape was answered before.
    kept: Option<Answers>,
}

/// What is proposed for all sheets.
pub struct Proposals<'t> {
    pub of_sheets: Vec<OfSheet<'t>>,
    left_out: &'t [String],
}

pub struct OfSheet<'t> {
    pub file: &'t Path,
    /// The name by which the book knows its facts again.
    pub name: String,
    pub proposal: Proposal<'t>,
    pub answers: Answers,
    pub is_kept: bool,
}

impl Tables {
    /// # Errors
    /// A file that is no table, or has no sheet that was asked for.
    pub fn open(context: &Context, asked: &Bring, mappings: &Mappings) -> Result<Self, Failure> {
        let mut tables = Self { sheets: Vec::new(), left_out: Vec::new() };
        let progress = Progress::of(asked.files.len() as u64, "opening");
        let bytes_of = |file: &PathBuf| fs::metadata(file).map_or(0, |about| about.len());
        let progress = progress.if_long(asked.files.iter().map(bytes_of).sum::<u64>() > LARGE);
        for file in &asked.files {
            let name = file.display();
            let opened = sheets(&bytes(context, file)?)
                .map_err(|why| Failure::wrong(format!("{name}: {why}")))?;
            let wanted = |sheet: &Sheet| {
                asked.sheets.iter().any(|wanted| folded(wanted) == folded(&sheet.name))
            };
            if !asked.sheets.is_empty() && !opened.iter().any(wanted) {
                let names: Vec<String> =
                    opened.iter().map(|sheet| format!("`{}`", sheet.name)).collect();
                return Err(Failure::Wrong(format!(
                    "{name} has no sheet `{}`; it has {}",
                    asked.sheets.join("`, `"),
                    names.join(", ")
                )));
            }
            for sheet in opened {
                let head = sheet.rows.first().map(|row| row.cells.iter());
                let head: Vec<String> = head.into_iter().flatten().map(Cell::to_string).collect();
                if is_blurred(&head) {
                    return Err(Failure::Wrong(format!("{name}: {BLURRED}")));
                }
                let is_left = if asked.sheets.is_empty() {
                    sheet.is_hidden || sheet.rows.is_empty()
                } else {
                    !wanted(&sheet)
                };
                let kept = mappings.for_sheet(&sheet).cloned();
                if is_left {
                    tables.left_out.push(sheet.name);
                } else {
                    tables.sheets.push(Opened { file: file.clone(), sheet, kept });
                }
            }
            progress.step();
        }
        progress.finish();
        Ok(tables)
    }

    /// # Errors
    /// That no sheet has a header, or what no row is to blame for.
    pub fn propose(
        &self,
        context: &Context,
        asked: &Bring,
        answers: &Answers,
    ) -> Result<Proposals<'_>, Failure> {
        let book = context.open_to_read()?;
        let catalogue = context.catalogue()?;
        let mut places = Places::named(book.directory()?);
        let names = places.names.clone();
        let lore = Lore::new(&names, catalogue);
        let known = || known_beside(&context.book).and_then(|name| name.into_string().ok());
        let by = asked.account.clone().or_else(known);
        let rows: usize = self.sheets.iter().map(|opened| opened.sheet.rows.len()).sum();
        let progress = Progress::of(2 * self.sheets.len() as u64, "reading").if_long(rows > MANY);
        let mut of_sheets: Vec<OfSheet> = Vec::new();
        let mut left_out = None;
        for opened in &self.sheets {
            let found = opened.propose(answers, by.as_deref(), &lore);
            progress.step();
            match found {
                Some(found) => of_sheets.push(found),
                None => _ = left_out.get_or_insert(&opened.file),
            }
        }
        if let (true, Some(file)) = (of_sheets.is_empty(), left_out) {
            return Err(Failure::Wrong(format!(
                "{}: no row is a header that tells what its columns are; name them as \
                 sites/files.md does, like `patch`, `date`, `by`, or say --column 'Their header=patch'",
                file.display()
            )));
        }
        if of_sheets.iter().any(|of_sheet| of_sheet.proposal.has_positions()) {
            places = Places::of(book.directory()?, book.ledger(&Scope::All, None)?);
        }
        let surroundings = Surroundings::of(&places, catalogue);
        let last = context.on.max(context.today);
        for of_sheet in &mut of_sheets {
            of_sheet.proposal.sift(&of_sheet.name, last, surroundings.known())?;
            progress.step();
        }
        progress.finish();
        Ok(Proposals { of_sheets, left_out: &self.left_out })
    }
}

impl Opened {
    fn propose(&self, answers: &Answers, by: Option<&str>, lore: &Lore<'_>) -> Option<OfSheet<'_>> {
        let file = self.file.file_name().unwrap_or_default().to_string_lossy();
        let answers = match &self.kept {
            Some(kept) => answers.clone().over(kept),
            None => answers.clone(),
        };
        let names = [self.sheet.name.as_str(), &file];
        let mut proposal = propose(&self.sheet, &names, &answers, lore)?;
        // Whoever writes is known, unless the table says who it was.
        let lacks_by = |question: &Question| question.ask == Ask::Field("by");
        if let Some(by) = by
            && proposal.questions.iter().any(lacks_by)
        {
            let mut signed = answers.clone();
            signed.set.insert("by".to_owned(), by.to_owned());
            proposal = propose(&self.sheet, &names, &signed, lore)?;
        }
        let (file, is_kept) = (self.file.as_path(), self.kept.is_some());
        Some(OfSheet { file, name: self.name(), proposal, answers, is_kept })
    }

    /// Whatever its name ends in, it is a table by now.
    fn name(&self) -> String {
        let file = self.file.display().to_string();
        let is_csv = self.file.extension().is_some_and(|end| end.eq_ignore_ascii_case("csv"));
        match self.sheet.name.as_str() {
            "" if is_csv => file,
            "" => format!("{file}.csv"),
            sheet => format!("{file}, {sheet}.csv"),
        }
    }
}

impl Proposals<'_> {
    pub fn questions(&self) -> impl Iterator<Item = &Question> {
        self.of_sheets.iter().flat_map(|of_sheet| &of_sheet.proposal.questions)
    }

    /// The first that a reply can settle.
    pub fn answerable(&self) -> Option<Question> {
        self.questions().find(|question| question.ask.has_an_answer()).cloned()
    }

    pub fn shown(&self, context: &Context) -> Vec<Brought<'_>> {
        self.of_sheets
            .iter()
            .map(|of_sheet| Brought {
                name: &of_sheet.name,
                proposal: &of_sheet.proposal,
                is_kept: of_sheet.is_kept,
                is_typed: !context.is_kept(),
            })
            .collect()
    }

    pub fn document(&self, context: &Context) -> Document {
        bringing(&self.shown(context), self.left_out)
    }
}

/// All of a file, or more of it than may be brought.
///
/// # Errors
/// A file that cannot be read.
pub fn bytes(context: &Context, file: &Path) -> Result<Vec<u8>, Failure> {
    let unread = |error| Failure::file("read", file, &error);
    let mut bytes = Vec::new();
    context
        .opened(file)
        .map_err(unread)?
        .take(MOST_BYTES + 1)
        .read_to_end(&mut bytes)
        .map_err(unread)?;
    Ok(bytes)
}
