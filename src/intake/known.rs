//! What the book, the catalogue and the ground know, as far as a file needs it.

use std::cell::{Cell, RefCell};
use std::collections::BTreeSet;
use std::fmt;
use std::sync::Arc;

use foldhash::{HashMap, HashMapExt};
use geo::Rect;

use super::problem::quoted;
use crate::records::{
    Crop, Directory, FormerNames, GpsPoint, KnownPatch, NotFound, PatchName, Record, SiteName,
    folded,
};
use crate::units::{Measure, Metres};

/// What a file is read against.
#[derive(Clone, Copy)]
pub struct Known<'a> {
    /// The sites and patches of the book, and of files loaded before this one.
    pub names: &'a Directory,
    /// What crops are called, and what people may mean by it.
    pub crops: &'a dyn CropNames,
    /// To which patch a position belongs.
    pub placer: &'a dyn Placer,
}

/// The crops of the catalogue.
pub trait CropNames {
    /// `None` for a crop that the catalogue does not have.
    fn crop(&self, name: &str) -> Option<&Crop>;

    /// The name most like this one, if any is like it at all.
    fn near(&self, name: &str) -> Option<String>;
}

/// Finds the patch that a position belongs to.
pub trait Placer {
    /// Where a position lies among the patches of a crop, within its own accuracy.
    fn place(&self, crop: &str, at: &GpsPoint) -> Placed;

    /// The box round a known site, WGS84 degrees; `None` where the site is not known.
    fn site_bounds(&self, site: &SiteName) -> Option<Rect>;
}

/// Where a position lies among the patches of a crop.
#[derive(Clone, Debug, PartialEq)]
pub enum Placed {
    /// In this patch and no other.
    In(PatchName),
    /// Outside, but nearer than its accuracy.
    Near(PatchName, Metres),
    /// Within reach of several.
    Between(Vec<PatchName>),
    /// Inside a patch, but on ground where nothing is cut.
    NoTake {
        /// The patch.
        patch: PatchName,
        /// The zone that takes the ground.
        zone: Arc<str>,
    },
    /// Out of reach of them all.
    Nowhere {
        /// The nearest, if it is within 5 km.
        nearest: Option<(PatchName, Metres)>,
    },
}

impl fmt::Debug for Known<'_> {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.debug_struct("Known").field("names", &self.names).finish_non_exhaustive()
    }
}

