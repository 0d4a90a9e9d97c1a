//! The profile that holds for one patch: the catalogue's, with the user's overrides.

use std::sync::Arc;

use crate::records::{Crop, CropOverride, PatchFacts, SiteFacts};

/// A crop's profile and the overrides that shaped it.
#[derive(Clone, Debug, PartialEq)]
pub struct Profile {
    pub crop: Arc<Crop>,
    /// The user's file that it comes from, where it is not built in.
    pub own_file: Option<Arc<str>>,
    /// In the order applied: the site's, then the patch's own.
    pub overrides: Vec<AppliedOverride>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct AppliedOverride {
    pub change: CropOverride,
    /// Why the value could not be used, if so.
    pub refused: Option<String>,
}

impl Profile {
    /// Overrides of the whole site come first, so that a patch's own wins.
    pub fn of(
        catalogued: &Arc<Crop>,
        own_file: Option<&Arc<str>>,
        site: &SiteFacts,
        patch: &PatchFacts,
    ) -> Self {
        let patch_name = patch.patch.record.name.patch();
        let of_crop = || {
            let all = site.overrides.iter().map(|fact| &fact.record);
            all.filter(|change| change.crop == catalogued.name)
        };
        let of_site = of_crop().filter(|change| change.patch.is_none());
        let of_patch = of_crop().filter(|change| change.patch.as_deref() == Some(patch_name));
        let mut profile =
            Self { crop: catalogued.clone(), own_file: own_file.cloned(), overrides: Vec::new() };
        for change in of_site.chain(of_patch) {
            profile.apply(change);
        }
        profile
    }

    fn apply(&mut self, change: &CropOverride) {
        let crop = Arc::make_mut(&mut self.crop);
        let refused = crop.set(change.field, &change.value, &change.source).err();
        self.overrides.push(AppliedOverride {
            change: change.clone(),
            refused: refused.map(|problem| problem.to_string()),
        });
    }
}
