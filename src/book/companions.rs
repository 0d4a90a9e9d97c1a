//! The patches on which the eyes that judged a patch can be checked.

use std::collections::BTreeSet;

use rusqlite::{Connection, params};

use super::fields::Fields;
use super::scope::live_places;
use super::view::View;
use super::words::Words;

/// The patches of the same crop that someone who glanced at a wanted patch glanced at on the
/// day of a survey: there the survey shows how that observer's eye errs.
pub(super) fn companions(
    wanted: &[i64],
    view: &mut View,
    book: &Connection,
) -> rusqlite::Result<BTreeSet<i64>> {
    let mut eyes = BTreeSet::new();
    for &patch in wanted {
        let observers = observers_of(patch, view, book)?;
        if observers.is_empty() {
            continue;
        }
        if let Some(crop) = crop_of(patch, view, book)? {
            eyes.extend(observers.into_iter().map(|observer| (crop.clone(), observer)));
        }
    }
    let crops: BTreeSet<&str> = eyes.iter().map(|(crop, _)| crop.as_str()).collect();
    for crop in crops {
        view.sound.seen_of(crop, book)?;
    }
    let mut found = BTreeSet::new();
    for (crop, observer) in &eyes {
        found.extend(judged_and_measured(crop, observer, view, book)?);
    }
    Ok(found)
}

fn crop_of(patch: i64, view: &View, book: &Connection) -> rusqlite::Result<Option<String>> {
    let crops =
        live_texts("SELECT id, recorded_on, crop FROM patch WHERE place = ?", patch, view, book);
    Ok(crops?.pop_first())
}

fn observers_of(patch: i64, view: &View, book: &Connection) -> rusqlite::Result<BTreeSet<String>> {
    live_texts("SELECT id, recorded_on, by_whom FROM glance WHERE place = ?", patch, view, book)
}

fn live_texts(
    sql: &str,
    place: i64,
    view: &View,
    book: &Connection,
) -> rusqlite::Result<BTreeSet<String>> {
    let mut texts = BTreeSet::new();
    let mut words = Words::default();
    let mut statement = book.prepare_cached(sql)?;
    let mut rows = statement.query([place])?;
    while let Some(row) = rows.next()? {
        let mut fields = Fields::of(row, &mut words);
        if view.counts(fields.id()?, fields.day()?) {
            texts.insert(fields.text()?.to_owned());
        }
    }
    Ok(texts)
}

/// Goes from the crop's patches to the observer's glances at each and the surveys of the same
/// day, all by indices; in this order, because an observer may have glanced at thousands.
fn judged_and_measured(
    crop: &str,
    observer: &str,
    view: &View,
    book: &Connection,
) -> rusqlite::Result<BTreeSet<i64>> {
    let mut found = BTreeSet::new();
    let mut words = Words::default();
    let mut statement = book.prepare_cached(
        "SELECT kin.place, kin.id, kin.recorded_on, glance.id, glance.recorded_on, \
                survey.id, survey.recorded_on \
         FROM patch AS kin \
         CROSS JOIN glance ON glance.place = kin.place AND glance.by_whom = ?2 \
         CROSS JOIN survey ON survey.place = kin.place \
                          AND survey.happened_on = glance.happened_on \
         WHERE kin.crop = ?1",
    )?;
    let mut rows = statement.query(params![crop, observer])?;
    while let Some(row) = rows.next()? {
        let mut fields = Fields::of(row, &mut words);
        let place = fields.whole()?;
        let all_count = view.counts(fields.id()?, fields.day()?)
            && view.counts(fields.id()?, fields.day()?)
            && view.counts(fields.id()?, fields.day()?);
        if all_count {
            found.insert(place);
        }
    }
    Ok(found)
}

/// The sites on which the patches lie.
pub(super) fn sites_of(
    patches: &BTreeSet<i64>,
    view: &View,
    book: &Connection,
) -> rusqlite::Result<BTreeSet<i64>> {
    let mut sites = BTreeSet::new();
    for patch in patches {
        let sql = "SELECT id, recorded_on, site FROM patch WHERE place = ?";
        sites.extend(live_places(sql, [patch], view, book)?);
    }
    Ok(sites)
}
