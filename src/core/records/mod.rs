//! Plain facts that people write down, as they wrote them.
//!
//! Records refer to places by name. They check themselves and nothing else: whether a
//! named patch exists is the book's business, whether a limit holds is the rules'.

mod clash;
mod clipping;
mod closure;
mod column;
mod cover;
mod crop;
mod crop_field;
mod crop_override;
mod cut;
mod declared;
mod directory;
mod emergency;
mod eye;
mod fact;
mod former;
mod glance;
mod history_line;
mod hold;
mod kind;
mod landmark;
mod ledger;
mod look_alike;
mod measured;
mod name;
mod patch;
mod permission;
mod photo;
mod placement;
mod plain;
mod private;
mod purpose;
mod recorded;
mod redraw;
mod ripe;
mod sighted;
mod site;
mod summary;
mod survey;
mod underfoot;
mod visit;
mod walk;
mod zone;

pub use clash::{Clash, Ending};
pub use clipping::{Clipping, SquarePlace, TestDesign};
pub use closure::Closure;
pub use column::{Column, Form, Need};
pub use cover::{CoverClass, CoverError, CoverScale};
pub use crop::{CodeCap, Crop, CropAmount, CropError, Habit, PlantPart, Recovery, Sourced, Status};
pub use crop_field::CropField;
pub use crop_override::CropOverride;
pub use cut::{Cut, Taken};
pub use declared::{Columns, Declared, Field, Giver, Taker, Written};
pub use directory::{Directory, KnownPatch, NotFound};
pub use directory::{begins, nearest};
pub use emergency::Emergency;
pub use eye::EyeTold;
pub use fact::{Correction, Entry, FIELD_RECORDS, Fact, FactId, FactIdError, Replacement};
pub use former::{Former, FormerNames};
pub use glance::Glance;
pub use history_line::HistoryLine;
pub use hold::Hold;
pub use kind::{Kind, Listed, Record};
pub use kind::{for_its_type, of_any_kind};
pub use landmark::{Landmark, LandmarkKind, LandmarkKindError};
pub use ledger::{GroundChanges, Ledger, PatchFacts, SiteFacts};
pub use look_alike::{LookAlike, LookAlikeGrade};
pub use measured::{MEASURED, UNIT};
pub use name::without_mark;
pub use name::{NameError, PatchName, SiteName, composed, decomposed, folded};
pub use patch::{Footprint, Patch};
pub use permission::{Basis, Permission};
pub use photo::{Photo, PhotoError};
pub use placement::{Placement, PlacementError};
pub use plain::{Unfit, escaped};
pub use private::ForOthers;
pub use purpose::{Purpose, PurposeError, Purposes};
pub use recorded::{Contradiction, Land, Recorded};
pub use redraw::Redraw;
pub use ripe::{Ripe, RipeError};
pub use sighted::{Answer, AnswerError, Stage, StageError, Trouble, TroubleError};
pub use site::Site;
use summary::Yardstick;
pub use summary::{
    CountedSummary, CoverSummary, JudgedSummary, MethodSummary, StratumSummary, SurveySummary,
    UnitSummary,
};
pub use survey::{
    Counted, CoverQuadrat, CoverSurvey, Frame, GpsPoint, JudgedQuadrat, JudgedSurvey, Quadrat,
    Stratum, Survey, SurveyMethod, UnitSurvey,
};
pub use underfoot::{Underfoot, UnderfootError};
pub use visit::Visit;
pub use walk::{Party, PartyError, Walk, WalkName, Want, WantError};
pub use zone::Zone;
