//! How eyes erred on land that a working copy does not show.

use jiff::civil::Date;
use rusqlite::Connection;

use super::fields::Fields;
use super::words::Words;
use crate::records::EyeTold;

/// What was told of them by a day, or now; nothing in a book that has all its facts.
pub(super) fn eyes_elsewhere(
    known_on: Option<Date>,
    book: &Connection,
) -> rusqlite::Result<Vec<EyeTold>> {
    let is_told =
        book.prepare_cached("SELECT 1 FROM sqlite_schema WHERE name = 'shared_eye'")?.exists([])?;
    if !is_told {
        return Ok(Vec::new());
    }
    let mut words = Words::default();
    let mut statement = book
        .prepare_cached("SELECT crop, observer, day, log_ratio FROM shared_eye ORDER BY rowid")?;
    let mut rows = statement.query([])?;
    let mut told = Vec::new();
    while let Some(row) = rows.next()? {
        let mut fields = Fields::of(row, &mut words);
        let (crop, observer) = (fields.word()?, fields.word()?);
        let (day, log_ratio) = (fields.day()?, fields.number()?);
        if known_on.is_none_or(|known_on| day <= known_on) {
            told.push(EyeTold { crop, observer, day, log_ratio });
        }
    }
    Ok(told)
}
