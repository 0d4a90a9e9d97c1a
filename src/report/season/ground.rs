//! The map of the site, its patches shaded by how hard they were cut.

use crate::assess::season_report::{PatchReport, SeasonReport};
use crate::records::{Landmark, Zone};
use crate::report::hardest::{hardest_shading, part_of_allowed, shaded_by_hardest};
use crate::report::map::{MapOf, MapPatch, Shade, site_map};
use crate::report::page::{Block, Drawing, KeyEntry};

/// As many patches have room for their numbers on a map of half a page, and their key beside it.
const MOST_BESIDE: usize = 48;

/// With what stands beside it, where its key does not need all the room.
pub(super) fn beside_map(report: &SeasonReport, others: Vec<Block>) -> Vec<Block> {
    let map = map(report);
    if is_narrow(report) {
        return vec![Block::Beside(others, map)];
    }
    others.into_iter().chain([Block::Drawing(map)]).collect()
}

fn is_narrow(report: &SeasonReport) -> bool {
    report.patches.len() <= MOST_BESIDE
}

fn map(report: &SeasonReport) -> Drawing {
    let site = &report.site.site.record;
    let zones: Vec<&Zone> = report.site.zones.iter().map(|fact| &fact.record).collect();
    let landmarks: Vec<&Landmark> = report.site.landmarks.iter().map(|fact| &fact.record).collect();
    let patches: Vec<MapPatch> = report.patches.iter().map(on_map).collect();
    let no_limit = patches.iter().any(|patch| patch.shade == Shade::Unknown);
    let title = "Hardest cut, as a part of the day's limit";
    let narrow = is_narrow(report);
    let shading = hardest_shading(title, no_limit);
    let svg = site_map(&MapOf {
        site,
        zones: &zones,
        patches: &patches,
        landmarks: &landmarks,
        shading: Some(&shading),
        start: None,
        walked: false,
        keyed: false,
        narrow,
        id: "site-map",
    });
    let key = report.patches.iter().map(|patch| KeyEntry {
        number: patch.number,
        name: patch.name().to_owned(),
        said: patch.season.hardest().map_or(String::new(), |(_, part)| part_of_allowed(part)),
    });
    Drawing {
        svg,
        caption: "The fuller the shade of a patch, the more of a day's limit was taken on its \
                  hardest day; a red outline means more than that."
            .to_owned(),
        wide: !narrow,
        on_paper: false,
        key: key.collect(),
    }
}

fn on_map<'a>(patch: &PatchReport<'a>) -> MapPatch<'a> {
    let (shade, said) = shaded_by_hardest(&patch.season);
    MapPatch { number: patch.number, patch: patch.patch(), shade, said }
}
