//! The rows that can be read from those that cannot.

use std::collections::HashMap;

use jiff::civil::Date;

use super::became::Held;
use super::proposal::Proposal;
use super::written::Written;
use crate::intake::{Known, Place, Problem, Problems, every_problem};
use crate::records::Kind;

/// After so many rounds what is left is not worth another.
const MOST_ROUNDS: usize = 8;

impl Proposal<'_> {
    /// Holds back each row that `intake` refuses; and with one of a survey all of it, since a
    /// survey that lacks a quadrat is another survey. Nothing seen or done lies past `last`.
    ///
    /// # Errors
    /// What no row is to blame for.
    pub fn sift(&mut self, file: &str, last: Date, known: Known<'_>) -> Result<(), Problems> {
        if !self.questions.is_empty() {
            // Half of it would be refused for what is only asked.
            return Ok(());
        }
        self.hold_what_lies_ahead(last);
        for _ in 0..MOST_ROUNDS {
            if self.text.is_empty() {
                return Ok(());
            }
            let problems = every_problem(self.text.text().as_bytes(), known);
            if problems.is_empty() {
                return Ok(());
            }
            if let Some(of_all) = problems.iter().find(|problem| !self.is_of_a_row(problem)) {
                return Err(Problems {
                    file: file.to_owned(),
                    problems: vec![of_all.clone()],
                    more: problems.len() - 1,
                    gave_up: false,
                });
            }
            for problem in problems {
                if let Place::Line(line) = problem.place {
                    let Problem { field, found, expected, .. } = problem;
                    self.held.entry(line).or_insert(Held::Unreadable { field, found, expected });
                }
            }
            if self.kind() == Some(Kind::Survey) {
                self.hold_whole_surveys();
            }
            self.held.keys().for_each(|line| self.text.remove(*line));
        }
        Ok(())
    }

    fn hold_what_lies_ahead(&mut self, last: Date) {
        let Some(at) = self.column_of("date") else { return };
        if !self.kind().is_some_and(Kind::is_deed) {
            return;
        }
        let day = |row: &str| cells(row).get(at)?.parse::<Date>().ok();
        let ahead: Vec<(u64, Date)> = self
            .text
            .rows()
            .filter_map(|(line, row)| Some((line, day(row)?)))
            .filter(|(_, day)| *day > last)
            .collect();
        for (line, day) in ahead {
            self.held.insert(line, Held::Ahead(day));
            self.text.remove(line);
        }
    }

    fn column_of(&self, name: &str) -> Option<usize> {
        self.shown.first()?.iter().position(|column| column == name)
    }

    fn is_of_a_row(&self, problem: &Problem) -> bool {
        matches!(problem.place, Place::Line(line) if line > self.text.header_line())
    }

    fn hold_whole_surveys(&mut self) {
        let surveys = surveys(&self.text, &self.shown[0]);
        let bad: HashMap<&Vec<String>, u64> = surveys
            .iter()
            .filter(|(line, _)| self.held.contains_key(line))
            .map(|(line, survey)| (survey, *line))
            .collect();
        let beside: Vec<(u64, u64)> =
            surveys.iter().filter_map(|(line, of)| Some((*line, *bad.get(of)?))).collect();
        for (line, because) in beside {
            self.held.entry(line).or_insert(Held::Beside(because));
        }
    }
}

/// What tells the survey of each row from others.
fn surveys(text: &Written, columns: &[String]) -> Vec<(u64, Vec<String>)> {
    const TELL: [&str; 5] = ["patch", "crop", "date", "by", "visit"];
    let tell: Vec<usize> =
        (0..columns.len()).filter(|at| TELL.contains(&columns[*at].as_str())).collect();
    let told = |row: &str| -> Vec<String> {
        let cells = cells(row);
        tell.iter().map(|at| cells.get(*at).unwrap_or_default().to_lowercase()).collect()
    };
    text.rows().map(|(line, row)| (line, told(row))).collect()
}

fn cells(row: &str) -> csv::StringRecord {
    // A reader of its own for each of a hundred thousand rows took as long as all else here.
    let line = row.strip_suffix('\n').unwrap_or(row);
    if !line.contains(['"', '\n', '\r']) {
        return line.split(',').collect();
    }
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(row.as_bytes());
    reader.records().next().and_then(Result::ok).unwrap_or_default()
}
