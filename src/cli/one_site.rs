//! What is known of some sites alone, for answers that need no others: it is less to read, and
//! answers even where another site's facts are damaged.

use std::collections::BTreeSet;
use std::sync::Arc;

use jiff::civil::Date;

use super::failure::Failure;
use crate::book::{Book, BookError, Moment, Refusal, Scope};
use crate::records::{Directory, Ledger, SiteName};

/// The site that is called so, with what is known of it by a day, or now.
///
/// # Errors
/// That there is none, with the nearest name in the whole book.
pub fn site_alone(book: &Book, asked: &str) -> Result<(SiteName, Ledger), Failure> {
    site_alone_on(book, asked, None)
}

/// The same as it was known on a day.
///
/// # Errors
/// The same.
pub fn site_alone_on(
    book: &Book,
    asked: &str,
    known_on: Option<Date>,
) -> Result<(SiteName, Ledger), Failure> {
    let ledger = of_sites(&[asked.to_owned()], |scope| book.ledger(scope, known_on))?;
    Ok((Directory::of(&ledger).site_meant(asked)?.clone(), ledger))
}

/// Every patch of the crops, from which one that was never surveyed is guessed.
///
/// # Errors
/// A storage error where the book cannot be read.
pub fn peers(book: &Book, crops: BTreeSet<Arc<str>>) -> Result<Ledger, Failure> {
    match crops.is_empty() {
        true => Ok(Ledger::default()),
        false => Ok(book.ledger(&Scope::Crops(crops), None)?),
    }
}

/// What is known of the sites of those names, or of all where there are none. Where one is not
/// found, all is read: only the whole book knows what may have been meant.
///
/// # Errors
/// A storage error where the book cannot be read.
pub fn of_sites(
    asked: &[String],
    read: impl Fn(&Scope) -> Result<Ledger, BookError>,
) -> Result<Ledger, Failure> {
    let named: Option<Vec<SiteName>> = asked.iter().map(|name| SiteName::new(name).ok()).collect();
    let scope = named.filter(|named| !named.is_empty()).map_or(Scope::All, Scope::Sites);
    match read(&scope) {
        Err(BookError::Refused(Refusal::NotFound(_))) => {
            let all = read(&Scope::All)?;
            // Of beginnings that mean one site each, those sites alone.
            let known = Directory::of(&all);
            let meant: Option<Vec<SiteName>> =
                asked.iter().map(|name| known.site_meant(name).cloned().ok()).collect();
            Ok(meant.map_or(Ok(all), |meant| read(&Scope::Sites(meant)))?)
        }
        read => Ok(read?),
    }
}

/// What is known of a walk's sites, or of all where no walk is called so.
///
/// # Errors
/// A storage error where the book cannot be read.
pub fn of_walk(moment: &Moment, asked: &str) -> Result<Ledger, Failure> {
    as_asked(&Scope::Walk(asked.to_owned()), |scope| moment.ledger(scope))
}

/// The same of a book that is only read.
///
/// # Errors
/// The same.
pub fn of_walk_in(book: &Book, asked: &str) -> Result<Ledger, Failure> {
    as_asked(&Scope::Walk(asked.to_owned()), |scope| book.ledger(scope, None))
}

fn as_asked(
    scope: &Scope,
    read: impl Fn(&Scope) -> Result<Ledger, BookError>,
) -> Result<Ledger, Failure> {
    match read(scope) {
        Err(BookError::Refused(Refusal::NotFound(_))) => Ok(read(&Scope::All)?),
        read => Ok(read?),
    }
}
