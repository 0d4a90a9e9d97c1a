//! What was seen or done cannot lie ahead: a wrong year would hide it until then.

use jiff::civil::Date;

use super::load::ReadFile;
use crate::intake::{Place, Problem, Problems};
use crate::records::{Entry, Kind};

const MOST_SHOWN: usize = 5;

/// The surveys, glances and cuts in these files that are dated after `today`.
pub fn problems_of_dates(files: &[ReadFile], today: Date) -> Vec<Problems> {
    let of_file = |file: &ReadFile| {
        let ahead = || file.intake.entries.iter().filter(|entry| is_ahead(entry, today));
        let problems: Vec<Problem> =
            ahead().take(MOST_SHOWN).map(|entry| told(entry, today)).collect();
        let more = ahead().count() - problems.len();
        let file = file.name.to_string();
        (!problems.is_empty()).then_some(Problems { file, problems, more, gave_up: false })
    };
    files.iter().filter_map(of_file).collect()
}

fn is_ahead(entry: &Entry, today: Date) -> bool {
    let is_deed = matches!(entry.record.kind(), Kind::Survey | Kind::Glance | Kind::Cut);
    is_deed && entry.happened_on > today
}

fn told(entry: &Entry, today: Date) -> Problem {
    Problem {
        place: Place::WholeFile,
        field: Some("date".to_owned()),
        found: format!("the {} of {} lies ahead", entry.record.kind().name(), entry.key),
        expected: format!("a day up to today, {today}; --on sets another today"),
    }
}
