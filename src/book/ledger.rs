//! The facts that count, arranged by place.

use std::collections::BTreeSet;

use jiff::civil::Date;
use rusqlite::Connection;

use super::arrange::Arrangement;
use super::companions::{companions, sites_of};
use super::error::{BookError, Failure};
use super::eyes_elsewhere::eyes_elsewhere;
use super::ledger_reading::{
    read_places, read_sites, read_terms, read_visits, read_walks, set_down,
};
use super::namesakes::{self, WalksOfOneName};
use super::neighbours::Boxes;
use super::open::Book;
use super::reader::{Reader, Which};
use super::scope::{
    PlaceKeys, Scope, Selection, live_places, patch_named, places_of_crops, site_named,
    sites_of_walks,
};
use super::to_pack::ToPack;
use super::view::View;
use crate::records::Ledger;

impl Book {
    /// The facts that count, as known on a day, or now where none is given.
    ///
    /// For a patch, the ledger holds its site's facts, the patches of the same site and crop,
    /// and the patches elsewhere on which the eyes that glanced at it can be checked, with
    /// their own sites' facts. For sites, likewise for each of their patches. For crops, it
    /// holds their patches, with their sites' facts. So each gives the same answer for a patch
    /// as the whole book does, but holds more than was asked for.
    ///
    /// # Errors
    /// A refusal for a site or patch that was not known by that name on that day; a storage
    /// error where the book cannot be read.
    pub fn ledger(&self, scope: &Scope, known_on: Option<Date>) -> Result<Ledger, BookError> {
        ledger(&self.connection, scope, known_on).map_err(|failure| failure.at(&self.path))
    }
}

impl Book {
    /// Every site with its walks, and nothing else: a walk may go to several sites, and cuts of it
    /// be anywhere.
    ///
    /// # Errors
    /// A storage error where the book cannot be read.
    pub fn walks(&self, known_on: Option<Date>) -> Result<Ledger, BookError> {
        walks(&self.connection, known_on).map_err(|failure| failure.at(&self.path))
    }
}

fn walks(book: &Connection, known_on: Option<Date>) -> Result<Ledger, Failure> {
    let moment = book.unchecked_transaction()?;
    let mut view = View::read(&moment, known_on)?;
    let sound = std::mem::take(&mut view.sound);
    let mut reader = Reader::of(&moment, &view, sound);
    let mut land = Arrangement::default();
    for (place, site) in read_sites(Which::All, &mut reader)? {
        set_down(place, site, &mut reader, &mut land);
    }
    read_walks(Which::All, &mut reader, &mut land)?;
    reader.sound.so_far(&moment)?;
    let mut ledger = land.into_ledger();
    WalksOfOneName::read(&view, &moment)?.tell_apart(&mut ledger);
    Ok(ledger)
}

fn ledger(book: &Connection, scope: &Scope, known_on: Option<Date>) -> Result<Ledger, Failure> {
    // One transaction, so that all tables are read as they stood at one moment.
    let moment = book.unchecked_transaction()?;
    ledger_at(&moment, scope, known_on, &Boxes::default(), &ToPack::default())
}

/// The same within a transaction that is open already. The boxes must be those of that day. What is
/// in hand of patches is not read.
pub(super) fn ledger_at(
    moment: &Connection,
    scope: &Scope,
    known_on: Option<Date>,
    boxes: &Boxes,
    in_hand: &ToPack,
) -> Result<Ledger, Failure> {
    let mut view = View::read(moment, known_on)?;
    let selection = select(scope, &mut view, moment, boxes)?;
    let sound = std::mem::take(&mut view.sound);
    read(&selection, Reader::of(moment, &view, sound), in_hand)
}

