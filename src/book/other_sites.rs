//! The further sites that a walk goes to. A walk writes down what they are called; a site that
//! is renamed afterwards is still the one that was meant.

use std::cmp::Reverse;

use jiff::civil::Date;
use rusqlite::Connection;

use super::fields::Fields;
use super::names::Names;
use super::namesakes::{first_fact, site_called};
use super::view::View;
use super::words::Words;
use crate::records::{SiteName, Walk, without_mark};

/// Calls them what they are called in the view.
pub(super) fn call_as_now(
    walk: &mut Walk,
    recorded_on: Date,
    view: &View,
    book: &Connection,
) -> rusqlite::Result<()> {
    for site in &mut walk.other_sites {
        let Some(place) = meant(site, recorded_on, view, book)? else { continue };
        let mut names = Names::default();
        names.learn(place, Some(view), book)?;
        if let Some(now) = names.site(place) {
            *site = now.clone();
        }
    }
    Ok(())
}

/// The site that bore the name on the day, whatever it is called by now; of several the one that
/// keeps the name in a union of books.
pub(super) fn meant(
    name: &SiteName,
    on: Date,
    view: &View,
    book: &Connection,
) -> rusqlite::Result<Option<i64>> {
    let own = bearers(name.as_str(), on, book)?;
    if let Some(place) = first_of(&own, book)? {
        return Ok(Some(place));
    }
    if let Some((own, mark)) = without_mark(name.as_str()) {
        for Bearer { place, .. } in bearers(own, on, book)? {
            if first_fact("site", place, book)?.short().eq_ignore_ascii_case(mark) {
                return Ok(Some(place));
            }
        }
    }
    site_called(name.as_str(), view, book)
}

/// A site that was called so by one of its facts.
struct Bearer {
    place: i64,
    /// That fact counted on the day.
    counted: bool,
}

fn bearers(name: &str, on: Date, book: &Connection) -> rusqlite::Result<Vec<Bearer>> {
    let mut words = Words::default();
    book.prepare_cached(
        "SELECT place, recorded_on, \
         (SELECT min(recorded_on) FROM correction WHERE replaced = site.id) \
         FROM site WHERE name = ?",
    )?
    .query_map([name], |row| {
        let mut fields = Fields::of(row, &mut words);
        let (place, since, until) = (fields.whole()?, fields.day()?, fields.maybe_day()?);
        Ok(Bearer { place, counted: since <= on && until.is_none_or(|until| on <= until) })
    })?
    .collect()
}

fn first_of(bearers: &[Bearer], book: &Connection) -> rusqlite::Result<Option<i64>> {
    let mut best = None;
    for Bearer { place, counted } in bearers {
        let rank = (*counted, Reverse(first_fact("site", *place, book)?), *place);
        best = best.max(Some(rank));
    }
    Ok(best.map(|(.., place)| place))
}
