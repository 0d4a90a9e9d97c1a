//! Crops by name.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, LazyLock};

use crate::records::{Crop, nearest};
use crate::units::Measure;

use super::season_curves::with_season;
use super::{CatalogueProblem, CatalogueProblems, read};

const FILES: [(&str, &str); 5] = [
    ("wood_and_hedge.toml", include_str!("crops/wood_and_hedge.toml")),
    ("field_and_stream.toml", include_str!("crops/field_and_stream.toml")),
    ("shore.toml", include_str!("crops/shore.toml")),
    ("flowers_fruits_nuts.toml", include_str!("crops/flowers_fruits_nuts.toml")),
    ("roots_and_fungi.toml", include_str!("crops/roots_and_fungi.toml")),
];

static BUILT_IN: LazyLock<Catalogue> = LazyLock::new(|| {
    let read = |(file, toml)| read(file, toml).expect("a test reads every file of the catalogue");
    FILES.into_iter().flat_map(read).map(with_season).collect()
});

/// The profile of every crop that a patch may name.
#[derive(Clone, Debug, Default)]
pub struct Catalogue {
    crops: BTreeMap<Arc<str>, Arc<Crop>>,
    own: Own,
}

/// Which of the crops are the user's, and the file they came from.
#[derive(Clone, Debug, Default)]
struct Own {
    file: Arc<str>,
    names: BTreeSet<Arc<str>>,
}

impl Catalogue {
    /// The catalogue that comes with Stintbook, read on first use.
    pub fn built_in() -> &'static Self {
        &BUILT_IN
    }

    /// The built-in catalogue with the crops of a user's file added, or put in the place of
    /// built-in ones of the same name.
    ///
    /// # Errors
    /// The problems of the file, and a crop that is weighed where the built-in one is counted,
    /// or the reverse: what the book holds of it would change its meaning.
    pub fn with_own(file: &str, toml: &str) -> Result<Self, CatalogueProblems> {
        let own = read(file, toml)?;
        let problems: Vec<CatalogueProblem> = own.iter().filter_map(other_measure).collect();
        if !problems.is_empty() {
            return Err(CatalogueProblems { file: file.to_owned(), problems });
        }
        let names = own.iter().map(|crop| crop.name.clone()).collect();
        let mut all = Self::built_in().clone();
        all.own = Own { file: file.into(), names };
        all.crops.extend(own.into_iter().map(|crop| (crop.name.clone(), Arc::new(crop))));
        Ok(all)
    }

    /// The user's file that a crop's profile comes from; `None` for a built-in one.
    pub fn own_file(&self, name: &str) -> Option<&Arc<str>> {
        self.own.names.contains(name).then_some(&self.own.file)
    }

    /// The crop of exactly that name.
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

fn other_measure(own: &Crop) -> Option<CatalogueProblem> {
    let built_in = Catalogue::built_in().crop(&own.name)?;
    if own.measure == built_in.measure {
        return None;
    }
    let (found, expected) = match own.measure {
        Measure::Count => (
            Some(own.piece.to_string()),
            "no `piece`: the catalogue's crop of that name is weighed; give a crop that is \
             counted a name of its own"
                .to_owned(),
        ),
        Measure::Mass => (
            None,
            format!(
                "`{}`: the catalogue's crop of that name is counted; give a crop that is weighed \
                 a name of its own",
                built_in.piece
            ),
        ),
    };
    let (crop, field) = (own.name.to_string(), "piece".to_owned());
    Some(CatalogueProblem::Field { crop, field, found, expected })
}

/// Of two crops of one name the later stays.
impl FromIterator<Crop> for Catalogue {
    fn from_iter<I: IntoIterator<Item = Crop>>(crops: I) -> Self {
        let crops = crops.into_iter().map(|crop| (crop.name.clone(), Arc::new(crop)));
        Self { crops: crops.collect(), own: Own::default() }
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
