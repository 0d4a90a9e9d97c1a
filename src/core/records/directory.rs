//! The names a book knows, and what to say of one it does not.

use std::sync::Arc;

use super::name::folded;
use super::{FactId, FormerNames, Ledger, PatchName, SiteName};
use crate::units::spoken_day;

/// How alike two names must be for "did you mean", 0 to 1 (Jaro–Winkler).
const LIKENESS: f64 = 0.8;

/// What sites and patches are called now, for names that people type.
#[derive(Clone, Debug, Default)]
pub struct Directory {
    /// Every site that counts.
    pub sites: Vec<SiteName>,
    /// Every patch that counts.
    pub patches: Vec<KnownPatch>,
    /// Lead to a place where none bears them now.
    pub former: FormerNames,
}

/// A patch, as far as a name must lead to it.
#[derive(Clone, Debug)]
pub struct KnownPatch {
    /// As it is called now.
    pub name: PatchName,
    /// The name of its crop.
    pub crop: Arc<str>,
    /// `None` for a patch that is only now being loaded.
    pub id: Option<FactId>,
}

/// Why a name leads nowhere, in words for whoever typed it.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotFound {
    /// Nothing is called so; `what` is `site` or `patch`, `near` a name that is spelt nearly so.
    #[error("no {what} is called `{asked}`{}", did_you_mean(.near))]
    Unknown {
        /// `site` or `patch`.
        what: &'static str,
        /// As it was typed.
        asked: String,
        /// A name that is spelt nearly so.
        near: Option<String>,
    },
    /// Several sites have a patch of that name.
    #[error("`{asked}` may be any of {}; write the site too, like `{}`", .all.join(", "), .all[0])]
    Several {
        /// As it was typed.
        asked: String,
        /// The whole names of those that are called so.
        all: Vec<String>,
    },
    /// Several names begin so.
    #[error("`{asked}` begins the names of {}; write more of the one that is meant", .all.join(", "))]
    Begins {
        /// As it was typed.
        asked: String,
        /// The whole names of those that begin so.
        all: Vec<String>,
    },
}

fn did_you_mean(near: &Option<String>) -> String {
    near.as_ref().map(|name| format!("; did you mean `{name}`?")).unwrap_or_default()
}

impl Directory {
    /// The names that a ledger knows, which may be those of an earlier day.
    pub fn of(ledger: &Ledger) -> Self {
        let patches = ledger.patches().map(|(_, facts)| KnownPatch {
            name: facts.patch.record.name.clone(),
            crop: facts.patch.record.crop.clone(),
            id: Some(facts.patch.id),
        });
        let sites = ledger.sites.iter().map(|site| site.site.record.name.clone());
        Self { sites: sites.collect(), patches: patches.collect(), ..Self::default() }
    }

    /// The site of that name, whatever its case, or the one that was called so before.
    ///
    /// # Errors
    /// A name that no site bears or bore.
    pub fn site(&self, asked: &str) -> Result<&SiteName, NotFound> {
        let wanted = folded(asked);
        let same = |name: &&SiteName| folded(name.as_str()) == wanted;
        if let Some(found) = self.sites.iter().find(same) {
            return Ok(found);
        }
        self.former.site(asked).map(|former| &former.now).ok_or_else(|| NotFound::Unknown {
            what: "site",
            asked: asked.to_owned(),
            near: nearest(asked, self.sites.iter().map(|name| name.to_string())),
        })
    }

    /// Finds a patch by `site/patch`, by its own name where only one site has it, or by the
    /// short id of its fact; where none is called so now, by what it was called before.
    pub fn patch(&self, asked: &str) -> Result<&KnownPatch, NotFound> {
        let asked = asked.trim();
        let wanted = folded(asked);
        let with_site = asked.contains('/');
        let matches: Vec<&KnownPatch> = self
            .patches
            .iter()
            .filter(|known| {
                if with_site {
                    folded(&known.name.to_string()) == wanted
                } else {
                    folded(known.name.patch()) == wanted
                        || known.id.is_some_and(|id| id.short() == asked)
                }
            })
            .collect();
        match matches.as_slice() {
            [one] => Ok(one),
            [] => {
                if let Some(former) = self.formerly(asked)
                    && let Some(found) = self.patches.iter().find(|known| known.name == former)
                {
                    return Ok(found);
                }
                let names = self.patches.iter().map(|known| {
                    if with_site { known.name.to_string() } else { known.name.patch().to_owned() }
                });
                Err(NotFound::Unknown {
                    what: "patch",
                    asked: asked.to_owned(),
                    near: nearest(asked, names),
                })
            }
            several => Err(NotFound::Several {
                asked: asked.to_owned(),
                all: several.iter().map(|known| known.name.to_string()).collect(),
            }),
        }
    }
}

/// What people type.
impl Directory {
    /// As [`Self::site`], or by a beginning that only one site has.
    ///
    /// # Errors
    /// That none is called so, or which begin so.
    pub fn site_meant(&self, asked: &str) -> Result<&SiteName, NotFound> {
        self.site(asked).or_else(|unknown| {
            let begun = self.sites.iter().filter(|name| begins(name.as_str(), asked)).collect();
            only_one(asked, begun, unknown)
        })
    }

