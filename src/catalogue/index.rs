//! Crops by name.

use std::collections::BTreeMap;
use std::sync::{Arc, LazyLock};

use crate::records::{Crop, nearest};

use super::read;

const FILES: [(&str, &str); 5] = [
    ("wood_and_hedge.toml", include_str!("crops/wood_and_hedge.toml")),
    ("field_and_stream.toml", include_str!("crops/field_and_stream.toml")),
    ("shore.toml", include_str!("crops/shore.toml")),
    ("flowers_fruits_nuts.toml", include_str!("crops/flowers_fruits_nuts.toml")),
    ("roots_and_fungi.toml", include_str!("crops/roots_and_fungi.toml")),
];

static BUILT_IN: LazyLock<Catalogue> = LazyLock::new(|| {
    let read = |(file, toml)| read(file, toml).expect("a test reads every file of the catalogue");
    FILES.into_iter().flat_map(read).collect()
});

/// The profile of every crop that a patch may name.
#[derive(Clone, Debug, Default)]
pub struct Catalogue {
    crops: BTreeMap<Arc<str>, Arc<Crop>>,
}

impl Catalogue {
    /// The catalogue that comes with Stintbook, read on first use.
    pub fn built_in() -> &'static Self {
        &BUILT_IN
    }

    pub fn crop(&self, name: &str) -> Option<&Arc<Crop>> {
        self.crops.get(name)
    }

    /// Every crop, by name.
    pub fn crops(&self) -> impl Iterator<Item = &Arc<Crop>> {
        self.crops.values()
    }

    /// The name in the catalogue most like `name`, for "did you mean".
    pub fn nearest(&self, name: &str) -> Option<String> {
        nearest(name, self.crops.keys().map(ToString::to_string))
    }
}

/// Of two crops of one name the later stays, so that a user's own profile replaces ours.
impl FromIterator<Crop> for Catalogue {
    fn from_iter<I: IntoIterator<Item = Crop>>(crops: I) -> Self {
        Self { crops: crops.into_iter().map(|crop| (crop.name.clone(), Arc::new(crop))).collect() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_of_the_catalogue_is_read_and_no_two_name_the_same_crop() {
        let mut read_from_files = 0;
        for (file, toml) in FILES {
            let crops = read(file, toml).unwrap_or_else(|problems| panic!("{problems}"));
            assert!(!crops.is_empty(), "{file} holds no crop");
            read_from_files += crops.len();
        }
        assert_eq!(Catalogue::built_in().crops().count(), read_from_files);
    }
}
