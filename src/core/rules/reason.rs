//! Why a rule allows what it allows: figures, days and names. `report` words them.

use std::sync::Arc;

use jiff::civil::Date;

use super::Retired;
use crate::pressure::{Footfall, TroddenGround};
use crate::records::{Answer, Basis, CodeCap, CropAmount, PatchName, Purpose, Trouble, WalkName};
use crate::units::Window;

/// Of one rule on one case.
#[derive(Clone, Debug, PartialEq)]
pub enum Reason {
    /// Nobody reads it.
    Untold,
    /// No rule sets any limit.
    Unlimited,

    /// Nothing is taken of the crop, for this cause.
    ProtectedCrop(Arc<str>),
    /// Nothing is taken on the site, for this cause.
    ProtectedSite(Arc<str>),
    /// Neither is protected.
    NotProtected,

    /// It is a patch no longer.
    Retired(Retired),
    /// It still is one.
    StillAPatch,

    /// Closed until the last day, or until further notice, for this cause.
    Closed(Option<Date>, Arc<str>),
    /// No closure holds that day.
    NotClosed,

    /// Something came over the plants, found on this day and not known to be over.
    Trouble(Trouble, Date),
    /// Nothing is known to have.
    NoTrouble,

    /// More people than the permission lets come at once.
    PartyTooLarge {
        /// How it was given.
        basis: Basis,
        /// The most people.
        largest: u32,
        /// How many would come.
        people: u32,
    },
    /// A permission holds.
    Permitted {
        /// How it was given.
        basis: Basis,
        /// What for.
        purposes: Vec<Purpose>,
        /// Its last day; `None` until further notice.
        until: Option<Date>,
        /// The cap that leaves least; `None` for no cap.
        cap: Option<CapLeft>,
    },
    /// The permission that holds is for another use.
    ForAnotherUse {
        /// How it was given.
        basis: Basis,
        /// What for.
        purposes: Vec<Purpose>,
        /// Whether it says what for.
        said: bool,
        /// What the case is for.
        wanted: Purpose,
    },
    /// The permission begins on this later day.
    PermissionBegins(Date),
    /// The last one lapsed on this day, so many days ago.
    PermissionLapsed(Date, u32),
    /// None on the site covers the crop, or not cut in this way.
    NotCovered {
        /// By its name.
        crop: Arc<str>,
        /// How it would be cut, where the case says so.
        method: Option<Arc<str>>,
    },
    /// None is recorded for the site.
    NoPermission,

    /// The occupier was asked on this day.
    Asked(Answer, Date),
    /// Nobody said no to the day.
    NotRefused,

    /// Whether the day lies in the season, which is this.
    Season(Window, bool),

    /// Another patch claims the same ground.
    Contested(PatchName),
    /// An invasive crop needs no survey.
    SurveyNotNeeded,
    /// There was none.
    NeverSurveyed,
    /// The last survey was so many days ago.
    Surveyed {
        /// How many.
        days: u32,
        /// The last day on which it is believed.
        until: Date,
        /// Whether it still is.
        believed: bool,
    },

    /// The crop bears any number of cuts.
    CutsNotCapped,
    /// So many cuts of those that a season bears.
    CutsMade {
        /// How many were made.
        made: u32,
        /// How many a season bears.
        allowed: u32,
    },

    /// The ground has had its feet of a year, or not.
    Feet {
        /// What was trodden in the year.
        footfall: Footfall,
        /// Where feet are counted.
        ground: TroddenGround,
        /// Whether it is worn to its limit.
        at_limit: bool,
    },
    /// More people at once than there is room for.
    Crowded {
        /// How many would come.
        people: u32,
        /// How many there is room for.
        room: u32,
        /// Where feet are counted.
        ground: TroddenGround,
    },

    /// An invasive crop may be cut back.
    CutBack,
    /// Nobody knows what there is to take a share of.
    NoCropToShare,
    /// Nothing stood at the last survey.
    NothingStood,
    /// The share is spent.
    Spent,
    /// So little stands that nothing is left to take.
    LittleStands,
    /// It looks too thin; so many surveys that find the full crop would open it.
    LooksTooThin(u32),
    /// So much of the share is there.
    ShareLeft(ShareLeft),

    /// No code caps the crop.
    NoCode,
    /// An invasive crop is under no such cap.
    CodeNotMeant,
    /// The written permission lifts the cap.
    CodeLifted(CodeCap),
    /// Nobody knows what there is to take a part of.
    NoCropToCap,
    /// The cap, and how much of it was taken lately, as a part of the stand.
    Code(CodeCap, f64),

    /// No code caps what one person takes.
    NoCapPerPerson,
    /// So much for each of so many.
    PerPerson(CropAmount, u32),

    /// The crop has no reserve.
    NoReserve,
    /// An invasive crop needs none.
    ReserveNotNeeded,
    /// Nobody knows what the full crop is.
    NoCropToReserve,
    /// So much stays, a part of the full crop.
    Reserve(CropAmount, f64),

    /// The crop has no least density.
    NoDensity,
    /// Nobody knows what there is to leave a part of.
    NoCropToLeave,
    /// So much stays on each square metre, and so much in all.
    Density(CropAmount, CropAmount),

    /// Nothing is set aside for another walk.
    NothingHeld,
    /// The cap of the site's permission is promised in part.
    CapPromised,
    /// Set aside for a walk on its day, and so many more such promises behind it.
    Held(CropAmount, WalkName, Date, usize),
}

/// What a cap of a permission leaves.
#[derive(Clone, Debug, PartialEq)]
pub struct CapLeft {
    /// On the site, in the span.
    pub left: CropAmount,
    /// The whole of it.
    pub cap: CropAmount,
    /// Whether it is for a season, and not for a day.
    pub a_season: bool,
}

/// How much of a refilling share is there, and what makes it smaller.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShareLeft {
    /// A part of the whole share, 0 to 1.
    pub back: f64,
    /// Whether the patch was ever cut.
    pub was_cut: bool,
    /// Whether it is one of the first visits, which take half.
    pub is_start: bool,
    /// What the crop's being thin leaves of it, 0 to 1; 1 for all.
    pub thinned: f64,
    /// Whether that is by its surveys, and not by its looks.
    pub by_surveys: bool,
    /// The day on which this part of it is back, where it is not yet.
    pub back_by: Option<(f64, Date)>,
}
