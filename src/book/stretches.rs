//! The whole book, a stretch of its sites at a time: an answer about every patch needs no more
//! memory than a few stretches take, and several processors read at once.

use std::collections::BTreeSet;
use std::collections::hash_map::Entry;
use std::sync::{Mutex, MutexGuard, PoisonError};

use jiff::civil::Date;
use rayon::prelude::*;
use rusqlite::{Connection, Transaction};

use super::arrange::Arrangement;
use super::error::{BookError, Failure};
use super::eyes_elsewhere::eyes_elsewhere;
use super::ledger_reading::{
    PatchesOfSites, add_patches, read_patches, read_sites, read_terms, read_visits,
};
use super::names::Names;
use super::namesakes::WalksOfOneName;
use super::one_moment::at_one_moment;
use super::open::Book;
use super::reader::{Reader, Run, Which};
use super::scope::Selection;
use super::sound::Soundness;
use super::view::View;
use crate::records::Ledger;

/// Of about so many patches a stretch keeps a processor busy for some milliseconds.
pub const STRETCH: usize = 400;

/// A book read in stretches, all at one moment.
#[derive(Debug)]
pub struct Stretches<'book> {
    book: &'book Book,
    moment: Transaction<'book>,
    /// One for each thread that may read; none where only the book's own can be had.
    further: Vec<Mutex<Connection>>,
    sight: Sight,
    /// Of what was read of all sites at once.
    sound: Soundness,
    land: Arrangement,
    patches: usize,
}

/// How every stretch is read.
#[derive(Debug)]
struct Sight {
    view: View,
    walks: WalksOfOneName,
    /// Whether the book is so large that what is packed of patches is read in the place of facts: a
    /// smaller one is proved fact by fact in no time.
    is_large: bool,
}

/// Some whole sites, and the places whose visits are read with them.
#[derive(Debug)]
struct Stretch {
    land: Arrangement,
    places: Places,
}

/// What was found of a stretch.
#[derive(Debug)]
struct Found {
    sound: Soundness,
    /// Of so many places whose land was read before; `None` where it does not.
    adds_up: Option<usize>,
}

#[derive(Debug)]
enum Places {
    Runs(Vec<Run>),
    Single(Vec<i64>),
}

impl Book {
    /// Begins to read the whole book as known on a day, or now, in stretches of whole sites with
    /// about so many patches each.
    ///
    /// # Errors
    /// A storage error where the book cannot be read.
    pub fn stretches(
        &self,
        known_on: Option<Date>,
        patches: usize,
    ) -> Result<Stretches<'_>, BookError> {
        Stretches::begin(self, known_on, patches).map_err(|failure| failure.at(&self.path))
    }
}

impl<'book> Stretches<'book> {
    fn begin(book: &'book Book, known_on: Option<Date>, patches: usize) -> Result<Self, Failure> {
        let (moment, further) = at_one_moment(book, rayon::current_num_threads())?;
        let mut view = View::read(&moment, known_on)?;
        let sound = std::mem::take(&mut view.sound);
        let mut reader = Reader::of(&moment, &view, sound);
        let mut land = Arrangement::default();
        let further: Vec<Mutex<Connection>> = further.into_iter().map(Mutex::new).collect();
        read_sites(Which::All, &mut reader, &mut land)?;
        let of_sites = all_patches(&mut reader, &further)?;
        let is_large = of_sites.values().map(Vec::len).sum::<usize>() > patches;
        add_patches(of_sites, Which::All, &mut reader, &mut land)?;
        read_terms(&Selection::default(), &mut reader, &mut land)?;
        let sound = reader.sound;
        let walks = WalksOfOneName::read(&view, &moment)?;
        land.tell_of_eyes(eyes_elsewhere(known_on, &moment)?);
        let sight = Sight { view, walks, is_large };
        Ok(Self { book, moment, further, sight, sound, land, patches })
    }

    /// Every site with its patches and its terms, but without what was seen, promised and done on
    /// the patches, and with walks as their leaders call them.
    pub fn land(&self) -> &Ledger {
        self.land.ledger()
    }

    /// What `of` makes of the patches on which somebody's eye can be checked, since on one day
    /// there was a glance and a survey: ledgers with no others.
    ///
    /// # Errors
    /// A storage error where the book cannot be read.
    pub fn each_judged<T: Send>(
        &self,
        of: impl Fn(&Ledger) -> T + Sync,
    ) -> Result<Vec<T>, BookError> {
        let found = judged(&self.moment).map_err(Failure::from).and_then(|judged| {
            let stretches = self.land.only(&judged).split(self.patches).into_iter();
            let single =
                |land: Arrangement| Stretch { places: Places::Single(land.places()), land };
            self.read_each(stretches.map(single).collect(), &of)
        });
        let found = found.map_err(|failure| failure.at(&self.book.path))?;
        // What is damaged will be met again, and then be told.
        Ok(found.into_iter().map(|(made, _)| made).collect())
    }

