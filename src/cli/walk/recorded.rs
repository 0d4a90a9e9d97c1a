//! Walks that the book knows, and what they are asked with.

use geo::Point;
use jiff::civil::Date;

use crate::assess::{Asker, Briefing, Prepared, brief, prepare_for};
use crate::cli::context::Context;
use crate::cli::failure::Failure;
use crate::records::{Fact, Ledger, NotFound, Walk, WalkName, folded, nearest};

/// The walk of that name.
///
/// # Errors
/// That there is none, with the nearest name.
pub fn walk_called<'l>(ledger: &'l Ledger, name: &str) -> Result<&'l Fact<Walk>, Failure> {
    let wanted = folded(name);
    let same = |walk: &&Fact<Walk>| folded(walk.record.name.as_str()) == wanted;
    let names = || ledger.walks().map(|walk| walk.record.name.to_string());
    let unknown =
        || NotFound::Unknown { what: "walk", asked: name.to_owned(), near: nearest(name, names()) };
    Ok(ledger.walks().find(same).ok_or_else(unknown)?)
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
