//! What a sheet is taken for: shown to its writer before anything of it is recorded.

use std::collections::BTreeMap;

use super::answers::Answers;
use super::became::{Held, Taken};
use super::cell::{Row, Sheet};
use super::evidence::{Habits, habits};
use super::header::{Table, WHY_UNREAD, shape};
use super::kept::Kept;
use super::lore::Lore;
use super::question::{Ask, Question};
use super::reading::Reading;
use super::roles::{KindBy, Matched, Role, column, is_of_days, kind_of, roles};
use super::written::{Written, csv_row};
use crate::records::{Kind, folded};

/// Rows that are shown as they would be recorded.
const SHOWN: usize = 3;

/// A sheet, what it is taken for, and what is unclear.
#[derive(Debug)]
pub struct Proposal<'s> {
    /// As it was opened.
    pub sheet: &'s Sheet,
    /// The kind of the rows, or what it may be.
    pub kind: Result<(Kind, KindBy), Vec<Kind>>,
    /// Each column with what it is taken for.
    pub columns: Vec<Matched>,
    /// Columns that all rows have alike.
    pub constants: BTreeMap<String, String>,
    /// How it writes days and numbers.
    pub habits: Habits,
    /// What cells were taken for: an example, what it means, how often.
    pub taken: BTreeMap<Taken, (String, String, usize)>,
    /// Lines above the header, of sums, and of headers that stand there again.
    pub above: Vec<u64>,
    /// Lines of sums, which are left out.
    pub totals: Vec<u64>,
    /// Lines that say the header again, which are left out.
    pub again: Vec<u64>,
    /// What must be answered before anything is recorded.
    pub questions: Vec<Question>,
    /// What `intake` reads, each row on the line that it has.
    pub text: Written,
    /// The first rows, behind the names of their columns.
    pub shown: Vec<Vec<String>>,
    /// Rows that come back unread, by their lines.
    pub held: BTreeMap<u64, Held>,
    /// How many rows are read.
    pub rows: usize,
    header: &'s Row,
    body: Vec<&'s Row>,
}

/// What is proposed for a sheet; `None` where no row of it is a header. `names` are what the
/// sheet and its file are called.
pub fn propose<'s>(
    sheet: &'s Sheet,
    names: &[&str],
    answers: &Answers,
    lore: &Lore<'_>,
) -> Option<Proposal<'s>> {
    let table = Table::of(&sheet.rows, &answers.headers())?;
    let kind = kind_of(&table, names, answers);
    let mut proposal = Proposal {
        sheet,
        columns: Vec::new(),
        constants: answers.set.clone(),
        habits: Habits::default(),
        taken: BTreeMap::new(),
        above: table.above.clone(),
        totals: table.totals.clone(),
        again: table.again.clone(),
        questions: Vec::new(),
        text: Written::default(),
        shown: Vec::new(),
        held: BTreeMap::new(),
        rows: table.body.len(),
        header: table.header,
        body: table.body.clone(),
        kind,
    };
    match &proposal.kind {
        Ok((kind, _)) => {
            let kind = *kind;
            proposal.read(kind, &table, answers, lore);
        }
        Err(may) => {
            let ask = Ask::Kind(may.clone());
            proposal.questions.push(Question { ask, rows: table.body.len() });
        }
    }
    Some(proposal)
}

impl Proposal<'_> {
    fn read(&mut self, kind: Kind, table: &Table<'_>, answers: &Answers, lore: &Lore<'_>) {
        let (matched, asks) = roles(kind, table, answers);
        let (found, more) = habits(table, &matched, answers);
        let all = table.body.len();
        self.questions.extend(asks.into_iter().chain(more).map(|ask| Question { ask, rows: all }));
        let mut reading = Reading::new(
            kind,
            (&matched, &table.headings),
            (&found, answers),
            lore,
            &self.sheet.merged,
        );
        self.text = Written::with_header(self.header.line, &reading.columns);
        self.shown.push(reading.columns.iter().map(|name| (*name).to_owned()).collect());
        for row in &table.body {
            match reading.row(row) {
                Ok(values) => {
                    self.text.push(row.line, &values);
                    if self.shown.len() <= SHOWN {
                        self.shown.push(values);
                    }
                }
                Err(held) => _ = self.held.insert(row.line, held),
            }
        }
        let asked = std::mem::take(&mut reading.asked).into_iter();
        self.questions.extend(asked.map(|(ask, rows)| Question { ask, rows }));
        self.taken = std::mem::take(&mut reading.taken);
        (self.columns, self.habits) = (matched, found);
    }

    /// The headers in order, by which a table of the same shape is known again.
    pub fn shape(&self) -> Vec<String> {
        shape(&self.header.cells)
    }

    /// What the rows are, where that is known.
    pub fn kind(&self) -> Option<Kind> {
        self.kind.as_ref().ok().map(|(kind, _)| *kind)
    }

    /// Whether positions tell the patches of its rows.
    pub fn has_positions(&self) -> bool {
        self.columns
            .iter()
            .any(|one| matches!(one.role, Role::Field(column) if column.name == "lon"))
    }

    /// Columns with something in them that nothing is made of.
    pub fn left_out(&self) -> Vec<&Matched> {
        let says = |at: usize| self.body.iter().any(|row| !row.cell(at).is_empty());
        let is_left = |one: &&Matched| {
            one.role == Role::LeftOut
                && one.header.to_lowercase() != WHY_UNREAD
                && (!one.header.is_empty() || says(one.at))
        };
        self.columns.iter().filter(is_left).collect()
    }

    /// What is worth keeping for the next table of this shape: what was answered, and how days and
    /// numbers are written.
    pub fn kept(&self, answers: &Answers) -> Kept {
        let mut kept = Answers {
            kind: self.kind(),
            order: self.habits.order,
            decimal: self.habits.decimal,
            year: None,
            ..answers.clone()
        };
        let own: Vec<String> = self.columns.iter().map(|one| folded(&one.header)).collect();
        let is_own = |header: &String| own.contains(&folded(header));
        kept.columns.retain(|header, _| is_own(header));
        kept.units.retain(|header, _| is_own(header));
        // Another table is of other days.
        let of_days =
            |name: &str| self.kind().and_then(|kind| column(kind, name)).is_some_and(is_of_days);
        kept.set.retain(|name, _| !of_days(name));
        Kept { shape: self.shape(), answers: kept }
    }

    /// The rows that come back, in their writer's own layout, with a column that says why. `why`
    /// words a reason.
    pub fn unread(&self, why: impl Fn(&Held) -> String) -> Option<String> {
        if self.held.is_empty() {
            return None;
        }
        let is_own = |at: &usize| self.header.cell(*at).to_string().to_lowercase() != WHY_UNREAD;
        let own: Vec<usize> = (0..self.header.cells.len()).filter(is_own).collect();
        let line = |row: &Row, said: String| {
            let cells = own.iter().map(|at| row.cell(*at).to_string());
            csv_row(&cells.chain([said]).collect::<Vec<_>>())
        };
        let held = self.body.iter().filter_map(|row| Some((row, self.held.get(&row.line)?)));
        let mut text = line(self.header, WHY_UNREAD.to_owned());
        text.extend(held.map(|(row, held)| line(row, why(held))));
        Some(text)
    }
}
