//! Whether the book is whole.

use rusqlite::Connection;

use super::branches::{Branches, Step};
use super::error::{BookError, StorageError};
use super::fields::Fields;
use super::history::{Condition, each_fact};
use super::one_moment::at_one_moment;
use super::open::Book;
use super::packed;
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
        integrity(self).map_err(|error| StorageError::from_sqlite(&self.path, &error).into())
    }
}

/// Each part is looked at on a connection of its own, where they can be had: all are long.
fn integrity(book: &Book) -> rusqlite::Result<Vec<String>> {
    let (moment, further) = at_one_moment(book, PARTS)?;
    let Ok([pages, rows, references, facts]) = <[Connection; PARTS]>::try_from(further) else {
        return integrity_at(&moment);
    };
    let (pages, (rows, (references, facts))) = rayon::join(
        move || damaged_pages(&pages),
        move || {
            rayon::join(
                move || sound::all_that_is_not(&rows),
                move || rayon::join(move || misled(&references), move || all_unreadable(&facts)),
            )
        },
    );
    all_wrong(pages?, rows, || Ok((references?, facts)))
}

/// Pages, rows, references, facts.
const PARTS: usize = 4;

/// The same within a transaction that is open already.
pub(super) fn integrity_at(moment: &Connection) -> rusqlite::Result<Vec<String>> {
    let (pages, rows) = (damaged_pages(moment)?, sound::all_that_is_not(moment));
    all_wrong(pages, rows, || Ok((misled(moment)?, all_unreadable(moment))))
}

fn all_wrong(
    pages: Vec<String>,
    rows: Vec<String>,
    others: impl FnOnce() -> rusqlite::Result<(Vec<String>, Vec<String>)>,
) -> rusqlite::Result<Vec<String>> {
    // What is asked of damaged pages is not worth answering.
    let (references, facts) = if pages.is_empty() { others()? } else { Default::default() };
    Ok([pages, rows, references, facts].concat())
}

/// Whatever does not lead where it should.
fn misled(book: &Connection) -> rusqlite::Result<Vec<String>> {
    let mut wrong = lost_references(book)?;
    for question in QUESTIONS {
        wrong.extend(sentences(question, book)?);
    }
    wrong.extend(circles(book)?);
    wrong.extend(packed::wrong(book)?);
    for kind in Kind::ALL {
        wrong.extend(misplaced(kind, book)?);
    }
    Ok(wrong)
}

fn all_unreadable(book: &Connection) -> Vec<String> {
    Kind::ALL.into_iter().flat_map(|kind| unreadable(kind, book)).collect()
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
