//! How tables are read, before anything of them is recorded: a section a sheet.

use super::bringing_words::{kind_said, question, remarks, role, unclear, why};
use super::page::{Block, Cell, Column, Document, Section, Table};
use super::receipt;
use crate::bring::{How, Proposal, Role};
use crate::units::{counted, listed, noun_for};

/// Rows that come back and are told one by one.
const MOST_TOLD: usize = 5;
/// Sheets that are named.
const MOST_NAMED: usize = 8;

/// A sheet that was brought.
#[derive(Clone, Copy, Debug)]
pub struct Brought<'a> {
    /// The file, and the sheet where it has several.
    pub name: &'a str,
    /// What it is taken for, and what is unclear.
    pub proposal: &'a Proposal<'a>,
    /// Read by answers that were kept.
    pub is_kept: bool,
    /// Whether answers are typed on a command line; else whoever shows it asks by a form.
    pub is_typed: bool,
}

/// All that is proposed; `left_out` are sheets that nobody asked for.
pub fn bringing(all: &[Brought<'_>], left_out: &[String]) -> Document {
    let is_typed = all.iter().all(|brought| brought.is_typed);
    let mut sections: Vec<Section> = all.iter().flat_map(of_sheet).collect();
    if !left_out.is_empty() {
        sections.push(Section::said(sheets_left_out(left_out, is_typed)));
    }
    let is_clear = all.iter().all(|brought| brought.proposal.questions.is_empty());
    let end = if is_clear { receipt::ONLY_SHOWN } else { receipt::UNCLEAR };
    sections.push(Section::said(if is_typed { end } else { receipt::NOT_YET }.to_owned()));
    Document {
        title: format!("{}, as they are read", counted(all.len(), "table")),
        kind: "Tables",
        lead: String::new(),
        sections,
        foot: Vec::new(),
    }
}

/// Why nothing of it is recorded: what is unclear, else why no row can be read.
pub fn bringing_refused(all: &[Brought<'_>]) -> String {
    let of_one = |brought: &Brought<'_>| {
        let Brought { name, proposal, .. } = brought;
        let asked = proposal.questions.iter().map(question);
        let held = proposal
            .held
            .iter()
            .take(MOST_TOLD)
            .map(|(line, held)| format!("line {line}: {}", why(held)));
        let is_unclear = !proposal.questions.is_empty();
        let told: Vec<String> = if is_unclear { asked.collect() } else { held.collect() };
        let told = told.iter().map(|text| format!("\n  - {text}")).collect::<String>();
        match (is_unclear, told.is_empty()) {
            (_, true) => format!("{name}: no row of it says anything"),
            (true, _) => format!("{name}: some of it is unclear{told}"),
            (false, _) => format!("{name}: no row of it can be read{told}"),
        }
    };
    let unclear = all.iter().filter(|brought| !brought.proposal.questions.is_empty());
    let mut said: Vec<String> = unclear.map(of_one).collect();
    if said.is_empty() {
        said = all.iter().map(of_one).collect();
    }
    format!("{}\n  (nothing was recorded)", said.join("\n"))
}

/// Why a row comes back, in its own cell.
pub fn bringing_why(held: &crate::bring::Held) -> String {
    why(held)
}

/// A question as it is asked at the keyboard.
pub fn bringing_prompt(asked: &crate::bring::Question) -> String {
    super::bringing_words::prompt(asked)
}

/// Replies to it that may be given by their number, the first by 1.
pub fn bringing_numbered(asked: &crate::bring::Question) -> Vec<String> {
    super::bringing_words::numbered(asked)
}

/// The same for a form: the question, replies that are understood with what each says, and what
/// else may be typed.
pub fn bringing_form(
    asked: &crate::bring::Question,
) -> (String, Vec<(String, String)>, Option<String>) {
    super::bringing_words::form(asked)
}

fn sheets_left_out(names: &[String], is_typed: bool) -> String {
    let mut shown: Vec<String> =
        names.iter().take(MOST_NAMED).map(|name| format!("`{name}`")).collect();
    if let more @ 1.. = names.len().saturating_sub(MOST_NAMED) {
        shown.push(format!("{more} more"));
    }
    let way_out = if is_typed { "; --sheet names those that are wanted" } else { "" };
    format!(
        "Left out: the {} {}, empty, hidden or not asked for{way_out}.",
        noun_for(names.len(), "sheet"),
        listed(&shown)
    )
}

fn of_sheet(brought: &Brought<'_>) -> Vec<Section> {
    let Brought { name, proposal, is_kept, is_typed } = brought;
    let rows = counted(proposal.rows, "row");
    let mut blocks = vec![Block::Paragraph(format!("{rows}, {}", kind_said(proposal, *is_kept)))];
    blocks.extend(columns(proposal).map(Block::Table));
    let said = remarks(proposal, *is_typed);
    if !said.is_empty() {
        blocks.push(Block::List(said));
    }
    blocks.extend(first_rows(proposal).map(Block::Table));
    blocks.extend(come_back(proposal));
    let asked = |it| if *is_typed { question(it) } else { unclear(it) };
    if !proposal.questions.is_empty() {
        blocks.push(Block::Paragraph("Unclear:".to_owned()));
        blocks.push(Block::Steps(proposal.questions.iter().map(asked).collect()));
    }
    vec![Section { id: "table", heading: (*name).to_owned(), blocks }]
}

fn columns(proposal: &Proposal<'_>) -> Option<Table> {
    let used = proposal.columns.iter().filter(|one| one.role != Role::LeftOut);
    let row = |one: &crate::bring::Matched| {
        let how = match one.how {
            How::Named => "",
            How::Word => "by its word",
            How::Told => "as you said",
        };
        [one.header.clone(), role(one.role), how.to_owned()].map(Cell::of).to_vec()
    };
    let constants = proposal.constants.iter().map(|(field, value)| {
        ["all rows".to_owned(), field.clone(), format!("is {value}")].map(Cell::of).to_vec()
    });
    let rows: Vec<_> = used.map(row).chain(constants).collect();
    let columns = vec![Column::name("column"), Column::words("is"), Column::words("known")];
    (!rows.is_empty()).then(|| Table { caption: "Its columns".to_owned(), columns, rows })
}

/// The first rows as they would be recorded, without columns that they leave empty.
fn first_rows(proposal: &Proposal<'_>) -> Option<Table> {
    let (names, rows) = proposal.shown.split_first()?;
    let filled: Vec<usize> =
        (0..names.len()).filter(|at| rows.iter().any(|row| !row[*at].is_empty())).collect();
    let columns = filled.iter().map(|at| Column::headed(names[*at].clone())).collect();
    let cells = |row: &Vec<String>| filled.iter().map(|at| Cell::of(row[*at].clone())).collect();
    let rows: Vec<Vec<Cell>> = rows.iter().map(cells).collect();
    let caption = "The first rows as they would be recorded".to_owned();
    (!rows.is_empty() && !filled.is_empty()).then_some(Table { caption, columns, rows })
}

fn come_back(proposal: &Proposal<'_>) -> Option<Block> {
    let held = &proposal.held;
    let first = held.iter().take(MOST_TOLD);
    let mut told: Vec<String> =
        first.map(|(line, held)| format!("line {line}: {}", why(held))).collect();
    if let more @ 1.. = held.len().saturating_sub(MOST_TOLD) {
        told.push(format!("and {more} more"));
    }
    let said = format!("{} cannot be read and would come back:", counted(held.len(), "row"));
    let is_clear = proposal.questions.is_empty();
    (is_clear && !held.is_empty()).then_some(Block::Listed(said, told))
}
