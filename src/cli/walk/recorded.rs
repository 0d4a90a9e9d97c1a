//! Walks that the book knows, and what they are asked with.

use geo::Point;
use jiff::civil::Date;

use crate::assess::{Asker, Briefing, Prepared, brief, prepare_for};
use crate::cli::context::Context;
use crate::cli::failure::Failure;
use crate::records::{Fact, Ledger, NotFound, Walk, WalkName, begins, folded, nearest};

/// The walk of that name; or the only one of that day; or the only one whose name begins so.
///
/// # Errors
/// That there is none, with the nearest name, or which may have been meant.
pub fn walk_called<'l>(ledger: &'l Ledger, name: &str) -> Result<&'l Fact<Walk>, Failure> {
    let wanted = folded(name);
    let same = |walk: &&Fact<Walk>| folded(walk.record.name.as_str()) == wanted;
    if let Some(found) = ledger.walks().find(same) {
        return Ok(found);
    }
    let day: Option<Date> = name.trim().parse().ok();
    let is_meant = |walk: &&Fact<Walk>| match day {
        Some(day) => walk.record.day == day,
        None => begins(walk.record.name.as_str(), name),
    };
    let meant: Vec<&Fact<Walk>> = ledger.walks().filter(is_meant).collect();
    match (meant.as_slice(), day) {
        ([one], _) => Ok(one),
        ([], _) => {
            let names = ledger.walks().map(|walk| walk.record.name.to_string());
            let near = nearest(name, names);
            Err(NotFound::Unknown { what: "walk", asked: name.to_owned(), near }.into())
        }
        (several, day) => {
            let names = several.iter().map(|walk| format!("`{}`", walk.record.name));
            let names: Vec<String> = names.collect();
            let how = if day.is_some() { "is the day" } else { "begins the names" };
            Err(Failure::Wrong(format!(
                "`{name}` {how} of {}; write the name of the one that is meant",
                names.join(", ")
            )))
        }
    }
}

/// The day on which a recorded walk is asked about, where it is stated: there `--on` is free to
/// be today, since the walk has a day of its own.
pub fn stated_today(context: &Context, recorded_on: Option<Date>) -> Option<Date> {
    recorded_on.or(context.asked_on)
}

/// From which day promises are looked at: as stated, else today, or the day of the walk if
/// that is past, as it was for those who planned it.
pub fn asked_on(context: &Context, day: Date, stated: Option<Date>) -> Date {
    stated.unwrap_or(context.today.min(day))
}

/// The patches as the walk will find them.
pub fn ready_for<'l>(
    context: &Context,
    ledger: &'l Ledger,
    day: Date,
    today: Date,
    walk: Option<&WalkName>,
) -> Result<Vec<Prepared<'l>>, Failure> {
    Ok(prepare_for(ledger, context.catalogue()?, day, Asker { today, walk })?)
}

/// What the leader of a walk goes by.
pub fn briefing(
    context: &Context,
    ledger: &Ledger,
    walk: &Fact<Walk>,
    start: Option<Point>,
    today: Date,
) -> Result<Briefing, Failure> {
    let name = Some(&walk.record.name);
    let prepared = ready_for(context, ledger, walk.record.day, today, name)?;
    brief(walk, &prepared, context.catalogue()?, start).map_err(Failure::wrong)
}
