//! Reading the facts of a kind, all of them or those about certain places.

use rusqlite::{Connection, Params, Statement};

use super::envelope::{ENVELOPE, Envelope};
use super::fields::Fields;
use super::names::Names;
use super::packed::{Pack, packed_in, section};
use super::seal::{SEALS, Sealer};
use super::sound::Soundness;
use super::tables;
use super::to_pack::ToPack;
use super::view::View;
use super::words::Words;
use crate::records::{Fact, Listed};

/// Which facts of a kind to read.
#[derive(Clone, Copy, Debug)]
pub(super) enum Which<'a> {
    All,
    /// Those about these places, which are in order.
    About(&'a [i64]),
    /// Those about places with a number from the first to the last of each run; runs are in order.
    Within(&'a [Run]),
}

/// Numbers, from the first to the last.
pub(super) type Run = [i64; 2];

/// Reads the facts that count in one view, with the names that places bear in it.
pub(super) struct Reader<'a> {
    pub(super) book: &'a Connection,
    pub(super) view: &'a View,
    pub(super) names: Names,
    pub(super) words: Words,
    pub(super) sound: Soundness,
    /// What is packed of places that no query is asked about.
    pub(super) packs: Vec<Pack>,
    /// About so many patches are read, where that is known: what holds them need not grow.
    pub(super) room_for_patches: usize,
}

impl<'a> Reader<'a> {
    /// `sound` is what was found so far, beside the view.
    pub(super) fn of(book: &'a Connection, view: &'a View, sound: Soundness) -> Self {
        let (names, words) = (Names::default(), Words::default());
        Self { book, view, names, words, sound, packs: Vec::new(), room_for_patches: 0 }
    }

    /// Believes what is packed of places in these runs, in the place of facts that are read next.
    /// Gives the runs of all other places.
    pub(super) fn believe_packs(&mut self, runs: &[Run]) -> rusqlite::Result<Vec<Run>> {
        let (packs, others) = packed_in(runs, self.room_for_patches, self.book)?;
        self.believe(packs);
        Ok(others)
    }

    /// Takes what is in hand of these places, in the place of facts that are read next. Gives all
    /// others.
    pub(super) fn take_from_hand(&mut self, places: &[i64], in_hand: &ToPack) -> Vec<i64> {
        let (packs, others) = in_hand.packs(places);
        self.believe(packs);
        others
    }

    fn believe(&mut self, packs: Vec<Pack>) {
        packs.iter().for_each(|pack| self.sound.believe(pack.place, pack.tally));
        self.packs = packs;
    }

    /// Shows each fact of the kind to `keep`, with the number of the place it is about, but
    /// for those of places without a name in this view, and those that are not what was
    /// recorded: what these are is known in the end.
    pub(super) fn each<T: Listed>(
        &mut self,
        which: Which,
        mut keep: impl FnMut(i64, Fact<T>),
    ) -> rusqlite::Result<()> {
        let table = T::NAME;
        let Self { book, view, names, words, sound, packs, .. } = self;
        let mut take = |fields: &mut Fields| {
            let Some(envelope) = Envelope::read(Some(view), fields)? else { return Ok(()) };
            let place = envelope.place;
            if let Some(record) = tables::read(place, names, fields)? {
                keep(place, envelope.around(record));
            }
            Ok(())
        };
        if let Some(section) = section(table) {
            for pack in &*packs {
                pack.each_row(section, words, &mut take)?;
            }
        }
        if let Which::Within([]) = which {
            return Ok(());
        }
        let columns = format!("{ENVELOPE}, {}, key, {SEALS}", tables::columns::<T>());
        let select = format!("SELECT {columns} FROM {table}");
        let mut sealer = Sealer::of_list(&columns);
        let mut see = |fields: &mut Fields| match sound.see(table, &mut sealer, fields.cells())? {
            Some(_) => take(fields),
            None => Ok(()),
        };
        each_row(book, words, which, [&select, ""], &mut see)
    }
}

/// Takes the rows of a query one after the other. It is called as it is, since two dozen kinds of
/// row would else have all of the query's code once each.
pub(super) type Take<'a> = dyn FnMut(&mut Fields) -> rusqlite::Result<()> + 'a;

/// Shows `read` the rows of a query, given by what stands before and behind its condition.
pub(super) fn each_row(
    book: &Connection,
    words: &mut Words,
    which: Which,
    [select, order]: [&str; 2],
    read: &mut Take,
) -> rusqlite::Result<()> {
    let query = |condition: &str| book.prepare_cached(&format!("{select} {condition} {order}"));
    match which {
        Which::All => each_row_of(&mut *query("")?, [], words, read),
        Which::About(places) => match runs_of(places).as_slice() {
            // Patches of a site are mostly numbered one after the other.
            runs if runs.len() < places.len() => {
                each_row(book, words, Which::Within(runs), [select, order], read)
            }
            _ => {
                let mut statement = query("WHERE place = ?")?;
                places
                    .iter()
                    .try_for_each(|place| each_row_of(&mut statement, [place], words, read))
            }
        },
        Which::Within(runs) => {
            let mut statement = query("WHERE place BETWEEN ? AND ?")?;
            runs.iter().try_for_each(|run| each_row_of(&mut statement, *run, words, read))
        }
    }
}

/// Numbers that are in order, as runs of those that follow one another.
pub(super) fn runs_of(places: &[i64]) -> Vec<Run> {
    let runs = places.chunk_by(|one, next| one.checked_add(1) == Some(*next));
    runs.filter_map(|run| Some([*run.first()?, *run.last()?])).collect()
}

fn each_row_of(
    statement: &mut Statement,
    values: impl Params,
    words: &mut Words,
    read: &mut Take,
) -> rusqlite::Result<()> {
    let mut rows = statement.query(values)?;
    while let Some(row) = rows.next()? {
        read(&mut Fields::of(row, words))?;
    }
    Ok(())
}
