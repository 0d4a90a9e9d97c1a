//! The profile that holds for one patch: the catalogue's, with the user's overrides.

use std::sync::Arc;

use jiff::civil::Date;

use crate::records::{Crop, CropField, CropOverride, PatchFacts, SiteFacts};

/// A crop's profile and the overrides that shaped it.
#[derive(Clone, Debug, PartialEq)]
pub struct Profile {
    /// With the overrides.
    pub crop: Arc<Crop>,
    /// As it was before any override.
    catalogued: Arc<Crop>,
    /// The user's file that it comes from, where it is not built in.
    pub own_file: Option<Arc<str>>,
    /// In the order applied: the site's, then the patch's own.
    pub overrides: Vec<AppliedOverride>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct AppliedOverride {
    pub change: CropOverride,
    /// Its day: what was ruled before it was ruled without it.
    pub on: Date,
    /// Why the value could not be used, if so.
    pub refused: Option<Arc<str>>,
}

impl Profile {
    /// Overrides of the whole site come first, so that a patch's own wins. Those of a day after
    /// `until` are left out.
    pub fn of(
        catalogued: &Arc<Crop>,
        own_file: Option<&Arc<str>>,
        site: &SiteFacts,
        patch: &PatchFacts,
        until: Date,
    ) -> Self {
        let patch_name = patch.patch.record.name.patch();
        let of_crop = || {
            let all = site.overrides.iter().filter(|fact| fact.happened_on <= until);
            let all = all.map(|fact| (&fact.record, fact.happened_on));
            all.filter(|(change, _)| change.crop == catalogued.name)
        };
        let of_site = of_crop().filter(|(change, _)| change.patch.is_none());
        let of_patch = of_crop().filter(|(change, _)| change.patch.as_deref() == Some(patch_name));
        let mut profile = Self::without_overrides(catalogued, own_file);
        for (change, on) in of_site.chain(of_patch) {
            profile.apply(change, on);
        }
        profile
    }

    fn without_overrides(catalogued: &Arc<Crop>, own_file: Option<&Arc<str>>) -> Self {
        Self {
            crop: catalogued.clone(),
            catalogued: catalogued.clone(),
            own_file: own_file.cloned(),
            overrides: Vec::new(),
        }
    }

    /// What held on that day: overrides of a later one were not known. `None` where there are
    /// none of them.
    pub(super) fn as_on(&self, day: Date) -> Option<Self> {
        self.later_than(day).next()?;
        let mut profile = Self::without_overrides(&self.catalogued, self.own_file.as_ref());
        for applied in self.overrides.iter().filter(|applied| applied.on <= day) {
            profile.apply(&applied.change, applied.on);
        }
        Some(profile)
    }

    /// What was put right after that day.
    pub(super) fn later_than(&self, day: Date) -> impl Iterator<Item = &AppliedOverride> {
        self.overrides.iter().filter(move |applied| applied.on > day)
    }

    /// Overrides whose value the crop cannot take: of what, and why.
    pub(super) fn refused(&self) -> impl Iterator<Item = (CropField, Arc<str>)> {
        self.overrides
            .iter()
            .filter_map(|applied| Some((applied.change.field, applied.refused.clone()?)))
    }

    fn apply(&mut self, change: &CropOverride, on: Date) {
        let crop = Arc::make_mut(&mut self.crop);
        let refused = crop.set(change.field, &change.value, &change.source).err();
        self.overrides.push(AppliedOverride {
            change: change.clone(),
            on,
            refused: refused.map(|problem| problem.to_string().into()),
        });
    }
}
