//! The whole book, a stretch of its sites at a time: an answer about every patch needs no more
//! memory than a few stretches take, and several processors read at once.

use std::collections::BTreeSet;
use std::sync::{Mutex, MutexGuard, PoisonError};

use jiff::civil::Date;
use rayon::prelude::*;
use rusqlite::{Connection, Transaction};

use super::arrange::Arrangement;
use super::bare_site::{BareSite, in_parts, of_all_sites};
use super::error::{BookError, Failure};
use super::eyes_elsewhere::eyes_elsewhere;
use super::ledger_reading::{Apart, read_patches, read_terms, read_visits, set_down};
use super::names::Names;
use super::namesakes::WalksOfOneName;
use super::one_moment::at_one_moment;
use super::open::Book;
use super::reader::{Reader, Run, Which};
use super::scope::{Selection, Whereabouts};
use super::sound::Soundness;
use super::view::View;
use crate::records::{EyeTold, Ledger, Site};

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
    /// Of the corrections and the sites, which were read of the whole book at once.
    sound: Soundness,
    /// In the order of their names.
    sites: Vec<BareSite>,
    eyes_elsewhere: Vec<EyeTold>,
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

/// Some whole sites, and the places whose facts are read with them.
#[derive(Debug)]
struct Stretch {
    sites: Vec<BareSite>,
    places: Places,
}

#[derive(Debug)]
enum Places {
    /// All of them, and all else that was recorded of a place with such a number.
    Runs(Vec<Run>),
    /// The patches alone, as they are drawn, with what holds on their sites.
    Land(Vec<Run>),
    /// Those patches of theirs that the sites tell of, and no others.
    Single,
}

/// What was found of a stretch.
#[derive(Debug)]
struct Found {
    sound: Soundness,
    /// Of so many places whose sites were read before; `None` where it does not.
    adds_up: Option<usize>,
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
        let sites = of_all_sites(&mut reader)?;
        let sound = reader.sound;
        let walks = WalksOfOneName::read(&view, &moment)?;
        let eyes_elsewhere = eyes_elsewhere(known_on, &moment)?;
        let is_large = sites.iter().map(BareSite::size).sum::<usize>() > patches;
        let further = further.into_iter().map(Mutex::new).collect();
        let sight = Sight { view, walks, is_large };
        Ok(Self { book, moment, further, sight, sound, sites, eyes_elsewhere, patches })
    }

    /// Those of the sites that `wanted` picks out, with their patches as they are drawn, but without
    /// what was seen, promised and done on them; and how eyes erred elsewhere.
    ///
    /// # Errors
    /// A storage error where the book cannot be read.
    pub fn land_of(&self, wanted: impl FnOnce(&[&Site]) -> Vec<bool>) -> Result<Ledger, BookError> {
        let all: Vec<&Site> = self.sites.iter().map(|site| &site.site.record).collect();
        let wanted = self.sites.iter().zip(wanted(&all)).filter(|(_, wanted)| *wanted);
        let sites = wanted.map(|(site, _)| site.clone()).collect();
        let land = |sites: Vec<BareSite>| {
            let mut runs: Vec<Run> = sites.iter().flat_map(BareSite::runs).collect();
            runs.sort_unstable();
            Stretch { sites, places: Places::Land(runs) }
        };
        let stretches = in_parts(sites, self.patches).into_iter().map(land).collect();
        let found = self.read_each(stretches, &Ledger::clone);
        let found = found.map_err(|failure| failure.at(&self.book.path))?;
        // What is damaged will be met again, and then be told.
        let sites = found.into_iter().flat_map(|(ledger, _)| ledger.sites).collect();
        Ok(Ledger { sites, eyes_elsewhere: self.eyes_elsewhere.clone() })
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
            let sites = self.sites.iter().filter_map(|site| site.only(&judged)).collect();
            let stretches = in_parts(sites, self.patches).into_iter();
            let single = |sites| Stretch { sites, places: Places::Single };
            self.read_each(stretches.map(single).collect(), &of)
        });
        let found = found.map_err(|failure| failure.at(&self.book.path))?;
        // As above.
        Ok(found.into_iter().map(|(made, _)| made).collect())
    }

    /// What `of` makes of each stretch, a ledger of some whole sites with all their patches. Which
    /// sites come together is not said.
    ///
    /// # Errors
    /// A storage error where the book cannot be read, or is not what was recorded.
    pub fn each<T: Send>(mut self, of: impl Fn(&Ledger) -> T + Sync) -> Result<Vec<T>, BookError> {
        let mut sites = std::mem::take(&mut self.sites);
        // Those together whose patches were numbered together: so the book is read from its
        // beginning to its end.
        sites.sort_by_key(|site| site.patches.first().copied());
        let stretches = in_runs(in_parts(sites, self.patches));
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
        let parts = in_parts(std::mem::take(&mut self.sites), self.patches);
        let stretches = || in_runs(parts.clone());
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
    /// `before` is what was found with the sites of all stretches.
    fn read(
        &self,
        stretch: Stretch,
        before: &Soundness,
        book: &Connection,
    ) -> Result<(Ledger, Found), Failure> {
        let Stretch { sites, places } = stretch;
        let mut reader = Reader::of(book, &self.view, Soundness::default());
        reader.room_for_patches = sites.iter().map(BareSite::size).sum();
        let mut arranged = Arrangement::default();
        for BareSite { place, site, .. } in &sites {
            set_down(*place, site.clone(), &mut reader, &mut arranged);
        }
        let mut adds_up = None;
        match places {
            Places::Runs(runs) => {
                read_land(&runs, &mut reader, &mut arranged)?;
                let facts = if self.is_large { reader.believe_packs(&runs)? } else { runs };
                read_visits(Which::Within(&facts), &mut reader, &mut arranged)?;
                adds_up = reader.sound.adds_up(before, &reader.packs, &facts, book)?;
            }
            Places::Land(runs) => read_land(&runs, &mut reader, &mut arranged)?,
            Places::Single => {
                let patches: Vec<Run> =
                    sites.iter().flat_map(|site| site.patches.clone()).collect();
                let sites: Vec<i64> = sites.iter().map(|site| site.place).collect();
                let patches = Which::Within(&patches);
                read_patches(patches, Apart::EachAlone, &mut reader, &mut arranged)?;
                let terms = Whereabouts::of(Which::About(&sites), patches);
                read_terms(&terms, &mut reader, &mut arranged)?;
                read_visits(patches, &mut reader, &mut arranged)?;
            }
        }
        let mut ledger = arranged.into_ledger();
        self.walks.tell_apart(&mut ledger);
        Ok((ledger, Found { sound: reader.sound, adds_up }))
    }
}