fn select(
    scope: &Scope,
    view: &mut View,
    book: &Connection,
    boxes: &Boxes,
) -> Result<Selection, Failure> {
    let (sites, wanted, mut patches) = match scope {
        Scope::All => return Ok(Selection::default()),
        // Eyes are learnt by the crop, and only patches of one crop contest each other's ground.
        Scope::Crops(crops) => return Ok(Selection::of(places_of_crops(crops, view, book)?)),
        Scope::Site(name) => whole_sites([site_named(name, view, book)?], view, book)?,
        Scope::Sites(names) => {
            let sites: Result<BTreeSet<i64>, Failure> =
                names.iter().map(|name| site_named(name, view, book)).collect();
            whole_sites(sites?, view, book)?
        }
        Scope::Walk(name) => whole_sites(sites_of_walks(Some(name), view, book)?, view, book)?,
        Scope::Walks => whole_sites(sites_of_walks(None, view, book)?, view, book)?,
        Scope::Patch(name) => {
            let (patch, site) = patch_named(name, view, book)?;
            let sql = "SELECT id, recorded_on, place FROM patch WHERE site = ?1 \
                       AND crop IN (SELECT crop FROM patch WHERE place = ?2)";
            (vec![site], vec![patch], live_places(sql, [site, patch], view, book)?)
        }
    };
    // On their ground what was asked for may be contested.
    let near = boxes.with_neighbours(&sites, view, book)?;
    let (sites, theirs) = match (scope, wanted.as_slice()) {
        (Scope::Patch(_), &[patch]) => {
            let of_crop = "crop IN (SELECT crop FROM patch WHERE place = ?2)";
            namesakes::twins(&near, of_crop, Some(patch), view, book)?
        }
        _ => {
            let ours: Vec<String> = sites.iter().map(ToString::to_string).collect();
            let of_crops = format!(
                "?2 IS NULL AND crop IN (SELECT crop FROM patch WHERE site IN ({}))",
                ours.join(", ")
            );
            namesakes::twins(&near, &of_crops, None, view, book)?
        }
    };
    patches.extend(theirs);
    for &site in &sites {
        view.sound.patches_of(site, book)?;
    }
    let mut companions = companions(&wanted, view, book)?;
    // An index that hides a patch must not hide that it is missing.
    companions.extend(wanted);
    let theirs = sites_of(&companions, view, book)?;
    Ok(Selection::of(PlaceKeys { sites: with(theirs, sites), patches: with(companions, patches) }))
}

/// One site with its patches, by its number, and nothing of any other.
#[cfg(feature = "shared")]
pub(super) fn site_alone(site: i64, moment: &Connection) -> Result<Ledger, Failure> {
    let mut view = View::read(moment, None)?;
    let (sites, _, patches) = whole_sites([site], &view, moment)?;
    let sound = std::mem::take(&mut view.sound);
    let selection = Selection::of(PlaceKeys { sites, patches });
    read(&selection, Reader::of(moment, &view, sound), &ToPack::default())
}

/// Sites with all their patches: which are wanted, and which are read.
fn whole_sites(
    sites: impl IntoIterator<Item = i64>,
    view: &View,
    book: &Connection,
) -> rusqlite::Result<(Vec<i64>, Vec<i64>, Vec<i64>)> {
    let sites: Vec<i64> = sites.into_iter().collect();
    let mut patches = Vec::new();
    for &site in &sites {
        let sql = "SELECT id, recorded_on, place FROM patch WHERE site = ?";
        patches.extend(live_places(sql, [site], view, book)?);
    }
    Ok((sites, patches.clone(), patches))
}

fn with(mut places: BTreeSet<i64>, more: impl IntoIterator<Item = i64>) -> Vec<i64> {
    places.extend(more);
    places.into_iter().collect()
}

/// Of every kind of fact: what is kept of a place counts all of them, and one that nobody read would
/// be missed.
fn read(selection: &Selection, mut reader: Reader, in_hand: &ToPack) -> Result<Ledger, Failure> {
    let mut ledger = Arrangement::default();
    read_places(selection, &mut reader, &mut ledger)?;
    read_terms(&selection.whereabouts(), &mut reader, &mut ledger)?;
    let patches = selection.patches();
    match patches {
        Which::About(places) => {
            let others = reader.take_from_hand(places, in_hand);
            read_visits(Which::About(&others), &mut reader, &mut ledger)?;
        }
        _ => read_visits(patches, &mut reader, &mut ledger)?,
    }
    let Reader { view, sound, mut names, book, .. } = reader;
    sound.settle(selection, &mut names, book)?;
    let mut ledger = ledger.into_ledger();
    WalksOfOneName::read(view, book)?.tell_apart(&mut ledger);
    ledger.eyes_elsewhere = eyes_elsewhere(view.on(), book)?;
    Ok(ledger)
}
