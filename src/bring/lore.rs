//! The names that a book and its catalogue know, as people write them.

use std::collections::HashMap;

use crate::catalogue::{Catalogue, NotMeant};
use crate::records::{Crop, Directory, KnownPatch, NotFound, folded};

/// Names that nobody knows, of one file, for which the likeliest is looked for.
const MOST_LIKENED: usize = 100;

/// What a name led to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Heard {
    /// As the book or the catalogue has it.
    Is(String),
    /// It may be one of these, and is to be asked.
    Near(Vec<String>),
    Unknown,
}

/// What tables are read against.
#[derive(Debug)]
pub struct Lore<'a> {
    names: &'a Directory,
    crops: &'a Catalogue,
    patches: HashMap<String, Vec<&'a KnownPatch>>,
    /// The same by letters and digits alone.
    bare: HashMap<String, Vec<&'a KnownPatch>>,
    likened: std::cell::Cell<usize>,
}

impl<'a> Lore<'a> {
    /// The names of a book, and the crops that count for it.
    pub fn new(names: &'a Directory, crops: &'a Catalogue) -> Self {
        let mut patches: HashMap<String, Vec<&KnownPatch>> = HashMap::new();
        let mut bared: HashMap<String, Vec<&KnownPatch>> = HashMap::new();
        for patch in &names.patches {
            for name in [patch.name.patch().to_owned(), patch.name.to_string()] {
                patches.entry(folded(&name)).or_default().push(patch);
                bared.entry(bare(&name)).or_default().push(patch);
            }
        }
        Self { names, crops, patches, bare: bared, likened: MOST_LIKENED.into() }
    }

    pub(super) fn patch(&self, said: &str) -> Heard {
        match self.patches.get(&folded(said)).map(Vec::as_slice) {
            Some([one]) => return Heard::Is(one.name.to_string()),
            Some(several @ [_, ..]) => return Heard::Near(named(several)),
            _ => {}
        }
        if let Some(alike) = self.bare.get(&bare(said)) {
            return Heard::Near(named(alike));
        }
        if !self.may_liken() {
            return Heard::Unknown;
        }
        match self.names.patch(said) {
            // What it was called before.
            Ok(patch) => Heard::Is(patch.name.to_string()),
            Err(unknown) => match self.names.patch_meant(said) {
                Ok(patch) => Heard::Near(vec![patch.name.to_string()]),
                Err(_) => near(unknown, |name| {
                    let found = self.names.patch(name).ok()?;
                    Some(found.name.to_string())
                }),
            },
        }
    }

    pub(super) fn site(&self, said: &str) -> Heard {
        match self.names.site(said) {
            Ok(site) => Heard::Is(site.to_string()),
            Err(unknown) => match self.names.site_meant(said) {
                Ok(site) => Heard::Near(vec![site.to_string()]),
                Err(_) => near(unknown, |name| Some(name.to_owned())),
            },
        }
    }

    /// A crop's own name, or the common or Latin one that it alone has.
    pub(super) fn crop(&self, said: &str) -> Heard {
        if let Some(crop) = self.crops.crop(&folded(said)) {
            return Heard::Is(crop.name.to_string());
        }
        let wanted = bare(said);
        let is_called = |crop: &&Crop| {
            bare(&crop.common_name) == wanted || bare(&crop.scientific_name) == wanted
        };
        let called: Vec<String> =
            self.all().filter(is_called).map(|crop| crop.name.to_string()).collect();
        match (called.len(), self.crops.meant(said)) {
            (1, _) => Heard::Is(called.into_iter().next().unwrap_or_default()),
            (2.., _) => Heard::Near(called),
            (_, Ok(crop)) => Heard::Near(vec![crop.name.to_string()]),
            (_, Err(NotMeant::Several { all, .. })) => {
                Heard::Near(all.iter().map(|name| name.trim_matches('`').to_owned()).collect())
            }
            (_, Err(NotMeant::Unknown { near, .. })) => {
                near.map_or(Heard::Unknown, |near| Heard::Near(vec![near]))
            }
        }
    }

    fn all(&self) -> impl Iterator<Item = &'a Crop> {
        self.crops.crops().map(AsRef::as_ref)
    }

    /// The crop that grows on a patch.
    pub(super) fn crop_of(&self, patch: &str) -> Option<&'a Crop> {
        match self.patches.get(&folded(patch))?.as_slice() {
            [one] => self.crops.crop(&one.crop).map(AsRef::as_ref),
            _ => None,
        }
    }

    fn may_liken(&self) -> bool {
        let left = self.likened.get();
        self.likened.set(left.saturating_sub(1));
        left > 0
    }
}

fn named(patches: &[&KnownPatch]) -> Vec<String> {
    patches.iter().map(|patch| patch.name.to_string()).collect()
}

fn near(unknown: NotFound, whole: impl Fn(&str) -> Option<String>) -> Heard {
    match unknown {
        NotFound::Unknown { near: Some(near), .. } => match whole(&near) {
            Some(whole) => Heard::Near(vec![whole]),
            None => Heard::Near(vec![near]),
        },
        NotFound::Several { all, .. } | NotFound::Begins { all, .. } => Heard::Near(all),
        NotFound::Unknown { .. } => Heard::Unknown,
    }
}

/// Letters and digits alone, however they are parted.
fn bare(name: &str) -> String {
    folded(name).chars().filter(|c| c.is_alphanumeric()).collect()
}
