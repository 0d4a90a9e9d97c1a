//! Gathers what is wrong and what is worth saying while a file is read.

use super::problem::{Finding, Place, Problem, Problems};
use crate::records::Entry;

/// How many problems, and how many remarks, are told in full.
const TOLD: usize = 20;
/// After so many problems the file is not worth reading on.
const ENOUGH: usize = 200;

/// What a file holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Intake {
    /// In the order in which they stand.
    pub entries: Vec<Entry>,
    /// What was done with the file's rows that its owner may not expect:
    /// "line 14: 3 m outside `north wood/bank`, taken to it".
    pub remarks: Vec<String>,
    /// Whether it says the same whatever places there are: it names none but its own.
    pub is_by_itself: bool,
}

/// The problem has been noted; whoever asked need say nothing more.
#[derive(Clone, Copy, Debug)]
pub(super) struct Reported;

#[derive(Debug, Default)]
pub(super) struct Tally {
    /// Every problem is wanted, and the file is read to its end.
    keeps_all: bool,
    problems: Vec<Problem>,
    more_problems: usize,
    remarks: Vec<String>,
    more_remarks: usize,
    gave_up: bool,
}

impl Tally {
    /// For those who sort out what can be read: names every problem.
    pub fn of_all() -> Self {
        Self { keeps_all: true, ..Self::default() }
    }

    pub fn report(&mut self, place: &Place, field: Option<&str>, finding: Finding) -> Reported {
        if self.keeps_all || self.problems.len() < TOLD {
            self.problems.push(Problem {
                place: place.clone(),
                field: field.map(str::to_owned),
                found: finding.found,
                expected: finding.expected.unwrap_or_else(|| "something else".to_owned()),
            });
        } else {
            self.more_problems += 1;
        }
        Reported
    }

    pub fn remark(&mut self, remark: String) {
        if self.remarks.len() < TOLD {
            self.remarks.push(remark);
        } else {
            self.more_remarks += 1;
        }
    }

    /// Whether so much is wrong that reading on would help nobody; remembers the answer.
    pub fn has_enough(&mut self) -> bool {
        self.gave_up = !self.keeps_all && self.problems.len() + self.more_problems >= ENOUGH;
        self.gave_up
    }

    pub fn is_clean(&self) -> bool {
        self.problems.is_empty()
    }

    pub fn close(mut self, file: &str, entries: Vec<Entry>) -> Result<Intake, Problems> {
        if !self.problems.is_empty() {
            return Err(self.into_problems(file));
        }
        if self.more_remarks > 0 {
            self.remarks.push(format!("and {} more remarks like these", self.more_remarks));
        }
        Ok(Intake { entries, remarks: self.remarks, is_by_itself: false })
    }

    pub fn into_problems(self, file: &str) -> Problems {
        Problems {
            file: file.to_owned(),
            problems: self.problems,
            more: self.more_problems,
            gave_up: self.gave_up,
        }
    }
}
