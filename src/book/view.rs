//! Which facts count: now, or as was known on a day.

use std::collections::HashSet;

use jiff::civil::Date;
use rusqlite::Connection;

use super::fields::Fields;
use super::words::Words;
use crate::records::FactId;

/// The book as known on a day.
///
/// A fact counts from the day it was recorded until the day a correction of it was. One that
/// came in as a correction counts from the correction's day, even where it bears an earlier
/// one; so what is recorded later never changes what was known before.
#[derive(Debug)]
pub(super) struct View {
    on: Option<Date>,
    replaced: HashSet<FactId>,
    not_yet: HashSet<FactId>,
}

impl View {
    /// `None`: all that is recorded counts.
    pub(super) fn read(book: &Connection, on: Option<Date>) -> rusqlite::Result<Self> {
        let mut view = Self { on, replaced: HashSet::new(), not_yet: HashSet::new() };
        let mut words = Words::default();
        let mut corrections =
            book.prepare_cached("SELECT replaced, replacement, recorded_on FROM correction")?;
        let mut rows = corrections.query([])?;
        while let Some(row) = rows.next()? {
            let mut fields = Fields::of(row, &mut words);
            let (replaced, replacement) = (fields.id()?, fields.maybe_id()?);
            if view.reaches(fields.day()?) {
                view.replaced.insert(replaced);
            } else {
                view.not_yet.extend(replacement);
            }
        }
        Ok(view)
    }

    pub(super) fn counts(&self, id: FactId, recorded_on: Date) -> bool {
        self.reaches(recorded_on) && !self.replaced.contains(&id) && !self.not_yet.contains(&id)
    }

    fn reaches(&self, day: Date) -> bool {
        self.on.is_none_or(|last| day <= last)
    }
}
