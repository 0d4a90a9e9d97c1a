//! What the book, the catalogue and the ground know, as far as a file needs it.

use std::collections::HashMap;
use std::fmt;
use std::sync::Arc;

use geo::Rect;

use super::problem::quoted;
use crate::records::{
    Crop, Directory, GpsPoint, KnownPatch, NotFound, PatchName, Record, SiteName, folded,
};
use crate::units::{Measure, Metres};

/// What a file is read against.
#[derive(Clone, Copy)]
pub struct Known<'a> {
    /// The sites and patches of the book, and of files loaded before this one.
    pub names: &'a Directory,
    pub crops: &'a dyn CropNames,
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
    In(PatchName),
    /// Outside, but nearer than its accuracy.
    Near(PatchName, Metres),
    /// Within reach of several.
    Between(Vec<PatchName>),
    /// Inside a patch, but on ground where nothing is cut.
    NoTake {
        patch: PatchName,
        zone: Arc<str>,
    },
    Nowhere {
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
}

impl<'a> Gazetteer<'a> {
    pub fn new(known: Known<'a>) -> Self {
        let mut patches: HashMap<String, Vec<&KnownPatch>> = HashMap::new();
        for patch in &known.names.patches {
            patches.entry(folded(patch.name.patch())).or_default().push(patch);
            patches.entry(folded(&patch.name.to_string())).or_default().push(patch);
        }
        let sites = known.names.sites.iter().map(|site| (folded(site.as_str()), site)).collect();
        Self { known, sites, patches }
    }

    pub fn site(&self, asked: &str) -> Result<&'a SiteName, NotFound> {
        match self.sites.get(&folded(asked)) {
            Some(site) => Ok(site),
            None => self.known.names.site(asked),
        }
    }

    pub fn patch(&self, asked: &str) -> Result<&'a KnownPatch, NotFound> {
        match self.patches.get(&folded(asked)).map(Vec::as_slice) {
            Some([one]) => Ok(one),
            _ => self.known.names.patch(asked),
        }
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
        self.known.placer.place(crop, at)
    }

    pub fn site_bounds(&self, site: &SiteName) -> Option<Rect> {
        self.known.placer.site_bounds(site)
    }
}
