//! What is typed at the keyboard goes through the checks of a file.

use crate::intake::{Known, Problem, read};
use crate::records::Entry;

use super::failure::Failure;

/// Reads rows as if they stood in a CSV file with these columns.
pub fn entry(columns: &[&str], rows: &[Vec<String>], known: Known<'_>) -> Result<Entry, Failure> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let header = columns.iter().map(|column| (*column).to_owned()).collect::<Vec<_>>();
    for row in std::iter::once(&header).chain(rows) {
        writer.write_record(row).map_err(Failure::wrong)?;
    }
    let text = writer.into_inner().map_err(Failure::wrong)?;
    let mut entries =
        read("", text.as_slice(), known).map_err(|found| refusal(&found.problems))?.entries;
    match (entries.pop(), entries.is_empty()) {
        (Some(entry), true) => Ok(entry),
        _ => Err(Failure::wrong("that is not one record")),
    }
}

/// The problems without the places of a file that nobody sees.
pub fn refusal(problems: &[Problem]) -> Failure {
    let mut sentences: Vec<String> = problems.iter().map(sentence).collect();
    sentences.dedup();
    Failure::Wrong(format!("{}\n  (nothing was recorded)", sentences.join("\n")))
}

fn sentence(problem: &Problem) -> String {
    let field = problem.field.as_ref().map_or(String::new(), |field| format!("`{field}`: "));
    format!("{field}{}\n  expected {}", problem.found, problem.expected)
}
