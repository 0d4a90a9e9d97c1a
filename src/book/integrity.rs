//! Whether the book is whole.

use rusqlite::Connection;

use super::branches::{Branches, Step};
use super::error::{BookError, StorageError};
use super::fields::Fields;
use super::history::{Condition, each_fact};
use super::open::Book;
use super::sound;
use super::tables::part::{StoredSample, read_parts};
use super::tables::parts;
use super::words::Words;
use crate::estimate::Sample;
use crate::records::{FactId, Kind, Land, Record};

/// How far a stored mean or deviation may lie from that of the quadrats, as a part of it:
/// the rounding of another way to add them up.
const ROUNDING: f64 = 1e-9;

/// Each gives a sentence for everything that is wrong; nothing where all is well.
const QUESTIONS: [&str; 7] = [
    "SELECT 'two facts share the id `' || lower(hex(id)) || '`' FROM fact
     GROUP BY id HAVING count(*) > 1",
    "SELECT 'patch `' || name || '` lies on a patch, not on a site'
     FROM patch JOIN place ON place.no = patch.site WHERE place.kind <> 'site'",
    "SELECT 'a correction is of fact `' || substr(lower(hex(replaced)), -8)
            || '`, which is not there'
     FROM correction LEFT JOIN fact ON fact.id = replaced WHERE fact.id IS NULL
        AND replaced NOT IN (SELECT id FROM correction WHERE replacement IS NULL)",
    "SELECT 'what took the place of fact `' || substr(lower(hex(replaced)), -8)
            || '` is not there'
     FROM correction LEFT JOIN fact ON fact.id = replacement
     WHERE replacement IS NOT NULL AND fact.id IS NULL",
    "SELECT 'the ' || old.kind || ' `' || substr(lower(hex(replaced)), -8) || '` became a '
            || new.kind
     FROM correction JOIN fact AS old ON old.id = replaced JOIN fact AS new ON new.id = replacement
     WHERE old.kind <> new.kind",
    "SELECT 'fact `' || substr(lower(hex(replaced)), -8) || '` was corrected on '
            || correction.recorded_on || ', before it was recorded'
     FROM correction JOIN fact ON fact.id = replaced
     WHERE correction.recorded_on < fact.recorded_on",
    "SELECT 'survey `' || key || '` has no quadrats' FROM survey
     WHERE id NOT IN (SELECT survey FROM part)",
];

impl Book {
    /// Everything that is wrong with the book, a sentence each; nothing for one that is whole.
    ///
    /// # Errors
    /// A storage error where the book cannot be read at all.
    pub fn integrity(&self) -> Result<Vec<String>, BookError> {
        integrity(&self.connection)
            .map_err(|error| StorageError::from_sqlite(&self.path, &error).into())
    }
}

fn integrity(book: &Connection) -> rusqlite::Result<Vec<String>> {
    integrity_at(&*book.unchecked_transaction()?)
}

/// The same within a transaction that is open already.
pub(super) fn integrity_at(moment: &Connection) -> rusqlite::Result<Vec<String>> {
    let mut wrong = damaged_pages(moment)?;
    let is_readable = wrong.is_empty();
    wrong.extend(sound::all_that_is_not(moment));
    // What is asked of damaged pages is not worth answering.
    if is_readable {
        wrong.extend(lost_references(moment)?);
        for question in QUESTIONS {
            wrong.extend(sentences(question, moment)?);
        }
        wrong.extend(circles(moment)?);
        for kind in Kind::ALL {
            wrong.extend(misplaced(kind, moment)?);
            wrong.extend(unreadable(kind, moment));
        }
    }
    Ok(wrong)
}

fn sentences(question: &str, book: &Connection) -> rusqlite::Result<Vec<String>> {
    book.prepare(question)?.query_map([], |row| row.get(0))?.collect()
}

/// Facts about a site that should be about a patch, or the other way round.
fn misplaced(kind: Kind, book: &Connection) -> rusqlite::Result<Vec<String>> {
    let (name, wrong) = match kind.land() {
        Land::NewSite | Land::Site => (kind.name(), "patch"),
        Land::NewPatch | Land::Patch => (kind.name(), "site"),
        Land::SiteOrPatch => return Ok(Vec::new()),
    };
    let question = format!(
        "SELECT '{name} `' || substr(lower(hex(id)), -8) || '` is about a {wrong}' \
         FROM {name} JOIN place ON place.no = {name}.place WHERE place.kind = '{wrong}'"
    );
    sentences(&question, book)
}

fn damaged_pages(book: &Connection) -> rusqlite::Result<Vec<String>> {
    let mut answers = sentences("PRAGMA integrity_check", book)?;
    answers.retain(|answer| answer != "ok");
    Ok(answers)
}

fn lost_references(book: &Connection) -> rusqlite::Result<Vec<String>> {
    let question = "SELECT count(*) || ' of the rows of `' || \"table\" || '` refer to a `' \
                           || parent || '` that is not there' \
                    FROM pragma_foreign_key_check GROUP BY \"table\", parent";
    sentences(question, book)
}

fn circles(book: &Connection) -> rusqlite::Result<Vec<String>> {
    let mut words = Words::default();
    let steps: Vec<Step> = book
        .prepare("SELECT id, replaced, replacement FROM correction")?
        .query_map([], |row| {
            let mut fields = Fields::of(row, &mut words);
            let (correction, replaced) = (fields.id()?, fields.id()?);
            Ok(Step { correction, replaced, replacement: fields.maybe_id()? })
        })?
        .collect::<rusqlite::Result<_>>()?;
    let mut starts: Vec<FactId> = steps.iter().map(|step| step.replaced).collect();
    starts.sort();
    starts.dedup();
    let branches = Branches::of(steps);
    let in_circle = starts.into_iter().filter(|start| branches.leads_back(*start));
    let sentence =
        |id: FactId| format!("the corrections of fact `{}` lead in a circle", id.short());
    Ok(in_circle.map(sentence).collect())
}

/// Reads every fact of a kind in full: columns that hold no day, name or shape, and surveys
/// whose parts do not come to what their quadrats do.
fn unreadable(kind: Kind, book: &Connection) -> Vec<String> {
    let mut wrong = Vec::new();
    let whole = each_fact(kind, Condition::UNSEEN, None, book, &mut |key, _, fact| {
        if let Record::Survey(survey) = &fact.record
            && !agree(&read_parts(fact.id, book)?, &parts(&survey.method))
        {
            wrong.push(format!("the parts of survey `{key}` do not match its quadrats"));
        }
        Ok(())
    });
    if let Err(error) = whole {
        wrong.push(format!("a {} cannot be read: {error}", kind.name()));
    }
    wrong
}

fn agree(stored: &[StoredSample], counted: &[StoredSample]) -> bool {
    let alike = |one: Sample, two: Sample| {
        one.n == two.n && near(one.mean, two.mean) && near(one.sd, two.sd)
    };
    let fits = |(one, two): (&StoredSample, &StoredSample)| {
        one.role == two.role && alike(one.sample, two.sample)
    };
    stored.len() == counted.len() && stored.iter().zip(counted).all(fits)
}

fn near(one: f64, two: f64) -> bool {
    (one - two).abs() <= ROUNDING * one.abs().max(two.abs())
}
