//! Whether what was seen or done can have been by now.

use jiff::civil::Date;
use jiff::{ToSpan, Unit};

use super::delivery::Delivery;
use super::gatekeeper::Gate;
use super::turned::Question;
use crate::book::{BookError, Moment};
use crate::intake::{Place, Problem};
use crate::records::Kind;
use crate::units::spoken_day;

/// A stated today this many days past the clock and all that is recorded is asked about: a
/// year mistyped by one is past it, a season tried out ahead is not.
const FAR_DAYS: i64 = 200;

/// A deed of a day that is still to come, where a wrong year would hide it until then. `key` is
/// what tells it from others of its kind, `last` the last day that can have been.
pub(super) fn ahead(kind: Kind, key: &str, happened_on: Date, last: Date) -> Option<Problem> {
    (kind.is_deed() && happened_on > last).then(|| Problem {
        place: Place::WholeFile,
        field: Some("date".to_owned()),
        found: format!("the {} of {key} lies ahead", kind.name()),
        expected: format!("a day up to today, {last}; --on sets another today"),
    })
}

/// Asks about a day far past the clock's and past all that is recorded.
pub(super) fn far_off(
    deliveries: &[Delivery],
    gate: &Gate,
    moment: &Moment,
) -> Result<Option<Question>, BookError> {
    let is_far =
        |day: Date, since: Date| since.checked_add(FAR_DAYS.days()).is_ok_and(|last| day > last);
    let entries = deliveries.iter().flat_map(|delivery| &delivery.entries);
    let deeds = entries.filter(|entry| entry.record.kind().is_deed());
    let Some(latest) = deeds.map(|entry| entry.happened_on).max() else { return Ok(None) };
    if !is_far(latest, gate.today) {
        return Ok(None);
    }
    let recorded = moment.last_day()?.unwrap_or(gate.today).max(gate.today);
    if !is_far(latest, recorded) {
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
