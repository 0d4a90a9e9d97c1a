//! How likely each walk of a rehearsal finds what it wants.

use super::page::{Block, Cell, Column, Section, Table};
use super::rehearsal_document::Rehearsal;
use super::rehearsal_words::{in_100, odds, range, wanted};
use crate::rehearsal::{Demand, Odds, WalkOutcome, WantOutcome};
use crate::units::{Amount, Measure, spoken_day};

/// The walks, each with a line for every want; those of a weekly box by month.
pub(super) fn walks(rehearsal: &Rehearsal) -> Option<Section> {
    let (first, rows) = match &rehearsal.plan.demand {
        Demand::AllAllowed => return None,
        Demand::Weekly(amount) => ("month", months(rehearsal, *amount)),
        Demand::Walks(_) => {
            let walks = rehearsal.outcome.walks.iter().enumerate();
            ("walk", walks.flat_map(|(n, walk)| each(rehearsal, n, walk)).collect())
        }
    };
    let columns = vec![
        Column::name(first),
        Column::figures("finds all"),
        Column::figures("finds, as a rule"),
    ];
    let caption = "How often walks find what they want".to_owned();
    let table = Block::Table(Table { caption, columns, rows });
    Some(Section { id: "walks", heading: "Walks".to_owned(), blocks: vec![table] })
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

fn months(rehearsal: &Rehearsal, amount: Amount) -> Vec<Vec<Cell>> {
    let months = rehearsal.outcome.walks.chunk_by(|a, b| a.day.month() == b.day.month());
    let row = |walks: &[WalkOutcome]| {
        let wants = || walks.iter().flat_map(|walk| &walk.wants);
        let mean = |of: &dyn Fn(&WantOutcome) -> f64| {
            wants().map(of).sum::<f64>() / wants().count().max(1) as f64
        };
        let month = format!("{}, {amount} a week", walks[0].day.strftime("%B %Y"));
        let found = format!("{:.0} of 100", 100.0 * mean(&|want| want.found_all.part()));
        let usual = range(amount.measure, mean(&|want| want.found[0]), mean(&|want| want.found[4]));
        [month, found, usual].map(Cell::of).to_vec()
    };
    months.map(row).collect()
}

/// The walk over each of its wants; where it wants several things, how often it finds them all.
fn each(rehearsal: &Rehearsal, n: usize, walk: &WalkOutcome) -> Vec<Vec<Cell>> {
    let name = match &rehearsal.plan.demand {
        Demand::Walks(walks) => format!("{}, {}", walks[n].name, spoken_day(walk.day)),
        Demand::AllAllowed | Demand::Weekly(_) => spoken_day(walk.day),
    };
    let amounts = rehearsal.plan.wants(n);
    let wants = wanted(rehearsal.plan, n).into_iter().zip(&amounts).zip(&walk.wants);
    let want = |((wanted, amount), want): ((String, &Option<Amount>), &WantOutcome)| {
        let found = found(amount.map(|it| it.measure), want);
        [wanted, or_never(want.found_all), found].map(Cell::of).to_vec()
    };
    let all = || ["all of it".to_owned(), or_never(walk.found_all), String::new()];
    let all = (amounts.len() != 1).then(|| all().map(Cell::of).to_vec());
    let head = vec![Cell::of(name)];
    std::iter::once(head).chain(all).chain(wants.map(want)).collect()
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
