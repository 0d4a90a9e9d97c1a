//! The facts of places, each read into the arrangement that becomes a ledger.

use std::collections::HashMap;

use rayon::prelude::*;

use super::arrange::Arrangement;
use super::namesakes::{self, AnyCase};
use super::other_sites::call_as_now;
use super::packed::{Pack, section};
use super::parts::Parts;
use super::reader::{Reader, Which};
use super::scope::Selection;
use super::tables;
use super::whole_surveys::PartsLookedAt;
use crate::records::{
    Clipping, Closure, CropOverride, Cut, Emergency, Fact, Glance, Hold, Landmark, Patch,
    PatchFacts, PatchName, Permission, Recorded, Redraw, Site, SiteName, Survey, SurveySummary,
    Visit, Walk, Zone,
};

/// The sites, then the patches, each in the order of their names; from here on the reader knows
/// what they are called.
pub(super) fn read_places(
    selection: &Selection,
    reader: &mut Reader,
    ledger: &mut Arrangement,
) -> rusqlite::Result<()> {
    read_sites(selection.sites(), reader, ledger)?;
    let patches = read_patches(selection.patches(), reader)?;
    add_patches(patches, selection.patches(), reader, ledger)
}

pub(super) fn read_sites(
    which: Which,
    reader: &mut Reader,
    ledger: &mut Arrangement,
) -> rusqlite::Result<()> {
    let mut sites: Vec<(i64, Fact<Site>)> = Vec::new();
    reader.each(which, |place, site| sites.push((place, site)))?;
    tell_sites_apart(&mut sites, which, reader)?;
    sites.sort_by(|(_, one), (_, other)| one.record.name.cmp(&other.record.name));
    for (place, site) in sites {
        reader.names.call_site(place, site.record.name.clone());
        ledger.add_site(site);
    }
    Ok(())
}

/// Patches with their numbers, by the site that they lie on.
pub(super) type PatchesOfSites = HashMap<SiteName, Vec<(i64, Fact<Patch>)>>;

/// Patches of the sites that the reader knows.
pub(super) fn read_patches(which: Which, reader: &mut Reader) -> rusqlite::Result<PatchesOfSites> {
    let mut of_site = PatchesOfSites::new();
    reader.each(which, |place, patch: Fact<Patch>| {
        let site = patch.record.name.site();
        match of_site.get_mut(site) {
            Some(patches) => patches.push((place, patch)),
            None => {
                of_site.insert(site.clone(), vec![(place, patch)]);
            }
        }
    })?;
    Ok(of_site)
}

/// Takes in the patches that were read, all of those.
pub(super) fn add_patches(
    mut patches: PatchesOfSites,
    which: Which,
    reader: &mut Reader,
    ledger: &mut Arrangement,
) -> rusqlite::Result<()> {
    tell_patches_apart(&mut patches, which, reader)?;
    let arranged = patches.into_par_iter().map(|(site, mut patches)| {
        patches.sort_by(|(_, one), (_, other)| one.record.name.cmp(&other.record.name));
        let without_facts = |(place, patch)| (place, PatchFacts::of(patch));
        let (places, patches): (Vec<i64>, Vec<PatchFacts>) =
            patches.into_iter().map(without_facts).unzip();
        let name = |facts: &PatchFacts| facts.patch.record.name.clone();
        let names: Vec<PatchName> = patches.iter().map(name).collect();
        (site, places, names, patches)
    });
    for (site, places, names, patches) in arranged.collect::<Vec<_>>() {
        places.iter().zip(names).for_each(|(place, name)| reader.names.call_patch(*place, name));
        ledger.add_patches(&site, places, patches);
    }
    Ok(())
}

fn tell_sites_apart(
    sites: &mut [(i64, Fact<Site>)],
    which: Which,
    reader: &Reader,
) -> rusqlite::Result<()> {
    if let Which::All = which {
        let named = sites.iter().map(|(place, site)| (*place, AnyCase::from(&site.record.name)));
        let marks = namesakes::marks(named, "site", reader.book)?;
        for (place, site) in sites.iter_mut() {
            if let Some(id) = marks.get(place) {
                site.record.name = site.record.name.told_apart_by(*id);
            }
        }
        return Ok(());
    }
    for (place, site) in sites {
        let name = site.record.name.clone();
        let view = Some(reader.view);
        site.record.name = namesakes::shown_site(*place, name, view, reader.book)?;
    }
    Ok(())
}

fn tell_patches_apart(
    patches: &mut PatchesOfSites,
    which: Which,
    reader: &Reader,
) -> rusqlite::Result<()> {
    if let Which::All = which {
        // No two sites are called alike by now.
        let of_one_name = patches.par_iter().flat_map_iter(|(_, patches)| {
            let named = patches.iter().map(|(place, patch)| (*place, (&patch.record.name).into()));
            namesakes::of_one_name(named)
        });
        let marks = namesakes::marks_of(of_one_name.collect(), "patch", reader.book)?;
        if marks.is_empty() {
            return Ok(());
        }
        for (place, patch) in patches.values_mut().flatten() {
            if let Some(id) = marks.get(place) {
                patch.record.name = patch.record.name.told_apart_by(*id);
            }
        }
        return Ok(());
    }
    for (place, patch) in patches.values_mut().flatten() {
        let name = patch.record.name.clone();
        let view = Some(reader.view);
        patch.record.name = namesakes::shown_patch(*place, name, view, reader.book)?;
    }
    Ok(())
}

