//! Whether what was seen or done can have been by now.

use jiff::civil::Date;
use jiff::{ToSpan, Unit};

use super::admit::Gate;
use super::delivery::Delivery;
use super::turned::Question;
use crate::book::{BookError, Moment};
use crate::intake::{Place, Problem};
use crate::records::{Entry, Kind};
use crate::units::spoken_day;

/// A stated today this many days past the clock and all that is recorded is asked about: a
/// year mistyped by one is past it, a season tried out ahead is not.
const FAR_DAYS: i64 = 200;

/// A deed of a day that is still to come, where a wrong year would hide it until then.
pub(super) fn ahead(entry: &Entry, gate: &Gate) -> Option<Problem> {
    let is_deed = matches!(entry.record.kind(), Kind::Survey | Kind::Glance | Kind::Cut);
    let last = gate.last_day();
    (is_deed && entry.happened_on > last).then(|| Problem {
        place: Place::WholeFile,
        field: Some("date".to_owned()),
        found: format!("the {} of {} lies ahead", entry.record.kind().name(), entry.key),
        expected: format!("a day up to today, {last}; --on sets another today"),
    })
}

/// Asks about a today that was stated far from the clock's and from all that is recorded.
pub(super) fn far_off(
    deliveries: &[Delivery],
    gate: &Gate,
    moment: &Moment,
) -> Result<Option<Question>, BookError> {
    let is_far = |since: Date| since.checked_add(FAR_DAYS.days()).is_ok_and(|last| gate.on > last);
    if !is_far(gate.today) {
        return Ok(None);
    }
    let latest = deliveries.iter().flat_map(|delivery| &delivery.entries);
    let Some(latest) = latest.map(|entry| entry.happened_on).filter(|day| is_far(*day)).max()
    else {
        return Ok(None);
    };
    let recorded = moment.last_day()?.unwrap_or(gate.today).max(gate.today);
    if !is_far(recorded) {
        return Ok(None);
    }
    let days = recorded.until((Unit::Day, latest)).map_or(0, |span| span.get_days());
    Ok(Some(Question {
        place: String::new(),
        found: format!(
            "{} is {days} days past today and past all that the book holds",
            spoken_day(latest)
        ),
        way_out: "see that the year is right; if it is, say --sure".to_owned(),
    }))
}