    /// What `of` makes of each stretch, a ledger of some whole sites with all their patches. Which
    /// sites come together is not said.
    ///
    /// # Errors
    /// A storage error where the book cannot be read, or is not what was recorded.
    pub fn each<T: Send>(mut self, of: impl Fn(&Ledger) -> T + Sync) -> Result<Vec<T>, BookError> {
        let stretches = in_runs(std::mem::take(&mut self.land).split(self.patches));
        let found = self.read_each(stretches, &of).and_then(|found| self.settle(found));
        found.map_err(|failure| failure.at(&self.book.path))
    }

    /// Hands over each stretch in the order of the sites' names, one at a time, for answers that
    /// are too long to be held. All is read twice: nothing is handed over of a book that is damaged.
    ///
    /// # Errors
    /// As [`Self::each`], and those of `of`, after which no more is handed over.
    pub fn in_turn<E: From<BookError>>(
        mut self,
        mut of: impl FnMut(&Ledger) -> Result<(), E>,
    ) -> Result<(), E> {
        let at = |failure: Failure| E::from(failure.at(&self.book.path));
        let land = std::mem::take(&mut self.land);
        let patches = self.patches;
        let stretches = || in_runs(land.clone().split_by_name(patches));
        let read = self.read_each(stretches(), &|_| ()).map_err(at)?;
        self.settle(read).map_err(at)?;
        for stretch in stretches() {
            let (ledger, _) = self.sight.read(stretch, &self.sound, &self.moment).map_err(at)?;
            of(&ledger)?;
        }
        Ok(())
    }

    /// Holds what was found against what was kept of it.
    fn settle<T>(&mut self, found: Vec<(T, Found)>) -> Result<Vec<T>, Failure> {
        let added_up: Option<usize> = found.iter().map(|(_, found)| found.adds_up).sum();
        let (made, found): (Vec<T>, Vec<Found>) = found.into_iter().unzip();
        let mut sound = std::mem::take(&mut self.sound);
        // Of a book that lost all its sites no stretch could tell.
        if found.is_empty() || added_up.is_none_or(|places| !sound.is_whole(places)) {
            found.into_iter().for_each(|found| sound.join(found.sound));
            sound.settle(&Selection::default(), &mut Names::default(), &self.moment)?;
        }
        Ok(made)
    }

    /// With each, what was found of what was read.
    fn read_each<T: Send>(
        &self,
        stretches: Vec<Stretch>,
        of: &(impl Fn(&Ledger) -> T + Sync),
    ) -> Result<Vec<(T, Found)>, Failure> {
        let Self { further, sight, sound, .. } = self;
        if further.is_empty() {
            let read = stretches.into_iter().map(|stretch| {
                let (ledger, found) = sight.read(stretch, sound, &self.moment)?;
                Ok((of(&ledger), found))
            });
            return read.collect();
        }
        // One at a time, so that no thread is left with several when the others are done.
        let read = stretches.into_par_iter().with_max_len(1).map(|stretch| {
            let book = own_of(further);
            let (ledger, found) = sight.read(stretch, sound, &book)?;
            drop(book);
            Ok((of(&ledger), found))
        });
        read.collect()
    }
}

impl Sight {
    /// `land` is what was found with the land of all stretches.
    fn read(
        &self,
        stretch: Stretch,
        land: &Soundness,
        book: &Connection,
    ) -> Result<(Ledger, Found), Failure> {
        let Stretch { land: mut arranged, places } = stretch;
        let mut reader = Reader::of(book, &self.view, Soundness::default());
        arranged.name_patches(&mut reader.names);
        let mut adds_up = None;
        match &places {
            Places::Runs(runs) => {
                let facts = match self.is_large {
                    true => reader.believe_packs(runs)?,
                    false => runs.clone(),
                };
                read_visits(Which::Within(&facts), &mut reader, &mut arranged)?;
                adds_up = reader.sound.adds_up(land, &reader.packs, &facts, book)?;
            }
            Places::Single(places) => {
                read_visits(Which::About(places), &mut reader, &mut arranged)?;
            }
        }
        let mut ledger = arranged.into_ledger();
        self.walks.tell_apart(&mut ledger);
        Ok((ledger, Found { sound: reader.sound, adds_up }))
    }
}

/// The connection of this thread. Nothing waits for another thread while it holds one.
fn own_of(further: &[Mutex<Connection>]) -> MutexGuard<'_, Connection> {
    let own = rayon::current_thread_index().unwrap_or_default() % further.len();
    further[own].lock().unwrap_or_else(PoisonError::into_inner)
}

