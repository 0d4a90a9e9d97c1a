//! The pressure of a season as a map of the site.

use super::hardest::{hardest_shading, shaded_by_hardest};
use super::map::{MapOf, MapPatch, Shade, site_map};
use crate::assess::PatchSeason;
use crate::records::{Landmark, Patch, SiteFacts, Zone};
use crate::units::Season;

/// An SVG of the site with its boundary, no-take ground and patches, each shaded by its hardest
/// cut of the season as a part of the day's limit.
pub fn pressure_map_svg(site: &SiteFacts, seasons: &[PatchSeason], season: Season) -> String {
    let zones: Vec<&Zone> = site.zones.iter().map(|fact| &fact.record).collect();
    let landmarks: Vec<&Landmark> = site.landmarks.iter().map(|fact| &fact.record).collect();
    let patches = site.patches.iter().map(|facts| &facts.patch.record);
    let of_patch = |patch: &&Patch| seasons.iter().find(|found| found.patch == patch.name);
    let known = patches.filter_map(|patch| Some((patch, of_patch(&patch)?)));
    let patches: Vec<MapPatch> = known.zip(1..).map(on_map).collect();
    let unlimited = patches.iter().any(|patch| patch.shade == Shade::Unknown);
    let title = format!("Hardest cut of {season}, as a part of the day's limit");
    site_map(&MapOf {
        site: &site.site.record,
        zones: &zones,
        patches: &patches,
        landmarks: &landmarks,
        shading: Some(&hardest_shading(&title, unlimited)),
        start: None,
        walked: false,
        keyed: true,
        narrow: false,
        id: "pressure-map",
    })
}

fn on_map<'a>(((patch, season), number): ((&'a Patch, &PatchSeason), usize)) -> MapPatch<'a> {
    let (shade, said) = shaded_by_hardest(season);
    MapPatch { number, patch, shade, said }
}
