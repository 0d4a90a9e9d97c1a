//! How likely each walk of a rehearsal finds what it wants, as text for a terminal.

use super::layout::{left, right, widest};
use super::rehearsal_table::{ODDS, Rehearsal};
use super::rehearsal_words::{in_100, odds, range, wanted};
use crate::rehearsal::{Demand, Odds, WalkOutcome, WantOutcome};
use crate::units::{Amount, Measure, spoken_day};

const INDENT: &str = "    ";
/// `finds, 8 in 10`, or `nothing: no permission`.
const FOUND: usize = 24;
const HEAD: [&str; 3] = ["walk", "finds all", "finds, 8 in 10"];

/// The walks, a line each with one for every want; those of a weekly box by month.
pub(super) fn walks(rehearsal: &Rehearsal, width: usize) -> String {
    match &rehearsal.plan.demand {
        Demand::AllAllowed => String::new(),
        Demand::Weekly(amount) => months(rehearsal, *amount),
        Demand::Walks(_) => each(rehearsal, width),
    }
}

/// A sentence with a space behind it; nothing where no walk wants anything in particular.
pub(super) fn walks_in_short(rehearsal: &Rehearsal) -> String {
    let outcome = rehearsal.outcome;
    let (every, found) = (in_100(outcome.all_found), 100.0 * outcome.walks_found());
    match (&rehearsal.plan.demand, outcome.walks.len()) {
        (Demand::AllAllowed, _) => String::new(),
        (Demand::Walks(walks), 1) => {
            let (name, day) = (&walks[0].name, spoken_day(walks[0].day));
            match outcome.all_found.hits {
                0 => format!("{name} on {day} never finds all that it wants. "),
                _ => format!("{name} on {day} finds all that it wants in {every} of 100 seasons. "),
            }
        }
        _ => format!(
            "Of 100 walks, {found:.0} find all they want; in {every} of 100 seasons every one \
             does. "
        ),
    }
}

fn months(rehearsal: &Rehearsal, amount: Amount) -> String {
    let months = rehearsal.outcome.walks.chunk_by(|a, b| a.day.month() == b.day.month());
    let row = |walks: &[WalkOutcome]| {
        let wants = || walks.iter().flat_map(|walk| &walk.wants);
        let mean = |of: &dyn Fn(&WantOutcome) -> f64| {
            wants().map(of).sum::<f64>() / wants().count().max(1) as f64
        };
        let month = walks[0].day.strftime("%B %Y").to_string();
        let found = format!("{:.0} of 100", 100.0 * mean(&|want| want.found_all.part()));
        let usual = range(amount.measure, mean(&|want| want.found[0]), mean(&|want| want.found[4]));
        [month, format!("{amount} a week"), found, usual]
    };
    let rows: Vec<[String; 4]> = months.map(row).collect();
    let month = widest(rows.iter().map(|row| row[0].as_str()), 11, 24);
    let wants = widest(rows.iter().map(|row| row[1].as_str()), 5, 24);
    let line = |cells: [&str; 4]| {
        let [day, want, found, usual] = cells;
        let cells = [left(day, month), left(want, wants), right(found, ODDS), usual.to_owned()];
        format!("  {}\n", cells.join("  ").trim_end())
    };
    let head = line([HEAD[0], "wants", HEAD[1], HEAD[2]]);
    let rows = rows.iter().map(|row| line(row.each_ref().map(String::as_str)));
    format!("{head}{}\n", rows.collect::<String>())
}

fn each(rehearsal: &Rehearsal, width: usize) -> String {
    let walks = rehearsal.outcome.walks.iter().enumerate();
    let rows: Vec<[String; 3]> = walks.flat_map(|(n, walk)| rows(rehearsal, n, walk)).collect();
    let most = width.saturating_sub(2 + 2 + ODDS + 2 + FOUND);
    let first = widest(rows.iter().map(|row| row[0].as_str()), 20, most.max(20));
    let line = |cells: [&str; 3]| {
        let [what, odds, found] = cells;
        let cells = [left(what, first), right(odds, ODDS), found.to_owned()];
        format!("  {}\n", cells.join("  ").trim_end())
    };
    let rows = rows.iter().map(|row| line(row.each_ref().map(String::as_str)));
    format!("{}{}\n", line(HEAD), rows.collect::<String>())
}

/// The walk, then each of its wants.
fn rows(rehearsal: &Rehearsal, n: usize, walk: &WalkOutcome) -> Vec<[String; 3]> {
    let name = match &rehearsal.plan.demand {
        Demand::Walks(walks) => format!("{}, {}", walks[n].name, spoken_day(walk.day)),
        Demand::AllAllowed | Demand::Weekly(_) => spoken_day(walk.day),
    };
    let amounts = rehearsal.plan.wants(n);
    let wants = wanted(rehearsal.plan, n).into_iter().zip(&amounts).zip(&walk.wants);
    let want = |((wanted, amount), want): ((String, &Option<Amount>), &WantOutcome)| {
        let odds = if amounts.len() > 1 { or_never(want.found_all) } else { String::new() };
        [format!("{INDENT}{wanted}"), odds, found(amount.map(|it| it.measure), want)]
    };
    std::iter::once([name, or_never(walk.found_all), String::new()])
        .chain(wants.map(want))
        .collect()
}

fn or_never(found: Odds) -> String {
    if found.hits == 0 { "never".to_owned() } else { odds(found) }
}

/// What a want finds; where that is nothing, with what keeps its patches shut.
fn found(measure: Option<Measure>, want: &WantOutcome) -> String {
    match (want.patches, want.found, want.mostly_shut, measure) {
        (0, ..) => "no patch would do".to_owned(),
        (_, [.., high], Some(verdict), _) if high <= 0.0 => format!("nothing: {verdict}"),
        (_, [.., high], None, _) if high <= 0.0 => "nothing".to_owned(),
        (_, [low, .., high], _, Some(measure)) => range(measure, low, high),
        (_, _, _, None) => String::new(),
    }
}
