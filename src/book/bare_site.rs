//! Sites with the numbers of their patches, and nothing else that is known of them: what it takes to
//! read a large book a few sites at a time.

use std::collections::BTreeSet;

use rusqlite::Connection;

use super::by_place::ByPlace;
use super::fields::Fields;
use super::ledger_reading::read_sites;
use super::reader::{Reader, Run, Which, runs_of};
use super::view::View;
use super::words::Words;
use crate::records::{Fact, Site};

/// A site, and which patches lie on it in one view of the book.
#[derive(Clone, Debug)]
pub(super) struct BareSite {
    pub(super) place: i64,
    pub(super) site: Fact<Site>,
    /// In order. One that counts no longer may be among them.
    pub(super) patches: Vec<Run>,
}

impl BareSite {
    /// About so many there are.
    pub(super) fn size(&self) -> usize {
        let sizes = self.patches.iter().map(|[first, last]| last.abs_diff(*first) as usize + 1);
        sizes.sum()
    }

    /// One with a higher number than those that are known.
    fn add(&mut self, patch: i64) {
        match self.patches.last_mut() {
            Some([_, last]) if last.checked_add(1) == Some(patch) => *last = patch,
            _ => self.patches.push([patch; 2]),
        }
    }

    /// The numbers of the site and of its patches.
    pub(super) fn runs(&self) -> impl Iterator<Item = Run> {
        std::iter::once([self.place; 2]).chain(self.patches.iter().copied())
    }

    /// With none but these patches; `None` where it has none of them.
    pub(super) fn only(&self, wanted: &BTreeSet<i64>) -> Option<Self> {
        let of_run = |[first, last]: &Run| wanted.range(first..=last).copied();
        let patches = runs_of(&self.patches.iter().flat_map(of_run).collect::<Vec<i64>>());
        (!patches.is_empty()).then(|| Self { patches, site: self.site.clone(), ..*self })
    }
}

/// Every site of the book, in the order of their names.
pub(super) fn of_all_sites(reader: &mut Reader) -> rusqlite::Result<Vec<BareSite>> {
    let sites = read_sites(Which::All, reader)?.into_iter();
    let bare = |(place, site)| BareSite { place, site, patches: Vec::new() };
    let mut sites: Vec<BareSite> = sites.map(bare).collect();
    let at: ByPlace<usize> = sites.iter().zip(0..).map(|(site, at)| (site.place, at)).collect();
    let Reader { book, view, .. } = reader;
    let mut statement =
        book.prepare_cached("SELECT place, min(site), max(site) FROM patch GROUP BY place")?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        let (patch, first, last): (i64, i64, i64) = (row.get(0)?, row.get(1)?, row.get(2)?);
        // Where it was put right it may have lain on another before.
        let site = if first == last { Some(first) } else { site_of(patch, view, book)? };
        if let Some(&at) = site.and_then(|site| at.get(&site)) {
            sites[at].add(patch);
        }
    }
    Ok(sites)
}

/// The site on which a patch lies in the view, as its own rows have it.
fn site_of(patch: i64, view: &View, book: &Connection) -> rusqlite::Result<Option<i64>> {
    let mut words = Words::default();
    let mut statement =
        book.prepare_cached("SELECT id, recorded_on, site FROM patch WHERE place = ?")?;
    let mut rows = statement.query([patch])?;
    while let Some(row) = rows.next()? {
        let mut fields = Fields::of(row, &mut words);
        // Of a row that is damaged tells who reads the whole of it.
        let (Ok(id), Ok(recorded_on)) = (fields.id(), fields.day()) else { continue };
        if view.counts(id, recorded_on) {
            return fields.whole().map(Some);
        }
    }
    Ok(None)
}

/// Sites that follow each other, in parts with about so many patches each.
pub(super) fn in_parts(sites: Vec<BareSite>, patches: usize) -> Vec<Vec<BareSite>> {
    let mut parts: Vec<Vec<BareSite>> = Vec::new();
    let mut of_last = 0;
    for site in sites {
        let more = site.size();
        match parts.last_mut() {
            Some(part) if of_last < patches => part.push(site),
            _ => {
                parts.push(vec![site]);
                of_last = 0;
            }
        }
        of_last += more;
    }
    parts
}
