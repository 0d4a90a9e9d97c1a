//! Seasons of patches under the sites they lie on.

use std::collections::BTreeMap;

use crate::assess::PatchSeason;
use crate::records::SiteName;

pub(super) fn by_site(seasons: &[PatchSeason]) -> BTreeMap<&SiteName, Vec<&PatchSeason>> {
    let mut sites: BTreeMap<&SiteName, Vec<&PatchSeason>> = BTreeMap::new();
    for patch in seasons {
        sites.entry(patch.patch.site()).or_default().push(patch);
    }
    sites
}