/// What holds for a site or a part of it: zones, permissions, walks, closures, overrides.
pub(super) fn read_terms(
    selection: &Selection,
    reader: &mut Reader,
    ledger: &mut Arrangement,
) -> rusqlite::Result<()> {
    reader.each::<Zone>(selection.sites(), |_, zone| {
        if let Some(site) = ledger.site(&zone.record.site) {
            site.zones.push(zone);
        }
    })?;
    reader.each::<Permission>(selection.sites(), |_, permission| {
        if let Some(site) = ledger.site(&permission.record.site) {
            site.permissions.push(permission);
        }
    })?;
    read_walks(selection.sites(), reader, ledger)?;
    reader.each::<Landmark>(selection.sites(), |_, landmark| {
        if let Some(site) = ledger.site(&landmark.record.site) {
            site.landmarks.push(landmark);
        }
    })?;
    reader.each::<Emergency>(selection.sites(), |_, emergency| {
        if let Some(site) = ledger.site(&emergency.record.site) {
            site.emergencies.push(emergency);
        }
    })?;
    reader.each::<Redraw>(selection.patches(), |place, redraw| {
        if let Some(patch) = ledger.patch(place) {
            patch.changes.redraws.push(redraw);
        }
    })?;
    ledger.draw_anew();
    for places in selection.sites_and_patches() {
        reader.each::<Closure>(places, |_, closure| {
            if let Some(site) = ledger.site(&closure.record.site) {
                site.closures.push(closure);
            }
        })?;
        reader.each::<Visit>(places, |_, visit| {
            if let Some(site) = ledger.site(&visit.record.site) {
                site.visits.push(visit);
            }
        })?;
        reader.each::<CropOverride>(places, |_, change| {
            if let Some(site) = ledger.site(&change.record.site) {
                site.overrides.push(change);
            }
        })?;
    }
    Ok(())
}

pub(super) fn read_walks(
    which: Which,
    reader: &mut Reader,
    ledger: &mut Arrangement,
) -> rusqlite::Result<()> {
    let mut walks: Vec<Fact<Walk>> = Vec::new();
    reader.each::<Walk>(which, |_, walk| walks.push(walk))?;
    for mut walk in walks {
        call_as_now(&mut walk.record, walk.recorded_on, reader.view, reader.book)?;
        if let Some(site) = ledger.site(&walk.record.site) {
            site.walks.push(walk);
        }
    }
    Ok(())
}

/// What was seen, promised and done on patches: surveys, glances, holds, cuts, clippings, which
/// are cuts too.
pub(super) fn read_visits(
    which: Which,
    reader: &mut Reader,
    ledger: &mut Arrangement,
) -> rusqlite::Result<()> {
    make_room(&reader.packs, ledger);
    let mut parts = Parts::read(which, reader)?;
    reader.each::<Survey>(which, |place, survey| {
        let Some(patch) = ledger.patch(place) else { return };
        if !patch.changes.redraws.is_empty() {
            patch.changes.surveys.push(survey.clone());
        }
        let method = parts.of_survey(place, survey.id);
        patch.surveys.extend(method.map(|method| {
            survey.map(|survey| {
                let Survey { placement, ripe, .. } = survey;
                SurveySummary { placement, ripe, method }
            })
        }));
    })?;
    let mut looked_at = None;
    for survey in ledger.redrawn().flat_map(|patch| &mut patch.changes.surveys) {
        let looked_at = match &mut looked_at {
            Some(looked_at) => looked_at,
            none => none.insert(PartsLookedAt::of(reader.book)?),
        };
        looked_at.look(survey.id)?;
        tables::fill(&mut survey.record.method, survey.id, reader.book)?;
    }
    reader.each::<Glance>(which, |place, glance| {
        if let Some(patch) = ledger.patch(place) {
            patch.glances.push(glance);
        }
    })?;
    reader.each::<Hold>(which, |place, hold| {
        if let Some(patch) = ledger.patch(place) {
            patch.holds.push(hold);
        }
    })?;
    reader.each::<Cut>(which, |place, cut| {
        if let Some(patch) = ledger.patch(place) {
            patch.cuts.push(cut);
        }
    })?;
    reader.each::<Clipping>(which, |place, clipping| {
        if let Some(patch) = ledger.patch(place) {
            patch.cuts.push(clipping.clone().map(|clipping| clipping.as_cut()));
            patch.clippings.push(clipping);
        }
    })
}

/// For what is packed of patches, so that it need not be moved when more of it comes.
fn make_room(packs: &[Pack], ledger: &mut Arrangement) {
    let [Some(surveys), Some(cuts)] = [Survey::NAME, Cut::NAME].map(section) else { return };
    for pack in packs {
        if let Some(patch) = ledger.patch(pack.place) {
            patch.surveys.reserve_exact(pack.rows(surveys));
            patch.cuts.reserve_exact(pack.rows(cuts));
        }
    }
}
