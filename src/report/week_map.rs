//! A week on the maps of its sites: where what may be cut stands.

use super::map::{MapOf, MapPatch, Shade, site_map};
use super::page::{Block, Drawing, KeyEntry, Section};
use crate::assess::{Assessment, WeekAnswer};
use crate::records::{Landmark, SiteFacts, Zone};

/// How dark an open patch is.
const OPEN: Shade = Shade::Step(2);

/// A section for each of these sites on which the week has a patch.
pub fn week_maps(answer: &WeekAnswer, sites: &[SiteFacts]) -> Vec<Section> {
    sites.iter().zip(1..).filter_map(|(site, number)| week_map(answer, site, number)).collect()
}

fn week_map(answer: &WeekAnswer, site: &SiteFacts, number: usize) -> Option<Section> {
    let name = &site.site.record.name;
    let here = answer.patches.iter().filter(|found| found.patch.site() == name);
    let drawn = |found: &Assessment| {
        site.patches.iter().find(|facts| facts.patch.record.name == found.patch)
    };
    let on_map = |(found, number): (&Assessment, usize)| {
        Some(MapPatch {
            number,
            patch: &drawn(found)?.patch.record,
            shade: if found.is_open() { OPEN } else { Shade::Plain },
            said: said(found),
        })
    };
    let patches: Vec<MapPatch> = here.zip(1..).filter_map(on_map).collect();
    if patches.is_empty() {
        return None;
    }
    let zones: Vec<&Zone> = site.zones.iter().map(|fact| &fact.record).collect();
    let landmarks: Vec<&Landmark> = site.landmarks.iter().map(|fact| &fact.record).collect();
    let svg = site_map(&MapOf {
        site: &site.site.record,
        zones: &zones,
        patches: &patches,
        landmarks: &landmarks,
        shading: None,
        start: None,
        walked: false,
        keyed: false,
        narrow: true,
        id: &format!("map-{number}"),
    });
    let key = patches.iter().map(|patch| KeyEntry {
        number: patch.number,
        name: patch.patch.name.patch().to_owned(),
        said: patch.said.clone(),
    });
    let drawing = Drawing {
        svg,
        caption: format!("{name}: what may be cut is shaded."),
        wide: false,
        on_paper: false,
        key: key.collect(),
    };
    let heading = format!("Map of {name}");
    Some(Section { id: "map", heading, blocks: vec![Block::Beside(Vec::new(), drawing)] })
}

fn said(found: &Assessment) -> String {
    let verdict = found.ruling.verdict;
    match (found.is_open(), found.ruling.most) {
        (true, Some(most)) => format!("{verdict}, at most {}", found.crop.show(most)),
        _ => verdict.to_string(),
    }
}
