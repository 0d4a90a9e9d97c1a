//! Of sites and patches that are shut, opened again, and permitted.

use jiff::civil::Date;

use super::until;
use crate::records::{Basis, Closure, PatchName, SiteName};
use crate::units::{agreeing, counted, spoken_day};

/// `ids` is `None` where it was only tried out.
pub fn closed(ids: Option<&str>, place: &str, days: (Date, Option<Date>), why: &str) -> String {
    let start = match ids {
        None => format!("{place} would be"),
        Some(ids) => format!("Recorded as {ids}: {place} is"),
    };
    format!("{start} closed from {} {}: {why}.", spoken_day(days.0), until(days.1))
}

/// So many closures end the day before, and so many are taken back; `still` are those of its
/// patches.
pub fn reopened<'a>(
    place: &str,
    on: Date,
    (ended, taken_back): (usize, usize),
    still: impl Iterator<Item = &'a Closure>,
    is_tried_out: bool,
) -> String {
    let count = |n: usize| counted(n, "closure");
    let ends = match (ended, taken_back) {
        (0, taken) => format!("{} taken back", count(taken)),
        (ended, 0) => format!("{} ended the day before", count(ended)),
        (ended, taken) => format!("{} ended the day before, {taken} taken back", count(ended)),
    };
    let be = if is_tried_out { "would be" } else { "is" };
    let still = still.map(|closure| {
        let patch = closure.patch.as_deref().unwrap_or_default();
        format!(" {}/{patch} has a closure of its own: {}.", closure.site, closure.reason)
    });
    let on = spoken_day(on);
    format!("{place} {be} open to cutting from {on}, as far as closures go: {ends}.")
        + &still.collect::<String>()
}

/// A permission among others.
#[derive(Clone, Copy, Debug)]
pub struct Permitted<'a> {
    /// Where it holds.
    pub site: &'a SiteName,
    /// How sure it is.
    pub basis: Basis,
    /// Its first day.
    pub from: Date,
    /// Its last; `None` until further notice.
    pub to: Option<Date>,
    /// How many it took the place of.
    pub ended: usize,
    /// How many hold beside it.
    pub beside: usize,
}

/// `ids` is `None` where it was only tried out.
pub fn permitted(ids: Option<&str>, permitted: &Permitted) -> String {
    let Permitted { site, basis, from, to, ended, beside } = *permitted;
    let start = match ids {
        None => "That would be a".to_owned(),
        Some(ids) => format!("Recorded as {ids}: a"),
    };
    let others = match (ended, beside) {
        (0, 0) => String::new(),
        (0, n) => format!(
            " {} of the site {} beside it; where they differ, the one that leaves most room \
             counts. Say --instead where this one takes their place.",
            counted(n, "permission"),
            agreeing(n, "holds", "hold")
        ),
        (n, _) => format!(" It takes the place of {}.", counted(n, "permission")),
    };
    let (from, until) = (spoken_day(from), until(to));
    format!("{start} {basis} permission for {site} from {from} {until}.{others}")
}

/// `ids` is `None` where it was only tried out; the parts follow.
pub fn split(ids: Option<&str>, patch: &PatchName, day: Date, why: &str) -> String {
    let start = match ids {
        None => format!("{patch} would be"),
        Some(ids) => format!("Recorded as {ids}: {patch} is"),
    };
    format!(
        "{start} split from {}: {why}. Its history stays, and each part has its own of it:",
        spoken_day(day)
    )
}
