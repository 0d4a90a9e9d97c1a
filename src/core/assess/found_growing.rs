//! Look-alikes that a visit found growing on a patch, until someone clears them.

use std::sync::Arc;

use jiff::civil::Date;

use crate::records::{Crop, Fact, LookAlikeGrade, Visit, folded};

/// A plant that is taken for the crop and was found among it.
#[derive(Clone, Debug, PartialEq)]
pub struct FoundGrowing {
    /// What it is called.
    pub name: Arc<str>,
    /// `None` where the catalogue does not name it for this crop: then nobody knows how grave it
    /// is, and it counts with those that kill.
    pub grade: Option<LookAlikeGrade>,
    /// When it was found first.
    pub found_on: Date,
    /// On all of the site, and not on this patch alone.
    pub on_site: bool,
    /// By whom.
    pub by: Arc<str>,
}

impl FoundGrowing {
    /// Whether it counts with those that kill.
    pub fn may_kill(&self) -> bool {
        self.grade.is_none_or(|grade| grade == LookAlikeGrade::Fatal)
    }
}

/// What was found by the day and not cleared since, what may kill first.
pub fn found_growing(
    visits: &[Fact<Visit>],
    patch: &str,
    crop: &Crop,
    on: Date,
) -> Vec<FoundGrowing> {
    let mut found: Vec<FoundGrowing> = Vec::new();
    let told = |fact: &&Fact<Visit>| fact.happened_on <= on && fact.record.covers_patch(patch);
    for fact in visits.iter().filter(told) {
        let visit = &fact.record;
        if let Some(cleared) = &visit.cleared {
            found.retain(|known| folded(&known.name) != folded(cleared));
        }
        let Some(name) = &visit.look_alike else { continue };
        if found.iter().all(|known| folded(&known.name) != folded(name)) {
            let named = crop.look_alikes.iter().filter(|known| known.may_be_called(name));
            let gravest = named.map(|known| known.grade).max();
            found.push(FoundGrowing {
                name: name.clone(),
                grade: gravest,
                found_on: fact.happened_on,
                on_site: visit.patch.is_none(),
                by: fact.by.clone(),
            });
        }
    }
    found.sort_by_key(|known| (!known.may_kill(), known.found_on));
    found
}

/// What was found on one patch, or on all of a site, by the day and not cleared since, and when.
pub fn still_growing(
    visits: &[Fact<Visit>],
    patch: Option<&str>,
    on: Date,
) -> Vec<(Arc<str>, Date)> {
    let mut found: Vec<(Arc<str>, Date)> = Vec::new();
    for fact in visits.iter().filter(|fact| fact.happened_on <= on) {
        let visit = &fact.record;
        let is_there = match (patch, visit.patch.as_deref()) {
            (Some(patch), Some(about)) => patch == about,
            // Cleared on all of the site is cleared here too.
            (_, None) => true,
            (None, Some(_)) => false,
        };
        if !is_there {
            continue;
        }
        if let Some(cleared) = &visit.cleared {
            found.retain(|(name, _)| folded(name) != folded(cleared));
        }
        let is_own = visit.patch.as_deref() == patch;
        let new = visit.look_alike.as_ref().filter(|_| is_own);
        if let Some(name) = new.filter(|name| found.iter().all(|(known, _)| known != *name)) {
            found.push((name.clone(), fact.happened_on));
        }
    }
    found
}
