//! Names of sites and patches.

use std::fmt;
use std::str::FromStr;
use std::sync::Arc;

const LONGEST: usize = 60;

/// The name of a site, unique in a book.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SiteName(Arc<str>);

/// The name of a patch with its site, written `site/patch`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PatchName {
    site: SiteName,
    patch: Arc<str>,
}

#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NameError {
    #[error("`{0}` is not a name; use letters, digits, spaces, `-`, `'` and `.`, 60 at most")]
    Unfit(String),
    #[error("`{0}` names no site; write `site/patch`")]
    NoSite(String),
}

pub(super) fn checked(text: &str) -> Result<Arc<str>, NameError> {
    let text = text.trim();
    let fits = !text.is_empty()
        && text.chars().count() <= LONGEST
        && text.chars().all(|c| c.is_alphanumeric() || matches!(c, ' ' | '-' | '\'' | '.' | '_'));
    if fits { Ok(text.into()) } else { Err(NameError::Unfit(text.to_owned())) }
}

impl SiteName {
    pub fn new(text: &str) -> Result<Self, NameError> {
        checked(text).map(Self)
    }

    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl PatchName {
    pub fn new(site: &SiteName, patch: &str) -> Result<Self, NameError> {
        Ok(Self { site: site.clone(), patch: checked(patch)? })
    }

    pub fn site(&self) -> &SiteName {
        &self.site
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