    /// As [`Self::patch`], or by a beginning that only one patch has, of its own name or of its
    /// site's and its own.
    ///
    /// # Errors
    /// That none is called so, or which may have been meant.
    pub fn patch_meant(&self, asked: &str) -> Result<&KnownPatch, NotFound> {
        self.patch(asked).or_else(|unknown| {
            if let NotFound::Several { .. } = unknown {
                return Err(unknown);
            }
            let is_begun = |known: &&KnownPatch| match asked.split_once('/') {
                Some((site, patch)) => {
                    begins(known.name.site().as_str(), site) && begins(known.name.patch(), patch)
                }
                None => begins(known.name.patch(), asked),
            };
            only_one(asked, self.patches.iter().filter(is_begun).collect(), unknown)
        })
    }
}

/// Whether a name begins with what was typed, however it was typed.
pub fn begins(name: &str, typed: &str) -> bool {
    let typed = folded(typed);
    !typed.is_empty() && folded(name).starts_with(&typed)
}

fn only_one<'d, T: Called>(
    asked: &str,
    begun: Vec<&'d T>,
    unknown: NotFound,
) -> Result<&'d T, NotFound> {
    match begun.as_slice() {
        [one] => Ok(one),
        [] => Err(unknown),
        several => Err(NotFound::Begins {
            asked: asked.to_owned(),
            all: several.iter().map(|one| one.called()).collect(),
        }),
    }
}

trait Called {
    fn called(&self) -> String;
}

impl Called for SiteName {
    fn called(&self) -> String {
        self.to_string()
    }
}

impl Called for KnownPatch {
    fn called(&self) -> String {
        self.name.to_string()
    }
}

impl Directory {
    /// `` `Hill` is called `Down` since 4 May 2021 ``, for a name that is a former one.
    pub fn renamed_site(&self, asked: &str) -> Option<String> {
        let present = self.site(asked).ok()?;
        let former = self.former.site(asked)?;
        (folded(present.as_str()) != folded(asked)).then(|| former.said())
    }

    /// The same for a patch, asked for as people call it.
    pub fn renamed_patch(&self, asked: &str) -> Option<String> {
        let now = self.formerly(asked)?;
        let (site, own) = match asked.split_once('/') {
            Some((site, own)) => (Some(site), own),
            None => (None, asked),
        };
        let of_patch = self.former.patch(Some(now.site()), own).map(|former| former.since);
        let of_site = || Some(self.former.site(site?)?.since);
        let since = of_patch.or_else(of_site)?;
        Some(format!("`{asked}` is called `{now}` since {}", spoken_day(since)))
    }

    /// The present name of a patch that none is called like, where it or its site was called so.
    fn formerly(&self, asked: &str) -> Option<PatchName> {
        if self.former.is_empty() {
            return None;
        }
        let Some((site, patch)) = asked.split_once('/') else {
            return self.former.patch(None, asked).map(|former| former.now.clone());
        };
        let site = self.site(site).ok()?;
        let wanted = folded(patch);
        let present = self
            .patches
            .iter()
            .find(|known| known.name.site() == site && folded(known.name.patch()) == wanted);
        match present {
            Some(known) => Some(known.name.clone()),
            None => self.former.patch(Some(site), patch).map(|former| former.now.clone()),
        }
    }
}

/// The name most like the one asked for, if any is like it at all.
pub fn nearest(asked: &str, names: impl Iterator<Item = String>) -> Option<String> {
    let asked = asked.to_lowercase();
    names
        .map(|name| (strsim::jaro_winkler(&asked, &name.to_lowercase()), name))
        .filter(|(likeness, _)| *likeness >= LIKENESS)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, name)| name)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn directory() -> Directory {
        let patch = |name: &str| KnownPatch {
            name: name.parse().unwrap(),
            crop: "nettle-tops".into(),
            id: None,
        };
        Directory {
            sites: vec![SiteName::new("north wood").unwrap(), SiteName::new("shore").unwrap()],
            patches: vec![patch("north wood/bank"), patch("shore/bank"), patch("shore/spit")],
            ..Directory::default()
        }
    }

    #[test]
    fn a_patch_is_found_by_its_own_name_where_only_one_site_has_it() {
        assert_eq!(directory().patch("Spit").unwrap().name.to_string(), "shore/spit");
        assert_eq!(directory().patch("shore/bank").unwrap().name.to_string(), "shore/bank");
        assert_eq!(
            directory().patch("bank").unwrap_err().to_string(),
            "`bank` may be any of north wood/bank, shore/bank; write the site too, \
             like `north wood/bank`"
        );
    }

    #[test]
    fn a_beginning_that_means_one_thing_is_enough_and_one_that_means_several_is_not() {
        let known = directory();
        let patch = |asked: &str| known.patch_meant(asked).map(|found| found.name.to_string());
        assert_eq!(patch("sp").as_deref(), Ok("shore/spit"));
        assert_eq!(patch("N/B").as_deref(), Ok("north wood/bank"));
        assert_eq!(known.site_meant("nor").unwrap().to_string(), "north wood");
        assert_eq!(
            patch("ba").unwrap_err().to_string(),
            "`ba` begins the names of north wood/bank, shore/bank; write more of the one that is \
             meant"
        );
        assert!(patch("").is_err() && known.site_meant("").is_err());
        // A whole name is never taken for a beginning, nor does a file go by one.
        assert!(known.patch("sp").is_err() && known.site("nor").is_err());
    }

    #[test]
    fn a_near_miss_gets_a_suggestion_and_nonsense_gets_none() {
        assert_eq!(
            directory().patch("spitt").unwrap_err().to_string(),
            "no patch is called `spitt`; did you mean `spit`?"
        );
        assert_eq!(directory().site("qqq").unwrap_err().to_string(), "no site is called `qqq`");
    }
}
