//! The envelope of everything recorded: what, when it happened, when and by whom it was
//! written down, and what later fact put it right.

use std::fmt;
use std::str::FromStr;
use std::sync::Arc;

use jiff::civil::Date;
use uuid::Uuid;

use super::{
    Closure, CropOverride, Cut, Glance, Hold, Patch, Permission, Site, Survey, Walk, Zone,
};

/// The UUIDv7 of a fact. People use its last eight hex digits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FactId(pub Uuid);

impl FactId {
    pub fn short(self) -> String {
        let hex = self.0.simple().to_string();
        hex[hex.len() - 8..].to_owned()
    }
}

#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not the id of a fact")]
pub struct FactIdError(String);

impl FromStr for FactId {
    type Err = FactIdError;

    /// In full; the eight digits that people use are looked up in a book.
    fn from_str(text: &str) -> Result<Self, FactIdError> {
        let id = Uuid::try_parse(text.trim()).ok().filter(|id| !id.is_nil());
        id.map(Self).ok_or_else(|| FactIdError(text.to_owned()))
    }
}

impl fmt::Display for FactId {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.pad(&self.0.hyphenated().to_string())
    }
}

/// One recorded fact. Facts are appended, never edited.
#[derive(Clone, Debug, PartialEq)]
pub struct Fact<T> {
    pub id: FactId,
    /// The day it happened; for a place or an agreement, the day it was set down.
    pub happened_on: Date,
    /// The day from which it counts as known.
    pub recorded_on: Date,
    /// Who saw or did it: leader, surveyor, or keeper of the book.
    pub by: Arc<str>,
    /// The file it came from, if any.
    pub file: Option<Arc<str>>,
    pub record: T,
}

impl<T> Fact<T> {
    pub fn map<U>(self, change: impl FnOnce(T) -> U) -> Fact<U> {
        Fact {
            id: self.id,
            happened_on: self.happened_on,
            recorded_on: self.recorded_on,
            by: self.by,
            file: self.file,
            record: change(self.record),
        }
    }
}

/// Any record, for those who handle all kinds alike.
#[derive(Clone, Debug, PartialEq)]
pub enum Record {
    Site(Site),
    Zone(Zone),
    Patch(Patch),
    Permission(Permission),
    Closure(Closure),
    Override(CropOverride),
    Walk(Walk),
    Survey(Survey),
    Glance(Glance),
    Hold(Hold),
    Cut(Cut),
}

/// The kinds of record, in the order in which one may refer to another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    Site,
    Zone,
    Patch,
    Permission,
    Closure,
    Override,
    Walk,
    Survey,
    Glance,
    Hold,
    Cut,
}

impl Kind {
    pub const ALL: [Self; 11] = [
        Self::Site,
        Self::Zone,
        Self::Patch,
        Self::Permission,
        Self::Closure,
        Self::Override,
        Self::Walk,
        Self::Survey,
        Self::Glance,
        Self::Hold,
        Self::Cut,
    ];

    pub fn name(self) -> &'static str {
        match self {
            Self::Site => "site",
            Self::Zone => "zone",
            Self::Patch => "patch",
            Self::Permission => "permission",
            Self::Closure => "closure",
            Self::Override => "override",
            Self::Walk => "walk",
            Self::Survey => "survey",
            Self::Glance => "glance",
            Self::Hold => "hold",
            Self::Cut => "cut",
        }
    }
}

impl Record {
    pub fn kind(&self) -> Kind {
        match self {
            Self::Site(_) => Kind::Site,
            Self::Zone(_) => Kind::Zone,
            Self::Patch(_) => Kind::Patch,
            Self::Permission(_) => Kind::Permission,
            Self::Closure(_) => Kind::Closure,
            Self::Override(_) => Kind::Override,
            Self::Walk(_) => Kind::Walk,
            Self::Survey(_) => Kind::Survey,
            Self::Glance(_) => Kind::Glance,
            Self::Hold(_) => Kind::Hold,
            Self::Cut(_) => Kind::Cut,
        }
    }
}

/// What takes the place of a fact that was wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Replacement {
    /// Another fact of the same kind.
    By(FactId),
    /// Nothing: it should not have been recorded.
    Withdrawn,
}

impl Replacement {
    /// Whether it is this fact that takes the place.
    pub fn is_by(self, id: FactId) -> bool {
        self == Self::By(id)
    }
}

/// A fact about a fact: from `recorded_on` on, `replaced` no longer counts.
#[derive(Clone, Debug, PartialEq)]
pub struct Correction {
    pub id: FactId,
    pub replaced: FactId,
    pub replacement: Replacement,
    pub why: Arc<str>,
    pub recorded_on: Date,
    pub by: Arc<str>,
}

/// A record as it comes in, before the book gives it an id.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// The fact that it says to be, as an export has it; `None` where the file does not say.
    pub id: Option<FactId>,
    /// Names the entry among its kind, so that the same file can be loaded twice.
    pub key: String,
    pub happened_on: Date,
    /// `None` where the file does not say; then it is known from today on.
    pub recorded_on: Option<Date>,
    pub by: Arc<str>,
    pub record: Record,
    /// It is a cut whose file left open how much of the share it used; `record` then has all.
    pub taken_unsaid: bool,
}

impl Record {
    /// What an entry of this kind is told apart by: its name, or patch, day and person.
    /// Further entries alike get ` #2`, ` #3` behind it.
    pub fn natural_key(&self, happened_on: Date, by: &str) -> String {
        match self {
            Self::Site(site) => site.name.to_string(),
            Self::Zone(zone) => format!("{}/{}", zone.site, zone.name),
            Self::Patch(patch) => patch.name.to_string(),
            Self::Permission(permission) => {
                let crops = if permission.crops.is_empty() {
                    "every crop".to_owned()
                } else {
                    permission.crops.join(" ")
                };
                format!("{} {} {crops}", permission.site, permission.from)
            }
            Self::Closure(closure) => {
                let patch = closure.patch.as_deref().unwrap_or("the whole site");
                format!("{}/{patch} {}", closure.site, closure.from)
            }
            Self::Override(change) => {
                let patch = change.patch.as_deref().unwrap_or("the whole site");
                format!("{}/{patch} {} {}", change.site, change.crop, change.field)
            }
            Self::Walk(walk) => walk.name.to_string(),
            Self::Survey(survey) => format!("{} {happened_on} {by}", survey.patch),
            Self::Glance(glance) => format!("{} {happened_on} {by}", glance.patch),
            Self::Hold(hold) => format!("{} {}", hold.walk, hold.patch),
            Self::Cut(cut) => format!("{} {happened_on} {by}", cut.patch),
        }
    }
}