/// All patches of the sites, and what holds there, from these runs.
fn read_land(
    runs: &[Run],
    reader: &mut Reader,
    arranged: &mut Arrangement,
) -> rusqlite::Result<()> {
    let which = Which::Within(runs);
    read_patches(which, Apart::OnWholeSites, reader, arranged)?;
    read_terms(&Whereabouts::of_either(which), reader, arranged)
}

/// The connection of this thread. Nothing waits for another thread while it holds one.
fn own_of(further: &[Mutex<Connection>]) -> MutexGuard<'_, Connection> {
    let own = rayon::current_thread_index().unwrap_or_default() % further.len();
    further[own].lock().unwrap_or_else(PoisonError::into_inner)
}

/// Stretches with which every row of the book is read just once, also one about a place that bears
/// no name in this view. There is one for those also where there is no site.
fn in_runs(mut parts: Vec<Vec<BareSite>>) -> Vec<Stretch> {
    if parts.is_empty() {
        parts.push(Vec::new());
    }
    let own = |sites: &Vec<BareSite>| sites.iter().flat_map(BareSite::runs).collect();
    let runs = runs_around(&parts.iter().map(own).collect::<Vec<Vec<Run>>>());
    let with_runs = parts.into_iter().zip(runs);
    with_runs.map(|(sites, runs)| Stretch { sites, places: Places::Runs(runs) }).collect()
}

/// Cuts the line of all numbers into runs, so that each number lies in one, and the given runs of a
/// part, of which no two meet, in some of that part.
fn runs_around(parts: &[Vec<Run>]) -> Vec<Vec<Run>> {
    let mut ends: Vec<(i64, usize)> = Vec::new();
    for (part, runs) in parts.iter().enumerate() {
        ends.extend(runs.iter().map(|[_, last]| (*last, part)));
    }
    ends.sort_unstable();
    let mut runs: Vec<Vec<Run>> = vec![Vec::new(); parts.len()];
    let mut start = i64::MIN;
    for change in ends.windows(2).filter(|pair| pair[0].1 != pair[1].1) {
        let (end, part) = change[0];
        runs[part].push([start, end]);
        start = end + 1;
    }
    let last = ends.last().map_or(0, |(_, part)| *part);
    if let Some(runs) = runs.get_mut(last) {
        runs.push([start, i64::MAX]);
    }
    runs
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
    use crate::book::reader::runs_of;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn every_number_lies_in_one_run_and_that_is_its_parts(
            places in proptest::collection::btree_map(1i64..60, 0usize..5, 0..40),
        ) {
            let own = |part| {
                let own = places.iter().filter(|(_, of)| **of == part);
                runs_of(&own.map(|(place, _)| *place).collect::<Vec<i64>>())
            };
            let runs = runs_around(&(0..5).map(own).collect::<Vec<Vec<Run>>>());
            for number in (-3..70).chain([i64::MIN, i64::MAX]) {
                let holds = |runs: &Vec<Run>| {
                    runs.iter().filter(|[from, to]| (*from..=*to).contains(&number)).count()
                };
                prop_assert_eq!(runs.iter().map(holds).sum::<usize>(), 1);
                if let Some(part) = places.get(&number) {
                    prop_assert_eq!(holds(&runs[*part]), 1);
                }
            }
        }
    }
}
