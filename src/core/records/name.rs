//! Names of sites and patches.

use std::borrow::Cow;
use std::fmt;
use std::str::FromStr;
use std::sync::Arc;

use unicode_normalization::UnicodeNormalization;

use super::{FactId, Written};

const LONGEST: usize = 60;
/// Digits of a short id.
const MARK: usize = 8;

/// The name of a site, unique in a book.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SiteName(Arc<str>);

/// The name of a patch with its site, written `site/patch`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PatchName {
    site: SiteName,
    patch: Arc<str>,
}

/// Why a text is no name; has the text.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NameError {
    /// Letters that no name may have, or too many of them, or none.
    #[error("`{0}` is not a name; use letters, digits, spaces, `-`, `'` and `.`, 60 at most")]
    Unfit(String),
    /// A patch's name without its site.
    #[error("`{0}` names no site; write `site/patch`")]
    NoSite(String),
}

/// A name that several bear, and the short id that tells one of them from the others.
pub fn without_mark(text: &str) -> Option<(&str, &str)> {
    let (name, mark) = text.rsplit_once(' ')?;
    let is_mark = mark.len() == MARK && mark.chars().all(|c| c.is_ascii_hexdigit());
    (is_mark && !name.is_empty()).then_some((name, mark))
}

pub(super) fn marked(name: &str, id: FactId) -> Arc<str> {
    format!("{name} {}", id.short()).into()
}

/// The text with each accent in one character with its letter, where there is such a one
/// (Unicode normalization form C, <https://unicode.org/reports/tr15/>).
pub fn composed(text: &str) -> Cow<'_, str> {
    // A letter of ASCII has no accent, and a book has a hundred thousand names of such.
    if text.is_ascii() { text.into() } else { text.nfc().collect() }
}

/// The text with each accent in a character of its own (form D).
pub fn decomposed(text: &str) -> String {
    text.nfd().collect()
}

/// What is alike of names that people take for one, however they were typed: without case as
/// Unicode folds it, accents composed, no blanks around it.
pub fn folded(name: &str) -> String {
    // Most names, and the same for them: a file asks for one on each of a million rows.
    if name.is_ascii() {
        return name.trim().to_ascii_lowercase();
    }
    let fold = |c: char| {
        // The dotless i is a letter of its own and folds to none (CaseFolding.txt).
        let upper: Vec<char> = if c == 'ı' { vec![c] } else { c.to_uppercase().collect() };
        upper.into_iter().flat_map(char::to_lowercase)
    };
    name.trim().nfd().flat_map(fold).nfc().collect()
}

pub(super) fn checked(text: &str) -> Result<Arc<str>, NameError> {
    let text = composed(text.trim());
    let text = &*text;
    let own = without_mark(text).map_or(text, |(own, _)| own);
    let fits = !text.is_empty()
        && (own.len() <= LONGEST || own.chars().count() <= LONGEST)
        && text.chars().all(|c| c.is_alphanumeric() || matches!(c, ' ' | '-' | '\'' | '.' | '_'));
    if fits { Ok(text.into()) } else { Err(NameError::Unfit(text.to_owned())) }
}

impl SiteName {
    /// The name, made up of single letters where accents were written apart.
    ///
    /// # Errors
    /// A text that is no name.
    pub fn new(text: &str) -> Result<Self, NameError> {
        checked(text).map(Self)
    }

    /// As it was written.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The name with a short id behind it, for one of several that bear it.
    pub fn told_apart_by(&self, id: FactId) -> Self {
        Self(marked(&self.0, id))
    }
}

impl PatchName {
    /// A patch of that name on the site.
    ///
    /// # Errors
    /// A text that is no name.
    pub fn new(site: &SiteName, patch: &str) -> Result<Self, NameError> {
        Ok(Self { site: site.clone(), patch: checked(patch)? })
    }

    /// The site that it lies on.
    pub fn site(&self) -> &SiteName {
        &self.site
    }

    /// The patch of the same name on another site, or on this one by another name.
    pub fn on(&self, site: &SiteName) -> Self {
        Self { site: site.clone(), patch: self.patch.clone() }
    }

    /// The name with a short id behind it, for one of several that bear it.
    pub fn told_apart_by(&self, id: FactId) -> Self {
        Self { site: self.site.clone(), patch: marked(&self.patch, id) }
    }

    /// The part after the slash.
    pub fn patch(&self) -> &str {
        &self.patch
    }
}

impl FromStr for SiteName {
    type Err = NameError;

    fn from_str(text: &str) -> Result<Self, NameError> {
        Self::new(text)
    }
}

impl FromStr for PatchName {
    type Err = NameError;

    fn from_str(text: &str) -> Result<Self, NameError> {
        let (site, patch) =
            text.split_once('/').ok_or_else(|| NameError::NoSite(text.to_owned()))?;
        Self::new(&SiteName::new(site)?, patch)
    }
}

impl Written for SiteName {}

impl fmt::Display for SiteName {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.pad(&self.0)
    }
}

impl fmt::Display for PatchName {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.pad(&format!("{}/{}", self.site, self.patch))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_people_take_for_one_fold_alike() {
        for (one, other) in [
            ("Ann", " ann "),
            ("\u{c4}nne", "\u{e4}nne"),
            ("\u{c4}nne", "A\u{308}nne"),
            ("Stra\u{df}e", "STRASSE"),
            ("\u{39f}\u{3b4}\u{3cc}\u{3c2}", "\u{39f}\u{394}\u{38c}\u{3a3}"),
        ] {
            assert_eq!(folded(one), folded(other), "{one} {other}");
        }
        assert_ne!(folded("Anne"), folded("\u{c4}nne"));
        assert_ne!(folded("\u{131}nci"), folded("inci"));
    }

    #[test]
    fn a_name_is_kept_composed() {
        let typed = SiteName::new("Ba\u{308}ch").unwrap();
        assert_eq!(typed, SiteName::new("B\u{e4}ch").unwrap());
    }
}
