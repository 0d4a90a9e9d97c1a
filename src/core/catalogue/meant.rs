//! Crops as people call them: by a common name, by a beginning, or nearly.

use std::sync::Arc;

use super::Catalogue;
use crate::records::{Crop, folded, nearest};

/// A name that leads to no crop, or to several.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotMeant {
    /// None is called nearly so.
    #[error("no crop is called `{asked}`{}", hint(.near))]
    Unknown {
        /// As it was typed.
        asked: String,
        /// A crop's name that is spelt nearly so.
        near: Option<String>,
    },
    /// Several might be meant.
    #[error("`{asked}` may be any of {}; write one of them", .all.join(", "))]
    Several {
        /// As it was typed.
        asked: String,
        /// The names of all that it may be.
        all: Vec<String>,
    },
}

fn hint(near: &Option<String>) -> String {
    match near {
        Some(near) => format!("; did you mean `{near}`?"),
        None => "; `stintbook crops` lists them".to_owned(),
    }
}

/// How alike a name must be to be taken for a slip of the finger, 0 to 1 (Jaro–Winkler).
const SLIP: f64 = 0.94;

impl Catalogue {
    /// The crop that is called so: its name; or, where that is no crop's name, the only one whose
    /// common name has all these words, or whose name begins so; or else a name that differs by a
    /// slip of the finger.
    ///
    /// # Errors
    /// That none is, with the nearest, or which may have been meant.
    pub fn meant(&self, asked: &str) -> Result<&Arc<Crop>, NotMeant> {
        let wanted = folded(asked);
        if let Some(crop) = self.crop(&wanted) {
            return Ok(crop);
        }
        let words: Vec<&str> = words_of(&wanted).collect();
        let has_all = |crop: &&Arc<Crop>| {
            let common = folded(&crop.common_name);
            !words.is_empty()
                && words.iter().all(|word| words_of(&common).any(|it| is_alike(it, word)))
        };
        let begins = |crop: &&Arc<Crop>| !wanted.is_empty() && crop.name.starts_with(&wanted);
        let by_name: Vec<&Arc<Crop>> = self.crops().filter(has_all).collect();
        let found = match by_name.is_empty() {
            true => self.crops().filter(begins).collect(),
            false => by_name,
        };
        match found.as_slice() {
            [one] => Ok(one),
            [] => self.slip_of(&wanted).ok_or_else(|| NotMeant::Unknown {
                asked: asked.to_owned(),
                near: self.nearest(&wanted),
            }),
            several => Err(NotMeant::Several {
                asked: asked.to_owned(),
                all: several.iter().map(|crop| format!("`{}`", crop.name)).collect(),
            }),
        }
    }

    fn slip_of(&self, wanted: &str) -> Option<&Arc<Crop>> {
        let near = nearest(wanted, self.crops().map(|crop| crop.name.to_string()))?;
        (strsim::jaro_winkler(wanted, &near) >= SLIP).then(|| self.crop(&near))?
    }
}

/// One of them may stand for several: `nettles` for `nettle`.
fn is_alike(one: &str, other: &str) -> bool {
    let several = |many: &str, one: &str| many.strip_suffix('s') == Some(one);
    one == other || several(one, other) || several(other, one)
}

fn words_of(text: &str) -> impl Iterator<Item = &str> {
    text.split(|c: char| !c.is_alphanumeric() && c != '-').filter(|word| !word.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn meant(asked: &str) -> Result<String, NotMeant> {
        Catalogue::built_in().meant(asked).map(|crop| crop.name.to_string())
    }

    #[test]
    fn a_common_name_a_beginning_and_a_slip_of_the_finger_lead_to_the_crop() {
        for (asked, crop) in [
            ("ramsons-leaf", "ramsons-leaf"),
            ("Wild Garlic", "ramsons-leaf"),
            ("nettle", "nettle-tops"),
            ("nettles", "nettle-tops"),
            ("blackb", "blackberry"),
            ("ramson-leaf", "ramsons-leaf"),
            ("chickwede-tops", "chickweed-tops"),
        ] {
            assert_eq!(meant(asked).as_deref(), Ok(crop), "{asked}");
        }
    }

    #[test]
    fn what_several_crops_are_called_is_asked_and_what_none_is_finds_none() {
        let several = meant("elder").unwrap_err().to_string();
        assert!(several.contains("`elder-flower`") && several.contains("write one"), "{several}");
        for nothing in ["", "  ", "zzz", "leaf of gold"] {
            assert!(matches!(meant(nothing), Err(NotMeant::Unknown { .. })), "{nothing}");
        }
    }
}
