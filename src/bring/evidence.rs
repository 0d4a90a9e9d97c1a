//! What the cells of a table show together: which order days have, which mark parts numbers.

use super::answers::Answers;
use super::cell::Cell;
use super::day::{Evidence, Order, Shown};
use super::header::Table;
use super::quantity::{Mark, Shows, quantity, shows};
use super::question::Ask;
use super::roles::{Matched, Role, is_of_days};
use crate::records::Form;

/// How a table writes its days and numbers.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Habits {
    /// The order of day and month, where any cell has them in digits.
    pub order: Option<Order>,
    /// What stands between a whole number and its parts, where any cell shows it.
    pub decimal: Option<Mark>,
    /// A day whose year has two digits, and one with a time behind it.
    pub short_year: Option<String>,
}

/// What the cells show and the answers say, and what is asked.
pub(super) fn habits(
    table: &Table<'_>,
    matched: &[Matched],
    answers: &Answers,
) -> (Habits, Vec<Ask>) {
    let mut asks = Vec::new();
    let mut habits = Habits { decimal: answers.decimal, ..Habits::default() };
    for one in matched {
        match one.role {
            Role::Field(column) if is_of_days(column) => {
                days(table, one, answers, &mut habits, &mut asks);
            }
            _ => {}
        }
    }
    marks(table, matched, answers, &mut habits, &mut asks);
    (habits, asks)
}

fn texts<'t>(table: &'t Table<'_>, at: usize) -> impl Iterator<Item = &'t str> {
    table.body.iter().filter_map(move |row| match row.cell(at) {
        Cell::Text(text) => Some(&**text),
        _ => None,
    })
}

fn days(
    table: &Table<'_>,
    one: &Matched,
    answers: &Answers,
    habits: &mut Habits,
    asks: &mut Vec<Ask>,
) {
    let mut evidence = Evidence::default();
    for text in texts(table, one.at) {
        evidence.add(answers.meant(text).unwrap_or(text));
    }
    if let (Some(day), None) = (&evidence.no_year, answers.year) {
        asks.push(Ask::Year { header: one.header.clone(), day: day.clone() });
    }
    if habits.short_year.is_none() {
        habits.short_year = evidence.short.clone();
    }
    let header = one.header.clone();
    let known = answers.order.or(habits.order);
    match (evidence.shows(), known) {
        (Shown::Nothing, _) => {}
        // Those that are not as somebody said come back unread.
        (Shown::Both(..), Some(known)) => habits.order = Some(known),
        (Shown::Both(one, other), None) => asks.push(Ask::Mixed { header, one, other }),
        (Shown::Order(shown), None) => habits.order = Some(shown),
        (Shown::Order(shown), Some(known)) if shown == known => habits.order = Some(known),
        (Shown::Order(_), Some(_)) => {
            let day = texts(table, one.at).find(|text| {
                let mut alone = Evidence::default();
                alone.add(text);
                matches!(alone.shows(), Shown::Order(order) if Some(order) != known)
            });
            asks.push(Ask::OtherWay { header, day: day.unwrap_or_default().to_owned() });
        }
        (Shown::TwoWays(_), Some(known)) => habits.order = Some(known),
        (Shown::TwoWays(day), None) => asks.push(Ask::Order { header, day }),
    }
}

/// One mark for the whole table, for numbers that do not tell it: who writes one with a comma
/// writes all so.
fn marks(
    table: &Table<'_>,
    matched: &[Matched],
    answers: &Answers,
    habits: &mut Habits,
    asks: &mut Vec<Ask>,
) {
    let (mut comma, mut point, mut two_ways) = (None, None, None);
    for one in matched {
        let is_number = match one.role {
            Role::Amount => true,
            Role::Field(column) => column.form == Form::Number || column.name == "standing",
            _ => false,
        };
        if !is_number {
            continue;
        }
        for text in texts(table, one.at) {
            let Some(quantity) = quantity(answers.meant(text).unwrap_or(text)) else { continue };
            for number in [Some(quantity.low), quantity.high].into_iter().flatten() {
                let slot = match shows(number) {
                    Shows::Nothing => continue,
                    Shows::Mark(Mark::Comma) => &mut comma,
                    Shows::Mark(Mark::Point) => &mut point,
                    Shows::TwoWays => &mut two_ways,
                };
                slot.get_or_insert_with(|| (one.header.clone(), number.to_owned()));
            }
        }
    }
    if answers.decimal.is_some() {
        return;
    }
    match (comma, point, two_ways) {
        (Some(_), None, _) => habits.decimal = Some(Mark::Comma),
        (None, Some(_), _) => habits.decimal = Some(Mark::Point),
        (.., Some((header, number))) => asks.push(Ask::Decimal { header, number }),
        // Each number tells its mark by itself.
        (.., None) => {}
    }
}
