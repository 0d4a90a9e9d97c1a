//! The facts of places, each read into the arrangement that becomes a ledger.

use super::arrange::Arrangement;
use super::namesakes::{self, AnyCase};
use super::other_sites::call_as_now;
use super::packed::{Pack, section};
use super::parts::Parts;
use super::reader::{Reader, Which};
use super::scope::{Selection, Whereabouts};
use super::tables;
use super::whole_surveys::PartsLookedAt;
use crate::records::{
    Clipping, Closure, CropOverride, Cut, Emergency, Fact, Glance, Hold, Landmark, Patch,
    Permission, Recorded, Redraw, Site, Survey, SurveySummary, Visit, Walk, Zone,
};

/// The sites, then the patches, each in the order of their names; from here on the reader knows
/// what they are called.
pub(super) fn read_places(
    selection: &Selection,
    reader: &mut Reader,
    ledger: &mut Arrangement,
) -> rusqlite::Result<()> {
    for (place, site) in read_sites(selection.sites(), reader)? {
        set_down(place, site, reader, ledger);
    }
    let patches = selection.patches();
    let apart = if let Which::All = patches { Apart::OnWholeSites } else { Apart::EachAlone };
    read_patches(patches, apart, reader, ledger)
}

/// Sites with their numbers, in the order of their names.
pub(super) fn read_sites(
    which: Which,
    reader: &mut Reader,
) -> rusqlite::Result<Vec<(i64, Fact<Site>)>> {
    let mut sites: Vec<(i64, Fact<Site>)> = Vec::new();
    reader.each(which, |place, site| sites.push((place, site)))?;
    tell_sites_apart(&mut sites, which, reader)?;
    sites.sort_by(|(_, one), (_, other)| one.record.name.cmp(&other.record.name));
    Ok(sites)
}

/// Takes a site into the ledger; from here on the reader knows what it is called.
pub(super) fn set_down(
    place: i64,
    site: Fact<Site>,
    reader: &mut Reader,
    ledger: &mut Arrangement,
) {
    reader.names.call_site(place, site.record.name.clone());
    ledger.add_site(site);
}

/// How patches of one name are found, so that each can be told from the others.
#[derive(Clone, Copy, Debug)]
pub(super) enum Apart {
    /// Among those that are read, all patches of their sites.
    OnWholeSites,
    /// By asking the book about each.
    EachAlone,
}

/// A patch with its number.
type Numbered = (i64, Fact<Patch>);

/// The patches of the sites that the reader knows, in the order of their names; from here on it
/// knows what they are called.
pub(super) fn read_patches(
    which: Which,
    apart: Apart,
    reader: &mut Reader,
    ledger: &mut Arrangement,
) -> rusqlite::Result<()> {
    let mut patches: Vec<Numbered> = Vec::with_capacity(reader.room_for_patches);
    reader.each(which, |place, patch| patches.push((place, patch)))?;
    let by_name = |patches: &mut [Numbered]| {
        patches.sort_by(|(_, one), (_, other)| one.record.name.cmp(&other.record.name));
    };
    by_name(&mut patches);
    for of_site in patches.chunk_by_mut(is_on_one_site) {
        if tell_patches_apart(of_site, apart, reader)? {
            by_name(of_site);
        }
    }
    for (place, patch) in &patches {
        reader.names.call_patch(*place, patch.record.name.clone());
    }
    ledger.add_patches(patches);
    Ok(())
}

fn is_on_one_site((_, one): &Numbered, (_, other): &Numbered) -> bool {
    one.record.name.site() == other.record.name.site()
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

/// Of one site; says whether any is called otherwise now.
fn tell_patches_apart(
    patches: &mut [Numbered],
    apart: Apart,
    reader: &Reader,
) -> rusqlite::Result<bool> {
    let mut any = false;
    match apart {
        Apart::OnWholeSites => {
            // No two sites are called alike by now.
            let named = patches.iter().map(|(place, patch)| (*place, (&patch.record.name).into()));
            let marks = namesakes::marks(named, "patch", reader.book)?;
            for (place, patch) in patches.iter_mut().filter(|_| !marks.is_empty()) {
                if let Some(id) = marks.get(place) {
                    patch.record.name = patch.record.name.told_apart_by(*id);
                    any = true;
                }
            }
        }
        Apart::EachAlone => {
            for (place, patch) in patches {
                let name = patch.record.name.clone();
                let view = Some(reader.view);
                let shown = namesakes::shown_patch(*place, name, view, reader.book)?;
                any |= shown != patch.record.name;
                patch.record.name = shown;
            }
        }
    }
    Ok(any)
}

/// What holds for a site or a part of it: zones, permissions, walks, closures, overrides.
pub(super) fn read_terms(
    whereabouts: &Whereabouts,
    reader: &mut Reader,
    ledger: &mut Arrangement,
) -> rusqlite::Result<()> {
    reader.each::<Zone>(whereabouts.sites, |_, zone| {
        if let Some(site) = ledger.site(&zone.record.site) {
            site.zones.push(zone);
        }
    })?;
    reader.each::<Permission>(whereabouts.sites, |_, permission| {
        if let Some(site) = ledger.site(&permission.record.site) {
            site.permissions.push(permission);
        }
    })?;
    read_walks(whereabouts.sites, reader, ledger)?;
    reader.each::<Landmark>(whereabouts.sites, |_, landmark| {
        if let Some(site) = ledger.site(&landmark.record.site) {
            site.landmarks.push(landmark);
        }
    })?;
    reader.each::<Emergency>(whereabouts.sites, |_, emergency| {
        if let Some(site) = ledger.site(&emergency.record.site) {
            site.emergencies.push(emergency);
        }
    })?;
    reader.each::<Redraw>(whereabouts.patches, |place, redraw| {
        if let Some(patch) = ledger.patch(place) {
            patch.changes.redraws.push(redraw);
        }
    })?;
    ledger.draw_anew();
    for &places in &whereabouts.either {
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
