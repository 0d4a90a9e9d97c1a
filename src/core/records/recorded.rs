//! What a kind of record declares of itself.

use jiff::civil::Date;

use super::{Column, SiteName, SurveyMethod, column};

/// A kind of record, declared beside the record itself.
pub trait Recorded: Sized {
    /// One of it, for messages and as the name of its table: `cut`.
    const NAME: &'static str;
    /// Several of it, for messages and as the name of its file: `cuts`.
    const PLURAL: &'static str;
    /// What goes into its file, in a sentence or two.
    const WHAT: &'static str;
    /// What of the land it is about.
    const LAND: Land;
    /// Something seen or done on a day, which cannot lie ahead; else it stands until it is
    /// put right.
    const IS_DEED: bool = false;
    /// Drawn on a map, and so a feature and not a row.
    const HAS_SHAPE: bool = false;
    /// The column of the day it was seen, done or set down.
    const DATE: Column = column::DATE;

    /// The site that it is about, or on which its patch lies.
    fn site(&self) -> &SiteName;

    /// The patch that it is about, by its name on the site; `None` for the whole site.
    fn patch(&self) -> Option<&str> {
        None
    }

    /// What a record is told apart by among its kind: its name, or patch, day and person.
    fn key(&self, happened_on: Date, by: &str) -> String;

    /// All that it says in one line, without day and person.
    fn gist(&self) -> String;

    /// What cannot be so beside the rest, though each field alone can.
    fn contradiction(&self) -> Option<Contradiction> {
        None
    }

    /// Of a kind whose measurements are kept apart from it: they.
    fn method(&self) -> Option<&SurveyMethod> {
        None
    }

    /// The same, to be filled in.
    fn method_mut(&mut self) -> Option<&mut SurveyMethod> {
        None
    }
}

/// A field that contradicts another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Contradiction {
    /// The column that says it.
    pub column: &'static str,
    /// What it says.
    pub found: String,
    /// What would do instead.
    pub expected: &'static str,
}

/// What of the land records of a kind are about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Land {
    /// A site that the record itself sets down.
    NewSite,
    /// A patch that the record itself sets down.
    NewPatch,
    /// A site that the book knows.
    Site,
    /// A patch that the book knows.
    Patch,
    /// A site, or one of its patches.
    SiteOrPatch,
}
