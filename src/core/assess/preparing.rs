//! Patches made ready for every question, with what they share across sites: how eyes err, and
//! whose ground another claims.

use std::collections::HashMap;

use jiff::civil::Date;

use super::all_eyes::AllEyes;
use super::contested::contested;
use super::prepared::{Asker, Prepared, UnknownCrop, prepare_few, prepare_sites};
use crate::catalogue::Catalogue;
use crate::records::{FactId, Ledger, PatchName};

/// Makes every patch of the ledger ready. What happened after `until` is left out, and what
/// was promised for an earlier day has lapsed.
///
/// # Errors
/// A patch whose crop is not in the catalogue.
pub fn prepare<'a>(
    ledger: &'a Ledger,
    catalogue: &Catalogue,
    until: Date,
) -> Result<Vec<Prepared<'a>>, UnknownCrop> {
    prepare_for(ledger, catalogue, until, Asker { today: until, walk: None })
}

/// The same for one who looks ahead from another day: promises that have not lapsed by then
/// count as kept where they fall before `until`.
///
/// # Errors
/// A patch whose crop is not in the catalogue.
pub fn prepare_for<'a>(
    ledger: &'a Ledger,
    catalogue: &Catalogue,
    until: Date,
    asker: Asker,
) -> Result<Vec<Prepared<'a>>, UnknownCrop> {
    let mut prepared = prepare_sites(ledger, catalogue, until, asker)?;
    let eyes = AllEyes::of(&prepared);
    let Shared { eyes, contested } = Shared::new(ledger, eyes, until);
    give(&mut prepared, &eyes, |patch| contested.get(&patch));
    Ok(prepared)
}

/// The same for a part of the book, whole sites of it, with what is shared by all sites.
///
/// # Errors
/// A patch whose crop is not in the catalogue.
pub fn prepare_part<'a>(
    ledger: &'a Ledger,
    catalogue: &Catalogue,
    until: Date,
    shared: &Shared,
) -> Result<Vec<Prepared<'a>>, UnknownCrop> {
    let mut prepared = prepare_few(ledger, catalogue, until, Asker { today: until, walk: None })?;
    let Shared { eyes, contested: on_meeting } = shared;
    // What is known of all sites that meet comes first: here only some of those may be.
    let own = contested(ledger, until);
    give(&mut prepared, eyes, |patch| on_meeting.get(&patch).or_else(|| own.get(&patch)));
    Ok(prepared)
}

/// What a patch's answer rests on beside what is known of its own site.
#[derive(Clone, Debug)]
pub struct Shared {
    eyes: AllEyes,
    /// On sites that meet others.
    contested: HashMap<FactId, PatchName>,
}

impl Shared {
    /// `land` is every site that may meet another ([`sites_that_meet`](super::sites_that_meet)), or
    /// more, with its patches as they are on `until`; visits are not looked at.
    pub fn new(land: &Ledger, eyes: AllEyes, until: Date) -> Self {
        Self { eyes: eyes.take(&land.eyes_elsewhere, until), contested: contested(land, until) }
    }
}

/// `contested` knows who else claims the ground of the patch that a fact describes.
fn give<'a>(
    prepared: &mut [Prepared],
    eyes: &AllEyes,
    contested: impl Fn(FactId) -> Option<&'a PatchName>,
) {
    for patch in prepared {
        patch.contested = contested(patch.facts.patch.id).cloned();
        if let Some(learnt) = eyes.of_crop(&patch.profile.crop.name) {
            patch.eyes = learnt.clone();
        }
    }
}