/// The known names, indexed: a survey file asks for the same few patches on every row.
pub(super) struct Gazetteer<'a> {
    known: Known<'a>,
    sites: HashMap<String, &'a SiteName>,
    patches: HashMap<String, Vec<&'a KnownPatch>>,
    /// The patch that was found last, by what it was called: rows of one patch follow each other.
    last: RefCell<Option<(String, &'a KnownPatch)>>,
    /// Names that were asked for and are no place's now, with what is to be said of them.
    renamed: RefCell<HashMap<String, (Found<'a>, String)>>,
    /// What was said of names that the file has.
    said: RefCell<BTreeSet<String>>,
    /// Whether any place was asked for.
    is_asked: Cell<bool>,
}

/// What a former name led to.
#[derive(Clone, Copy)]
enum Found<'a> {
    Site(&'a SiteName),
    Patch(&'a KnownPatch),
}

impl<'a> Gazetteer<'a> {
    pub fn new(known: Known<'a>) -> Self {
        let mut patches: HashMap<String, Vec<&KnownPatch>> = HashMap::new();
        for patch in &known.names.patches {
            patches.entry(folded(patch.name.patch())).or_default().push(patch);
            patches.entry(folded(&patch.name.to_string())).or_default().push(patch);
        }
        let sites = known.names.sites.iter().map(|site| (folded(site.as_str()), site)).collect();
        let (last, renamed, said, is_asked) = Default::default();
        let mut gazetteer = Self { known, sites, patches, last, renamed, said, is_asked };
        gazetteer.learn_told();
        gazetteer
    }

    /// What maps of the same command call a place goes before what others are called.
    fn learn_told(&mut self) {
        let FormerNames { told_sites, told_patches, .. } = &self.known.names.former;
        let mut renamed = self.renamed.borrow_mut();
        for told in told_sites {
            let asked = folded(told.was.as_str());
            if let Ok(site) = self.known.names.site(told.now.as_str()) {
                self.sites.remove(&asked);
                renamed.insert(asked, (Found::Site(site), told.said()));
            }
        }
        for told in told_patches {
            let asked = folded(&told.was.to_string());
            if let Ok(patch) = self.known.names.patch(&told.now.to_string()) {
                self.patches.remove(&asked);
                renamed.insert(asked, (Found::Patch(patch), told.said()));
            }
        }
    }

    /// Whether any place was asked for: if none was, a file says the same whatever places there are.
    pub fn is_asked(&self) -> bool {
        self.is_asked.get()
    }

    pub fn directory(&self) -> &'a Directory {
        self.is_asked.set(true);
        self.known.names
    }

    /// The same with other names.
    pub fn knowing<'b>(&self, names: &'b Directory) -> Gazetteer<'b>
    where
        'a: 'b,
    {
        self.is_asked.set(true);
        Gazetteer::new(Known { names, ..self.known })
    }

    pub fn site(&self, asked: &str) -> Result<&'a SiteName, NotFound> {
        self.is_asked.set(true);
        let wanted = folded(asked);
        if let Some(site) = self.sites.get(&wanted) {
            return Ok(site);
        }
        if let Some((Found::Site(site), said)) = self.renamed.borrow().get(&wanted) {
            self.say(said);
            return Ok(site);
        }
        let found = self.known.names.site(asked)?;
        if let Some(said) = self.known.names.renamed_site(asked) {
            self.say(&said);
            self.renamed.borrow_mut().insert(wanted, (Found::Site(found), said));
        }
        Ok(found)
    }

    pub fn patch(&self, asked: &str) -> Result<&'a KnownPatch, NotFound> {
        self.is_asked.set(true);
        let mut last = self.last.borrow_mut();
        if let Some((_, patch)) = last.as_ref().filter(|(called, _)| called == asked) {
            return Ok(patch);
        }
        let wanted = folded(asked);
        if let Some([one]) = self.patches.get(&wanted).map(Vec::as_slice) {
            *last = Some((asked.to_owned(), one));
            return Ok(one);
        }
        if let Some((Found::Patch(patch), said)) = self.renamed.borrow().get(&wanted) {
            self.say(said);
            return Ok(patch);
        }
        let found = self.known.names.patch(asked)?;
        if let Some(said) = self.known.names.renamed_patch(asked) {
            self.say(&said);
            self.renamed.borrow_mut().insert(wanted, (Found::Patch(found), said));
        }
        Ok(found)
    }

    fn say(&self, said: &str) {
        let mut all = self.said.borrow_mut();
        if !all.contains(said) {
            all.insert(said.to_owned());
        }
    }

    /// Which names of the file led to places that are called otherwise now, a sentence each.
    pub fn said(&self) -> Vec<String> {
        self.said.borrow().iter().cloned().collect()
    }

    pub fn crop(&self, asked: &str) -> Result<&'a Crop, String> {
        self.known.crops.crop(asked).ok_or_else(|| {
            let near = self.known.crops.near(asked);
            let hint = near.map(|name| format!("; did you mean `{name}`?")).unwrap_or_default();
            format!("no crop is called {}{hint}", quoted(asked))
        })
    }

    /// What a survey's crop is reckoned in; grams for other records, which say it themselves.
    pub fn measure_of(&self, record: &Record) -> Measure {
        let Record::Survey(survey) = record else { return Measure::Mass };
        let patch = self.patch(&survey.patch.to_string()).ok();
        let crop = patch.and_then(|patch| self.crop(&patch.crop).ok());
        crop.map_or(Measure::Mass, |crop| crop.measure)
    }

    pub fn place(&self, crop: &str, at: &GpsPoint) -> Placed {
        self.is_asked.set(true);
        self.known.placer.place(crop, at)
    }

    pub fn site_bounds(&self, site: &SiteName) -> Option<Rect> {
        self.is_asked.set(true);
        self.known.placer.site_bounds(site)
    }
}
