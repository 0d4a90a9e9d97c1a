//! Whether the parts of surveys and their quadrats are what was recorded.

use rusqlite::Connection;

use super::fields::bytes;
use super::seal::{Sealer, columns_of};
use super::sealing::Quadrats;
use super::sound::{look, misread};
use crate::records::FactId;

/// Looks at the parts of surveys and their quadrats.
pub(super) struct PartsLookedAt<'book> {
    book: &'book Connection,
    select: String,
    sealer: Sealer,
    quadrats: Quadrats<'book>,
}

impl<'book> PartsLookedAt<'book> {
    pub(super) fn of(book: &'book Connection) -> rusqlite::Result<Self> {
        const CLAUSE: &str = "survey = ?1 AND place = (SELECT place FROM survey WHERE id = ?1)";
        let columns = columns_of("part", book)?;
        let select = format!("SELECT {columns} FROM part WHERE {CLAUSE}");
        let (sealer, quadrats) = (Sealer::of_list(&columns), Quadrats::of(book)?);
        Ok(Self { book, select, sealer, quadrats })
    }

    /// # Errors
    /// A sentence, where the parts or the quadrats of a survey are not what was recorded.
    pub(super) fn look(&mut self, survey: FactId) -> rusqlite::Result<()> {
        let mut statement = self.book.prepare_cached(&self.select)?;
        let mut rows = statement.query([bytes(&survey)])?;
        // Every survey has parts; a damaged index may hide them.
        let mut is_found = false;
        while let Some(row) = rows.next()? {
            is_found = true;
            look("part", &mut self.sealer, row)?;
            if let Some(wrong) = self.quadrats.wrong(row)? {
                return Err(misread(wrong));
            }
        }
        match is_found {
            true => Ok(()),
            false => Err(misread(format!("survey `{}` has no quadrats", survey.short()))),
        }
    }
}
