//! The last day on which anything was seen or cut, anywhere in the book.
//!
//! A report of one site ends on it. Only the days of the tables are looked at, from the last one
//! back, until one is found of a fact that counts.

use jiff::civil::Date;
use rusqlite::Connection;

use super::day;
use super::error::{BookError, Failure};
use super::fields::Fields;
use super::open::Book;
use super::scope::live_places;
use super::seal::{Sealer, columns_of};
use super::view::View;
use super::words::Words;
use crate::records::Kind;

/// The kinds by which a patch is seen or cut.
const TOLD: [Kind; 3] = [Kind::Survey, Kind::Glance, Kind::Cut];

impl Book {
    /// The last day of a survey, glance or cut that counts; `None` where there is none.
    ///
    /// # Errors
    /// A storage error where the book cannot be read, or what bears that day is not what was
    /// recorded.
    pub fn last_day_told(&self) -> Result<Option<Date>, BookError> {
        last_day_told(&self.connection).map_err(|failure| failure.at(&self.path))
    }
}

fn last_day_told(book: &Connection) -> Result<Option<Date>, Failure> {
    let moment = book.unchecked_transaction()?;
    let mut view = View::read(&moment, None)?;
    let mut last = None;
    for kind in TOLD {
        last = last.max(last_of(kind, last, &mut view, &moment)?);
    }
    view.sound.so_far(&moment)?;
    Ok(last)
}

/// Of a kind, later than a day.
fn last_of(
    kind: Kind,
    after: Option<Date>,
    view: &mut View,
    book: &Connection,
) -> Result<Option<Date>, Failure> {
    let table = kind.name();
    let after = after.and_then(day::to_text).unwrap_or_default();
    // Sorts behind every day.
    let mut before = "~".to_owned();
    let sql =
        format!("SELECT max(happened_on) FROM {table} WHERE happened_on > ?1 AND happened_on < ?2");
    loop {
        let mut latest = book.prepare_cached(&sql)?;
        let latest: Option<String> = latest.query_row([&after, &before], |row| row.get(0))?;
        let Some(day) = latest else { return Ok(None) };
        if counts_on(&day, table, view, book)? {
            return Ok(day::from_text(day.as_bytes()));
        }
        before = day;
    }
}

/// Whether any fact of the table that happened on that day counts.
fn counts_on(
    day: &str,
    table: &'static str,
    view: &mut View,
    book: &Connection,
) -> Result<bool, Failure> {
    let columns = columns_of(table, book)?;
    let mut sealer = Sealer::of_list(&columns);
    let mut of_day =
        book.prepare_cached(&format!("SELECT {columns} FROM {table} WHERE happened_on = ?"))?;
    let mut rows = of_day.query([day])?;
    let mut words = Words::default();
    while let Some(row) = rows.next()? {
        let is_sound =
            view.sound.see(table, &mut sealer, Fields::of(row, &mut words).cells())?.is_some();
        let at = |name: &str| row.as_ref().column_index(name);
        let id = Fields::after(at("id")?, row, &mut words).id()?;
        let recorded_on = Fields::after(at("recorded_on")?, row, &mut words).day()?;
        let place: i64 = row.get("place")?;
        if !is_sound || !view.counts(id, recorded_on) {
            continue;
        }
        let patch = "SELECT id, recorded_on, place FROM patch WHERE place = ?";
        if !live_places(patch, [place], view, book)?.is_empty() {
            return Ok(true);
        }
    }
    Ok(false)
}
