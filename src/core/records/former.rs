//! Names that places bore before, and what those places are called now.

use std::fmt::Display;

use jiff::civil::Date;

use super::name::folded;
use super::{FactId, PatchName, SiteName};
use crate::units::spoken_day;

/// What a place was called by a fact that was put right since.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Former<N> {
    /// The fact that called it so.
    pub fact: FactId,
    /// A patch's with the present name of the site that it lay on.
    pub was: N,
    /// What the same place is called now.
    pub now: N,
    /// From when it has counted no longer.
    pub since: Date,
}

/// The former names of a book.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FormerNames {
    /// Sites that were called otherwise.
    pub sites: Vec<Former<SiteName>>,
    /// Patches that were called otherwise, or whose site was.
    pub patches: Vec<Former<PatchName>>,
    /// What maps loaded in the same command call these places, by their ids: it leads there
    /// even where another bears that name now.
    pub told_sites: Vec<Former<SiteName>>,
    /// The same of patches.
    pub told_patches: Vec<Former<PatchName>>,
}

impl<N: Display + PartialEq> Former<N> {
    /// `` `Hill/Bank` is called `Hill/Terrace` since 4 May 2021 ``, where it is called otherwise.
    pub fn said(&self) -> String {
        let Self { was, now, since, .. } = self;
        format!("`{was}` is called `{now}` since {}", spoken_day(*since))
    }
}

impl FormerNames {
    /// Whether no place of the book ever bore another name.
    pub fn is_empty(&self) -> bool {
        self.sites.is_empty() && self.patches.is_empty()
    }

    /// The site that once was called so; `None` where no site was, or several were.
    pub fn site(&self, asked: &str) -> Option<&Former<SiteName>> {
        let wanted = folded(asked);
        only(self.sites.iter().filter(|former| folded(former.was.as_str()) == wanted))
    }

    /// The patch of a site, or of any, that once was called so.
    pub fn patch(&self, site: Option<&SiteName>, asked: &str) -> Option<&Former<PatchName>> {
        let wanted = folded(asked);
        only(self.patches.iter().filter(|former| {
            folded(former.was.patch()) == wanted
                && site.is_none_or(|site| former.was.site() == site)
        }))
    }

    /// What else the site was called.
    pub fn of_site(&self, site: &SiteName) -> Vec<String> {
        let former = self.sites.iter().filter(|former| former.now == *site);
        distinct(former.map(|former| former.was.to_string()), site.as_str())
    }

    /// What else the patch was called, by itself and by its site.
    pub fn of_patch(&self, patch: &PatchName) -> Vec<String> {
        if self.is_empty() {
            return Vec::new();
        }
        let former = self.patches.iter().filter(|former| former.now == *patch);
        let own: Vec<&str> =
            former.map(|former| former.was.patch()).chain([patch.patch()]).collect();
        let mut sites = self.of_site(patch.site());
        sites.push(patch.site().to_string());
        let all = sites.iter().flat_map(|site| own.iter().map(move |own| format!("{site}/{own}")));
        distinct(all, &patch.to_string())
    }
}

/// The last of them, if all are called the same now.
fn only<'a, N: PartialEq>(mut found: impl Iterator<Item = &'a Former<N>>) -> Option<&'a Former<N>> {
    let first = found.next()?;
    found.try_fold(first, |last, next| {
        (last.now == next.now).then(|| if next.since > last.since { next } else { last })
    })
}

fn distinct(names: impl Iterator<Item = String>, but: &str) -> Vec<String> {
    let mut names: Vec<String> = names.filter(|name| name != but).collect();
    names.sort();
    names.dedup();
    names
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_that_leads_to_two_places_leads_nowhere_and_of_two_that_lead_to_one_the_later_counts()
    {
        let called = |now: &str, month| Former {
            fact: FactId(uuid::Uuid::nil()),
            was: SiteName::new("hill").unwrap(),
            now: SiteName::new(now).unwrap(),
            since: Date::constant(2027, month, 1),
        };
        let since = |sites| {
            let names = FormerNames { sites, ..FormerNames::default() };
            names.site("Hill").map(|former| former.since.month())
        };
        assert_eq!(since(vec![called("terrace", 5), called("terrace", 3)]), Some(5));
        assert_eq!(since(vec![called("terrace", 5), called("dell", 3)]), None);
        assert_eq!(since(vec![]), None);
    }
}
