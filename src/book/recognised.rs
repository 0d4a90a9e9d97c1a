//! Files that say what they said when they were last loaded.
//!
//! Sorting a file takes seconds where it has a million rows, only to find that all of it is known.
//! What comes of an unchanged file follows from its bytes, from what the reader goes by, from the
//! places and what was put right, and from the facts that came from it. All of these are summed
//! into a mark. While the mark is the same, so is the answer; a fact that is lost, a place that is
//! called otherwise or a new correction makes another mark, and the file is read.

use std::collections::HashMap;
use std::sync::Arc;

use rusqlite::types::ValueRef;
use rusqlite::{Connection, OptionalExtension, Row, params};
use xxhash_rust::xxh3::Xxh3;

use super::error::{BookError, Failure};
use super::moment::Moment;
use super::open::Book;
use super::schema;
use super::seal::Seals;
use super::tally::Tally;
use crate::records::Kind;

/// A file as it lies on the disk.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileMark {
    /// The name by which its facts know it.
    pub file: Arc<str>,
    /// A checksum of its bytes.
    pub digest: u128,
}

/// What comes of a file whose every entry is known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Recognised {
    /// What the file is known again by.
    pub mark: FileMark,
    /// How many of its entries the book has as they are.
    pub known: u32,
    /// How many it has put right since.
    pub corrected_since: u32,
}

impl Book {
    /// Whether files of all these names have been recognised: if not, nobody need sum their bytes.
    ///
    /// # Errors
    /// A storage error where the book cannot be read.
    pub fn has_recognised(&self, files: &[String]) -> Result<bool, BookError> {
        let has_all = || {
            let mut known = self.connection.prepare("SELECT 1 FROM recognised WHERE file = ?")?;
            for file in files {
                if !known.exists([file])? {
                    return Ok(false);
                }
            }
            Ok(true)
        };
        has_all().map_err(|error: rusqlite::Error| Failure::from(error).at(&self.path))
    }

    /// What comes of these files, where all of them are recognised. `reader` stands for what
    /// files are read by beside the book: another makes other marks.
    ///
    /// # Errors
    /// A storage error where the book cannot be read.
    pub fn recognised(
        &self,
        files: &[FileMark],
        reader: u128,
    ) -> Result<Option<Vec<Recognised>>, BookError> {
        recognised(files, reader, &self.connection)
            .map_err(|error| Failure::from(error).at(&self.path))
    }
}

impl Moment<'_> {
    /// Lets these files be recognised from now on, as long as nothing that they rest on changes.
    ///
    /// # Errors
    /// A storage error where the book cannot be written.
    pub fn recognise(&self, files: &[Recognised], reader: u128) -> Result<(), BookError> {
        recognise(files, reader, self.book).map_err(|error| Failure::from(error).at(self.path))
    }
}

fn recognised(
    files: &[FileMark],
    reader: u128,
    book: &Connection,
) -> rusqlite::Result<Option<Vec<Recognised>>> {
    let mut kept =
        book.prepare("SELECT mark, known, corrected_since FROM recognised WHERE file = ?")?;
    let mut found: Vec<(Vec<u8>, Recognised)> = Vec::with_capacity(files.len());
    for mark in files {
        let row = kept.query_row([&mark.file], |row| {
            let (known, corrected_since) = (row.get(1)?, row.get(2)?);
            Ok((row.get(0)?, Recognised { mark: mark.clone(), known, corrected_since }))
        });
        match row.optional()? {
            Some(row) => found.push(row),
            None => return Ok(None),
        }
    }
    if found.is_empty() {
        return Ok(None);
    }
    let grounds = Grounds::of(book)?;
    let is_so = |(kept, found): &(Vec<u8>, Recognised)| *kept == grounds.mark(found, reader);
    let are_all = found.iter().all(is_so);
    Ok(are_all.then(|| found.into_iter().map(|(_, found)| found).collect()))
}

fn recognise(files: &[Recognised], reader: u128, book: &Connection) -> rusqlite::Result<()> {
    let grounds = Grounds::of(book)?;
    let mut keep = book.prepare(
        "INSERT OR REPLACE INTO recognised (file, mark, known, corrected_since) \
         VALUES (?, ?, ?, ?)",
    )?;
    for found in files {
        let mark = grounds.mark(found, reader);
        keep.execute(params![found.mark.file, mark, found.known, found.corrected_since])?;
    }
    Ok(())
}

/// What the answer of a load rests on: the checksums of rows, counted and summed.
struct Grounds {
    /// Of all that is not a deed, and of what was put right.
    common: Tally,
    /// Of the deeds that came from each file.
    of_file: HashMap<Box<[u8]>, Tally>,
}

impl Grounds {
    fn of(book: &Connection) -> rusqlite::Result<Self> {
        let mut grounds = Self { common: Tally::default(), of_file: HashMap::new() };
        for kind in Kind::ALL {
            let table = kind.name();
            if kind.is_deed() {
                grounds.count_deeds(table, book)?;
            } else {
                grounds.count(table, book)?;
            }
        }
        grounds.count("correction", book)?;
        Ok(grounds)
    }

    fn count(&mut self, table: &str, book: &Connection) -> rusqlite::Result<()> {
        let mut rows = book.prepare(&format!("SELECT seal, words_seal FROM {table}"))?;
        let mut rows = rows.query([])?;
        while let Some(row) = rows.next()? {
            self.common.add(seals(row)?);
        }
        Ok(())
    }

    fn count_deeds(&mut self, table: &str, book: &Connection) -> rusqlite::Result<()> {
        let mut rows = book.prepare(&format!("SELECT seal, words_seal, file FROM {table}"))?;
        let mut rows = rows.query([])?;
        while let Some(row) = rows.next()? {
            let ValueRef::Text(file) = row.get_ref(2)? else { continue };
            let seals = seals(row)?;
            match self.of_file.get_mut(file) {
                Some(tally) => tally.add(seals),
                None => self.of_file.entry(file.into()).or_default().add(seals),
            }
        }
        Ok(())
    }

    fn mark(&self, found: &Recognised, reader: u128) -> Vec<u8> {
        let Recognised { mark: FileMark { file, digest }, known, corrected_since } = found;
        let of_file = self.of_file.get(file.as_bytes()).copied().unwrap_or_default();
        let mut sum = Xxh3::new();
        sum.update(file.as_bytes());
        for number in [*digest, reader] {
            sum.update(&number.to_le_bytes());
        }
        let tallies = [self.common.rows, self.common.digest, of_file.rows, of_file.digest];
        for number in tallies.into_iter().chain([schema::NEWEST]) {
            sum.update(&number.to_le_bytes());
        }
        for number in [known, corrected_since] {
            sum.update(&number.to_le_bytes());
        }
        sum.digest128().to_le_bytes().to_vec()
    }
}

/// What has none is damaged, and makes another mark than it did when it was sealed.
fn seals(row: &Row) -> rusqlite::Result<Seals> {
    let seal = |at| Ok::<_, rusqlite::Error>(row.get_ref(at)?.as_i64_or_null().ok().flatten());
    Ok(Seals { limit: seal(0)?.unwrap_or(0), words: seal(1)?.unwrap_or(0) })
}
