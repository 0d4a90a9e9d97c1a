//! What places were called before, by facts that were put right since.

use jiff::civil::Date;
use rusqlite::{Connection, Row};

use super::fields::{Fields, bytes};
use super::names::{Names, patch_name, site_name};
use super::view::View;
use super::words::Words;
use crate::records::{FactId, Former, FormerNames};

/// Of all places that bear a name now; `sites` are the present names of sites.
pub(super) fn names(
    book: &Connection,
    view: &View,
    sites: &Names,
) -> rusqlite::Result<FormerNames> {
    let mut found = FormerNames::default();
    let mut words = Words::default();
    let mut put_right = book.prepare_cached(&put_right("site", "place, name"))?;
    let mut rows = put_right.query([])?;
    while let Some(row) = rows.next()? {
        let Some((fact, mut fields)) = no_longer(row, view, &mut words)? else { continue };
        if let Some(now) = sites.site(fields.whole()?).cloned() {
            let was = site_name(&mut fields)?;
            found.sites.push(Former { fact, was, now, since: since(fact, book)? });
        }
    }
    let mut put_right = book.prepare_cached(&self::put_right("patch", "place, site, name"))?;
    let mut rows = put_right.query([])?;
    while let Some(row) = rows.next()? {
        let Some((fact, mut fields)) = no_longer(row, view, &mut words)? else { continue };
        let (place, site) = (fields.whole()?, fields.whole()?);
        let Some(was) = sites.site(site).map(|site| patch_name(site, &mut fields)) else {
            continue;
        };
        let mut names = Names::default();
        if !is_live(place, view, book)? {
            continue;
        }
        names.learn(place, Some(view), book)?;
        if let Some(now) = names.patch(place).cloned() {
            found.patches.push(Former { fact, was: was?, now, since: since(fact, book)? });
        }
    }
    Ok(found)
}

/// Facts that a correction has led on from, or that lost against another end.
fn put_right(table: &str, columns: &str) -> String {
    format!(
        "SELECT id, recorded_on, {columns} FROM {table} WHERE id IN (SELECT replaced FROM \
         correction UNION SELECT replacement FROM correction) ORDER BY id"
    )
}

fn no_longer<'w, 'r>(
    row: &'r Row,
    view: &View,
    words: &'w mut Words,
) -> rusqlite::Result<Option<(FactId, Fields<'r, 'w>)>> {
    let mut fields = Fields::of(row, words);
    let (id, recorded_on) = (fields.id()?, fields.day()?);
    Ok((!view.counts(id, recorded_on)).then_some((id, fields)))
}

/// Whether a fact that counts sets the patch down.
fn is_live(place: i64, view: &View, book: &Connection) -> rusqlite::Result<bool> {
    let mut words = Words::default();
    let mut facts = book.prepare_cached("SELECT id, recorded_on FROM patch WHERE place = ?")?;
    let mut rows = facts.query([place])?;
    while let Some(row) = rows.next()? {
        let mut fields = Fields::of(row, &mut words);
        if view.counts(fields.id()?, fields.day()?) {
            return Ok(true);
        }
    }
    Ok(false)
}

/// The day from which the fact has counted no longer: of its correction, or its own where another
/// end of a clash counts instead.
fn since(fact: FactId, book: &Connection) -> rusqlite::Result<Date> {
    let mut words = Words::default();
    book.prepare_cached(
        "SELECT coalesce((SELECT min(recorded_on) FROM correction WHERE replaced = ?1), \
         (SELECT recorded_on FROM fact WHERE id = ?1))",
    )?
    .query_row([bytes(&fact)], |row| Fields::of(row, &mut words).day())
}
