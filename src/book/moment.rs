//! The book at one moment, while nobody else can write.

use std::cell::RefCell;
use std::path::Path;

use jiff::civil::Date;
use rusqlite::{Connection, params};

use super::acts::{Act, acts_of, replacement_of};
use super::append::{NewFact, record, tell};
use super::attendees::{self, Attendee};
use super::deeds::{Deed, Fate, deeds, fate};
use super::directory::{patch, whole_directory};
use super::error::{BookError, Failure};
use super::fields::bytes;
use super::history::{fact, fact_of, holds_ever, last_patch_named, named, versions};
use super::indexes::{PutOff, put_off};
use super::ledger::ledger_at;
use super::neighbours::Boxes;
use super::packed::pack_anew;
use super::places::{PlacesMark, places_mark};
use super::scope::Scope;
use super::to_pack::ToPack;
use super::view::View;
use crate::records::{
    Clash, Correction, Directory, FactId, HistoryLine, Kind, KnownPatch, Ledger, PatchName,
    WalkName,
};

/// What [`super::Book::decide`] shows: all of it is still so when the decision is recorded.
#[derive(Debug)]
pub struct Moment<'book> {
    pub(super) book: &'book Connection,
    pub(super) path: &'book Path,
    /// The places about which something was recorded at this moment.
    to_pack: RefCell<ToPack>,
    /// The indexes that are to be made when it ends.
    put_off: RefCell<Vec<PutOff>>,
    /// Of the sites as they are now.
    boxes: RefCell<Boxes>,
}

impl<'book> Moment<'book> {
    /// As [`Self::record`].
    pub(super) fn take_down(
        &self,
        facts: &[NewFact],
        corrections: &[Correction],
    ) -> Result<(), Failure> {
        let is_site = |new: &NewFact| new.fact.record.kind() == Kind::Site;
        if !corrections.is_empty() || facts.iter().any(is_site) {
            self.boxes.take();
        }
        record(facts, corrections, self.book, &mut self.to_pack.borrow_mut())
    }

    pub(super) fn at(book: &'book Connection, path: &'book Path) -> Self {
        Self {
            book,
            path,
            to_pack: RefCell::default(),
            put_off: RefCell::default(),
            boxes: RefCell::default(),
        }
    }

    /// Packs anew what is known of places about which something was recorded at this moment, and
    /// makes what was put off: nothing may be recorded any more.
    pub(super) fn end(self) -> Result<(), Failure> {
        for indexes in self.put_off.take() {
            indexes.make(self.book)?;
        }
        Ok(pack_anew(self.to_pack.take(), self.book)?)
    }
}

