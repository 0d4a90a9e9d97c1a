//! Whoever asks.

use super::may::{May, Role};
use crate::records::{SiteName, folded};

/// What is known of whoever asks, before anything is answered.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Person {
    /// The account; `None` where nobody has signed in, or there are no accounts.
    pub name: Option<String>,
    /// `None` for somebody who would have to sign in.
    pub role: Option<Role>,
    /// The sites that alone may be seen; `None` for all.
    sites: Option<Vec<String>>,
}

impl Person {
    /// Whoever sits at a desk without accounts: it is their own machine.
    pub fn alone() -> Self {
        Self { name: None, role: Some(Role::Keeper), sites: None }
    }

    /// Somebody who has not signed in.
    pub fn nobody() -> Self {
        Self { name: None, role: None, sites: Some(Vec::new()) }
    }

    /// Keepers see every site, and so do foragers and leaders who are held to none. An owner
    /// sees the named ones alone.
    pub fn of_account(name: &str, role: Role, sites: &[String]) -> Self {
        let all = role == Role::Keeper || (role != Role::Owner && sites.is_empty());
        let sites = (!all).then(|| sites.to_vec());
        Self { name: Some(name.to_owned()), role: Some(role), sites }
    }

    pub fn may(&self, may: May) -> bool {
        may.lets(self.role)
    }

    pub fn is_held_to_sites(&self) -> bool {
        self.sites.is_some()
    }

    pub fn may_see(&self, site: &SiteName) -> bool {
        let same = |own: &String| folded(own) == folded(site.as_str());
        self.sites.as_ref().is_none_or(|sites| sites.iter().any(same))
    }

    /// Whether what this account did not record itself is for others to put right.
    pub fn rights_own_alone(&self) -> bool {
        self.role == Some(Role::Forager)
    }
}