/// Every patch that counts, read by all threads that may read; the reader knows the sites already.
fn all_patches(
    reader: &mut Reader,
    further: &[Mutex<Connection>],
) -> rusqlite::Result<PatchesOfSites> {
    if further.is_empty() {
        return read_patches(Which::All, reader);
    }
    let (view, names) = (reader.view, reader.names.clone());
    let runs = runs_of_patches(further.len(), reader.book)?;
    let parts = runs.into_par_iter().map(|run| {
        let book = own_of(further);
        let mut part = Reader::of(&book, view, Soundness::default());
        part.names = names.clone();
        let found = read_patches(Which::Rows(run), &mut part)?;
        Ok((found, part.sound))
    });
    let parts = parts.collect::<rusqlite::Result<Vec<(PatchesOfSites, Soundness)>>>()?;
    let mut all = PatchesOfSites::new();
    for (found, sound) in parts {
        for (site, patches) in found {
            match all.entry(site) {
                Entry::Vacant(new) => {
                    new.insert(patches);
                }
                Entry::Occupied(known) => known.into_mut().extend(patches),
            }
        }
        reader.sound.join(sound);
    }
    Ok(all)
}

/// Runs that hold every number a row can have, each about as many patches as the others, and a
/// few for each thread.
fn runs_of_patches(threads: usize, book: &Connection) -> rusqlite::Result<Vec<Run>> {
    const EACH: i64 = 4;
    // Asked for both at once SQLite reads every row.
    let ends = "SELECT (SELECT min(rowid) FROM patch), (SELECT max(rowid) FROM patch)";
    let rows: (Option<i64>, Option<i64>) =
        book.query_row(ends, [], |row| Ok((row.get(0)?, row.get(1)?)))?;
    let (Some(first), Some(last)) = rows else { return Ok(vec![[i64::MIN, i64::MAX]]) };
    let parts = EACH * i64::try_from(threads).unwrap_or(1);
    let step = (last.saturating_sub(first) / parts).max(1);
    let mut starts: Vec<i64> = (1..parts).map(|n| first.saturating_add(n * step)).collect();
    starts.dedup();
    let ends = starts.iter().map(|start| start - 1).chain([i64::MAX]);
    let starts = std::iter::once(i64::MIN).chain(starts.iter().copied());
    Ok(starts.zip(ends).map(|(start, end)| [start, end]).collect())
}

/// Cuts the line of all numbers into runs, so that every row of the book is read with just one
/// stretch, also one about a place that bears no name in this view.
fn in_runs(lands: Vec<Arrangement>) -> Vec<Stretch> {
    let mut ends: Vec<(i64, usize)> = Vec::new();
    for (stretch, land) in lands.iter().enumerate() {
        ends.extend(land.places().into_iter().map(|place| (place, stretch)));
    }
    ends.sort_unstable();
    let mut runs: Vec<Vec<Run>> = vec![Vec::new(); lands.len()];
    let mut start = i64::MIN;
    let changes = ends.windows(2).filter(|pair| pair[0].1 != pair[1].1);
    for change in changes {
        let (end, stretch) = change[0];
        runs[stretch].push([start, end]);
        start = end + 1;
    }
    let last = ends.last().map_or(0, |(_, stretch)| *stretch);
    if let Some(runs) = runs.get_mut(last) {
        runs.push([start, i64::MAX]);
    }
    let with_runs = lands.into_iter().zip(runs);
    with_runs.map(|(land, runs)| Stretch { land, places: Places::Runs(runs) }).collect()
}

/// The patches with a glance and a survey of one day, whether they count or not.
fn judged(book: &Connection) -> rusqlite::Result<BTreeSet<i64>> {
    let mut found = book.prepare_cached(
        "SELECT DISTINCT glance.place FROM glance \
         CROSS JOIN survey ON survey.place = glance.place \
                          AND survey.happened_on = glance.happened_on",
    )?;
    found.query_map([], |row| row.get(0))?.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn every_number_lies_in_one_run_and_that_is_its_stretchs(
            places in proptest::collection::btree_map(1i64..60, 0usize..5, 0..40),
        ) {
            let lands = (0..5).map(|stretch| {
                let own = places.iter().filter(|(_, of)| **of == stretch).map(|(place, _)| *place);
                Arrangement::of_places(own)
            });
            let stretches = in_runs(lands.collect());
            for number in (-3..70).chain([i64::MIN, i64::MAX]) {
                let holds = |stretch: &Stretch| match &stretch.places {
                    Places::Runs(runs) => {
                        runs.iter().filter(|[from, to]| (*from..=*to).contains(&number)).count()
                    }
                    Places::Single(_) => 0,
                };
                prop_assert_eq!(stretches.iter().map(holds).sum::<usize>(), 1);
                if let Some(stretch) = places.get(&number) {
                    prop_assert_eq!(holds(&stretches[*stretch]), 1);
                }
            }
        }
    }
}
