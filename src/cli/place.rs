//! A site or a patch, as people call either.

use std::fmt;

use super::failure::Failure;
use crate::book::Scope;
use crate::records::{Closure, Directory, NotFound, PatchName, SiteName};

/// What a deed is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Place {
    Site(SiteName),
    Patch(PatchName),
}

impl Place {
    /// The patch that is called so, or else the site; `shore/` is the site whatever a patch is
    /// called.
    ///
    /// # Errors
    /// That there is none, or that both are called so.
    pub fn called(asked: &str, names: &Directory) -> Result<Self, Failure> {
        if let Some(site) = asked.strip_suffix('/') {
            return Ok(Self::Site(names.site_meant(site)?.clone()));
        }
        match (names.patch(asked), names.site(asked)) {
            (Ok(patch), Ok(site)) => Err(Failure::wrong(format!(
                "`{asked}` is a site and a patch; write `{site}/` for the whole site, or `{}`",
                patch.name
            ))),
            (Ok(patch), Err(_)) => Ok(Self::Patch(patch.name.clone())),
            (Err(_), Ok(site)) => Ok(Self::Site(site.clone())),
            (Err(several @ NotFound::Several { .. }), Err(_)) => Err(several.into()),
            (Err(patch), Err(_)) if asked.contains('/') => Err(patch.into()),
            (Err(NotFound::Unknown { near: Some(near), .. }), Err(_))
            | (Err(_), Err(NotFound::Unknown { near: Some(near), .. })) => Err(Failure::wrong(
                format!("no site or patch is called `{asked}`; did you mean `{near}`?"),
            )),
            _ => Err(Failure::wrong(format!("no site or patch is called `{asked}`"))),
        }
    }

    pub fn site(&self) -> &SiteName {
        match self {
            Self::Site(site) => site,
            Self::Patch(patch) => patch.site(),
        }
    }

    /// The patch by its name on the site; `None` for the whole site.
    pub fn patch(&self) -> Option<&str> {
        match self {
            Self::Site(_) => None,
            Self::Patch(patch) => Some(patch.patch()),
        }
    }

    /// All that a deed here may change: whole sites, since what is cut of a crop on one patch
    /// bears on the others.
    pub fn scope(&self) -> Scope {
        Scope::Site(self.site().clone())
    }

    /// Whether the closure is about just this.
    pub fn is_shut_by(&self, closure: &Closure) -> bool {
        closure.site == *self.site() && closure.patch.as_deref() == self.patch()
    }
}

impl fmt::Display for Place {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Site(site) => site.fmt(out),
            Self::Patch(patch) => patch.fmt(out),
        }
    }
}
