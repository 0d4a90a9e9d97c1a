//! What one hand recorded at the keyboard, command by command.
//!
//! All ids that a command draws bear one moment (UUID version 7, RFC 9562, section 5.7), so that
//! what was recorded together is known by it. What files bring bears the day of what it says, and
//! is nobody's act.

use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

use rusqlite::{Connection, OptionalExtension, params};
use uuid::Uuid;

use super::branches::{CORRECTION, read_correction};
use super::fields::{Fields, bytes};
use super::words::Words;
use crate::records::{Correction, FactId, Kind, Replacement, folded};

/// The facts and corrections of one command.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Act {
    /// In the order of their ids.
    pub facts: Vec<FactId>,
    /// In the order of their ids.
    pub corrections: Vec<Correction>,
}

/// The acts of a hand, the latest first.
pub(super) fn acts_of(hand: &str, book: &Connection) -> rusqlite::Result<Vec<Act>> {
    let hand = folded(hand);
    let mut acts: BTreeMap<u64, Act> = BTreeMap::new();
    let mut words = Words::default();
    // What puts a fact right is still by whoever saw or did it; the hand is whose correction it is.
    let mut put_right_by: HashMap<FactId, Arc<str>> = HashMap::new();
    let sql = format!("SELECT {CORRECTION} FROM correction");
    let mut statement = book.prepare_cached(&sql)?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        let correction = read_correction(row, &mut words)?;
        if let Replacement::By(id) = correction.replacement {
            put_right_by.insert(id, correction.by.clone());
        }
        if let Some(moment) = moment_of(correction.id.0).filter(|_| folded(&correction.by) == hand)
        {
            acts.entry(moment).or_default().corrections.push(correction);
        }
    }
    for kind in Kind::ALL {
        let sql = format!("SELECT id, by_whom FROM {} WHERE file IS NULL", kind.name());
        let mut statement = book.prepare_cached(&sql)?;
        let mut rows = statement.query([])?;
        while let Some(row) = rows.next()? {
            let mut fields = Fields::of(row, &mut words);
            let (id, by) = (fields.id()?, fields.text()?);
            let by = put_right_by.get(&id).map_or(by, |by| by);
            if let Some(moment) = moment_of(id.0).filter(|_| folded(by) == hand) {
                acts.entry(moment).or_default().facts.push(id);
            }
        }
    }
    let mut acts: Vec<Act> = acts.into_values().rev().collect();
    for act in &mut acts {
        act.facts.sort_unstable();
        act.corrections.sort_unstable_by_key(|correction| (correction.id, correction.replaced));
    }
    Ok(acts)
}

/// The fact that takes the place of a fact or of a withdrawal, if one does.
pub(super) fn replacement_of(id: FactId, book: &Connection) -> rusqlite::Result<Option<FactId>> {
    let mut words = Words::default();
    let sql = "SELECT replacement FROM correction WHERE replaced = ? AND replacement IS NOT NULL";
    book.prepare_cached(sql)?
        .query_row(params![bytes(&id)], |row| Fields::of(row, &mut words).id())
        .optional()
}

/// In milliseconds; `None` for an id that was not drawn.
fn moment_of(id: Uuid) -> Option<u64> {
    let is_drawn = id.get_version_num() == 7;
    is_drawn.then(|| u64::try_from(id.as_u128() >> 80).unwrap_or(0))
}
