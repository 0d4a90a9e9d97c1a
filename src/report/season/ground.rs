//! The map of the site, its patches shaded by how hard they were cut.

use crate::assess::season_report::{PatchReport, SeasonReport};
use crate::records::Zone;
use crate::report::hardest::{hardest_shading, shaded_by_hardest};
use crate::report::map::{MapOf, MapPatch, Shade, site_map};
use crate::report::page::{Block, Drawing, KeyEntry, Section};

pub(super) fn section(report: &SeasonReport) -> Section {
    let site = &report.site.site.record;
    let zones: Vec<&Zone> = report.site.zones.iter().map(|fact| &fact.record).collect();
    let patches: Vec<MapPatch> = report.patches.iter().map(on_map).collect();
    let no_limit = patches.iter().any(|patch| patch.shade == Shade::Unknown);
    let title = "Hardest cut of the season, as a part of what was allowed that day";
    let shading = hardest_shading(title, no_limit);
    let svg = site_map(&MapOf {
        site,
        zones: &zones,
        patches: &patches,
        shading: Some(&shading),
        start: None,
        walked: false,
        keyed: false,
        id: "site-map",
    });
    let key = report.patches.iter().zip(&patches).map(|(patch, on_map)| KeyEntry {
        number: patch.number,
        name: patch.name().to_owned(),
        said: on_map.said.clone(),
    });
    let drawing = Drawing {
        svg,
        caption: format!(
            "{} with its boundary, no-take ground and patches. The fuller the shade of \
             a patch, the more of what was allowed was taken on its hardest day; a red outline \
             means more than that.",
            site.name
        ),
        wide: false,
        on_paper: false,
        key: key.collect(),
    };
    Section {
        id: "map",
        heading: "The ground, and how hard it was cut".to_owned(),
        blocks: vec![Block::Drawing(drawing)],
    }
}

fn on_map<'a>(patch: &PatchReport<'a>) -> MapPatch<'a> {
    let (shade, said) = shaded_by_hardest(&patch.season);
    MapPatch { number: patch.number, patch: patch.patch(), shade, said }
}