/// Each gives a storage error where the book cannot be read, and a refusal where what was
/// asked for is not in it.
impl Moment<'_> {
    /// As [`super::Book::ledger`].
    pub fn ledger(&self, scope: &Scope) -> Result<Ledger, BookError> {
        let boxes = self.boxes.borrow();
        let in_hand = self.to_pack.borrow();
        ledger_at(self.book, scope, None, &boxes, &in_hand).map_err(|failure| failure.at(self.path))
    }

    /// As [`super::Book::directory`].
    pub fn directory(&self) -> Result<Directory, BookError> {
        whole_directory(self.book).map_err(|failure| failure.at(self.path))
    }

    /// As [`super::Book::patch`].
    pub fn patch(&self, asked: &str) -> Result<KnownPatch, BookError> {
        patch(self.book, asked).map_err(|failure| failure.at(self.path))
    }

    /// As [`super::Book::fact`].
    pub fn fact(&self, asked: &str) -> Result<HistoryLine, BookError> {
        fact(self.book, asked).map_err(|failure| failure.at(self.path))
    }

    /// The fact of that id, whether it counts or not; `None` where the book has none.
    pub fn fact_of(&self, id: FactId) -> Result<Option<HistoryLine>, BookError> {
        fact_of(id, self.book).map_err(|error| self.storage(error))
    }

    /// Whether the fact takes the place of another, which the book may have or have been told of.
    pub fn is_put_right_by(&self, id: FactId) -> Result<bool, BookError> {
        let sql = "SELECT 1 FROM correction WHERE replacement = ?";
        let found =
            self.book.prepare_cached(sql).and_then(|mut sql| sql.exists(params![bytes(&id)]));
        found.map_err(|error| self.storage(error))
    }

    /// What counts after all in the place of a withdrawal, by the id of its correction.
    pub fn after_withdrawal(&self, id: FactId) -> Result<Option<HistoryLine>, BookError> {
        let after = replacement_of(id, self.book).map_err(|error| self.storage(error))?;
        after.map_or(Ok(None), |after| self.fact_of(after))
    }

    /// What a hand recorded at the keyboard, command by command, the latest first.
    pub fn acts_of(&self, hand: &str) -> Result<Vec<Act>, BookError> {
        acts_of(hand, self.book).map_err(|error| self.storage(error))
    }

    /// Whether the fact was replaced or withdrawn.
    pub fn is_put_right(&self, id: FactId) -> Result<bool, BookError> {
        let sql = "SELECT 1 FROM correction WHERE replaced = ?";
        let found =
            self.book.prepare_cached(sql).and_then(|mut sql| sql.exists(params![bytes(&id)]));
        found.map_err(|error| self.storage(error))
    }

    /// Whether anything was ever put right.
    pub fn has_corrections(&self) -> Result<bool, BookError> {
        let found = self.book.prepare_cached("SELECT 1 FROM correction LIMIT 1");
        let found = found.and_then(|mut sql| sql.exists([]));
        found.map_err(|error| self.storage(error))
    }

    /// As [`super::Book::versions`].
    pub fn versions(&self, kind: Kind, key: &str) -> Result<Vec<HistoryLine>, BookError> {
        versions(self.book, kind, key).map_err(|error| self.storage(error))
    }

    /// What became of the fact of that kind and id; `None` where the book has none.
    pub fn fate(&self, kind: Kind, id: FactId) -> Result<Option<Fate>, BookError> {
        fate(kind, id, self.book).map_err(|error| self.storage(error))
    }

    /// The sites, zones, patches or walks of that name that count: for a zone or a patch, its
    /// own name, on whatever site.
    pub fn named(&self, kind: Kind, name: &str) -> Result<Vec<HistoryLine>, BookError> {
        named(kind, name, self.book).map_err(|error| self.storage(error))
    }

    /// The surveys, glances or cuts of a patch that count.
    pub fn deeds(&self, kind: Kind, patch: &PatchName) -> Result<Vec<Deed>, BookError> {
        let view = View::read(self.book, None).map_err(|error| self.storage(error))?;
        let place =
            last_patch_named(patch, &view, self.book).map_err(|failure| failure.at(self.path))?;
        deeds(kind, place, self.book).map_err(|error| self.storage(error))
    }

    /// Records facts and corrections at once, so that what is looked at from here on has them.
    /// They stay only if the decision is made.
    ///
    /// # Errors
    /// As [`super::Book::append`].
    pub fn record(&self, facts: &[NewFact], corrections: &[Correction]) -> Result<(), BookError> {
        self.take_down(facts, corrections).map_err(|failure| failure.at(self.path))
    }

    /// Says that very many facts of a kind will be recorded. In a book that has none of them yet,
    /// nothing is looked up among them before the decision is made.
    ///
    /// # Errors
    /// A storage error where the book cannot be written.
    pub fn expects_many(&self, kind: Kind) -> Result<(), BookError> {
        let indexes = put_off(kind, self.book).map_err(|error| self.storage(error))?;
        self.put_off.borrow_mut().extend(indexes);
        Ok(())
    }

    /// As [`super::Book::clashes`].
    pub fn clashes(&self) -> Result<Vec<Clash>, BookError> {
        super::view::clashes(self.book).map_err(|error| self.storage(error))
    }

    /// As [`super::Book::misplaced`].
    pub fn misplaced(&self) -> Result<Vec<HistoryLine>, BookError> {
        super::misplaced::misplaced(self.book).map_err(|error| self.storage(error))
    }

    /// As [`super::Book::attendees`].
    pub fn attendees(&self, walk: &WalkName) -> Result<Vec<Attendee>, BookError> {
        attendees::read(self.book, walk).map_err(|error| self.storage(error))
    }

    /// What was ever set aside for a walk, oldest first.
    pub fn holds_ever(&self, walk: &WalkName) -> Result<Vec<HistoryLine>, BookError> {
        holds_ever(walk.as_str(), self.book).map_err(|error| self.storage(error))
    }

    /// Writes down what another book put right, as it tells it: also of facts that this one does
    /// not have. What is looked at from here on has it; it stays only if the decision is made.
    /// Gives how many of them were new.
    ///
    /// # Errors
    /// A refusal of corrections that lead in a circle.
    pub fn tell(&self, told: &[(Kind, Correction)]) -> Result<usize, BookError> {
        self.boxes.take();
        let (new, places) = tell(told, self.book).map_err(|failure| failure.at(self.path))?;
        self.to_pack.borrow_mut().places.extend(places);
        Ok(new)
    }

    /// The latest day on which anything happened; `None` in an empty book. Reads every fact.
    pub fn last_day(&self) -> Result<Option<Date>, BookError> {
        super::history::last_day(self.book).map_err(|error| self.storage(error))
    }

    /// As [`super::Book::places_mark`].
    pub fn places_mark(&self) -> Result<PlacesMark, BookError> {
        places_mark(self.book).map_err(|error| self.storage(error))
    }

    /// Whether nothing was ever recorded.
    pub fn is_empty(&self) -> Result<bool, BookError> {
        let sql = "SELECT NOT EXISTS (SELECT 1 FROM fact)";
        let is_empty = self
            .book
            .prepare_cached(sql)
            .and_then(|mut sql| sql.query_row(params![], |row| row.get(0)));
        is_empty.map_err(|error| self.storage(error))
    }

    fn storage(&self, error: rusqlite::Error) -> BookError {
        Failure::from(error).at(self.path)
    }
}
