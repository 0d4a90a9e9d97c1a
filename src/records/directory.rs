//! The names a book knows, and what to say of one it does not.

use std::sync::Arc;

use super::name::folded;
use super::{FactId, FormerNames, Ledger, PatchName, SiteName};
use crate::units::spoken_day;

/// How alike two names must be for "did you mean", 0 to 1 (Jaro–Winkler).
const LIKENESS: f64 = 0.8;

#[derive(Clone, Debug, Default)]
pub struct Directory {
    pub sites: Vec<SiteName>,
    pub patches: Vec<KnownPatch>,
    /// Lead to a place where none bears them now.
    pub former: FormerNames,
}

#[derive(Clone, Debug)]
pub struct KnownPatch {
    pub name: PatchName,
    pub crop: Arc<str>,
    /// `None` for a patch that is only now being loaded.
    pub id: Option<FactId>,
}

#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotFound {
    #[error("no {what} is called `{asked}`{}", did_you_mean(.near))]
    Unknown { what: &'static str, asked: String, near: Option<String> },
    #[error("`{asked}` may be any of {}; write the site too, like `{}`", .all.join(", "), .all[0])]
    Several { asked: String, all: Vec<String> },
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
pub(crate) fn nearest(asked: &str, names: impl Iterator<Item = String>) -> Option<String> {
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
    fn a_near_miss_gets_a_suggestion_and_nonsense_gets_none() {
        assert_eq!(
            directory().patch("spitt").unwrap_err().to_string(),
            "no patch is called `spitt`; did you mean `spit`?"
        );
        assert_eq!(directory().site("qqq").unwrap_err().to_string(), "no site is called `qqq`");
    }
}
