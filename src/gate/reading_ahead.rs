//! Files are read before the book is held, so that nobody who writes meanwhile waits for it.
//!
//! What a file says depends on the places of the book and on nothing else in it. So it is read
//! against the places as they are, and that stands if the book has still the same ones once
//! nobody else can write. Else it is read again; and where others keep changing the places, in
//! the end while they wait.

use super::admit::{Admitted, Tables};
use super::delivery::{Answers, Delivery};
use super::gatekeeper::Gate;
use super::places::Places;
use super::turned::Turned;
use crate::book::{Book, BookError, Moment, PlacesMark, Scope};

/// How often files are read while others may write.
const TRIES: usize = 3;

/// Files as they read against the places of one moment.
struct Read {
    mark: PlacesMark,
    places: Places,
    maps: Vec<Delivery>,
    /// What stood in the way is told only if the tables are not to be read again.
    tables: Result<Vec<Delivery>, Turned>,
}

/// Why what was read ahead was not recorded.
enum Stopped {
    Turned(Turned),
    /// Another command changed the places meanwhile.
    PlacesChanged,
}

impl From<Turned> for Stopped {
    fn from(turned: Turned) -> Self {
        Self::Turned(turned)
    }
}

impl From<BookError> for Stopped {
    fn from(error: BookError) -> Self {
        Self::Turned(error.into())
    }
}

impl Gate<'_> {
    /// Records what files bring, all of it or nothing: maps and what was put right first, which
    /// `maps` reads against the places of the book and adds to them. Then tables, read against
    /// the places as they are once the maps are recorded. Either may be asked more than once, and
    /// must give the same for the same places.
    ///
    /// # Errors
    /// Why nothing was recorded, with the way out.
    pub fn admit_files(
        &self,
        book: &mut Book,
        answers: &Answers,
        maps: impl Fn(&mut Places) -> Result<Vec<Delivery>, Turned>,
        tables: impl Fn(&Places) -> Result<Vec<Delivery>, Turned>,
    ) -> Result<Admitted, Turned> {
        for _ in 0..TRIES {
            let Read { mark, places, maps, tables: ahead } = read(book, &maps, &tables)?;
            book.takes_in_files();
            let decided = book.decide(|moment| {
                if moment.places_mark()? != mark {
                    return Err(Stopped::PlacesChanged);
                }
                let tables = Tables { ahead: Some(ahead), anew: &tables };
                let decision = self.decide(moment, answers, places, maps, tables)?;
                Ok(self.recognise_from_now(moment, decision)?)
            })?;
            match decided {
                Ok(admitted) => return Ok(admitted),
                Err(Stopped::Turned(turned)) => return Err(turned),
                Err(Stopped::PlacesChanged) => {}
            }
        }
        book.decide(|moment| {
            let mut places = Places::of(moment.directory()?, moment.ledger(&Scope::All)?);
            let maps = maps(&mut places)?;
            let tables = Tables { ahead: None, anew: &tables };
            let decision = self.decide(moment, answers, places, maps, tables)?;
            self.recognise_from_now(moment, decision)
        })?
    }

    /// Records what `bring` makes of the book, all of it or nothing. `bring` gives the places
    /// that it read against, those it brings among them.
    ///
    /// # Errors
    /// Why nothing was recorded, with the way out.
    pub fn admit(
        &self,
        book: &mut Book,
        answers: &Answers,
        bring: impl FnOnce(&Moment) -> Result<(Places, Vec<Delivery>), Turned>,
    ) -> Result<Admitted, Turned> {
        book.decide(|moment| {
            let (places, deliveries) = bring(moment)?;
            self.decide(moment, answers, places, deliveries, Tables::none())
        })?
    }
}

fn read(
    book: &Book,
    maps: impl Fn(&mut Places) -> Result<Vec<Delivery>, Turned>,
    tables: impl Fn(&Places) -> Result<Vec<Delivery>, Turned>,
) -> Result<Read, Turned> {
    // Before the places: what comes in between then shows by the mark.
    let mark = book.places_mark()?;
    let mut places = places_of(book)?;
    let maps = maps(&mut places)?;
    let tables = tables(&places);
    Ok(Read { mark, places, maps, tables })
}

fn places_of(book: &Book) -> Result<Places, BookError> {
    Ok(Places::of(book.directory()?, book.ledger(&Scope::All, None)?))
}
