//! The most that may be cut from a patch on a day, and why.
//!
//! One file a rule. Every rule gives a ceiling with its reason; all are kept, the lowest
//! binds, and where several allow nothing the one that stands first here does.

mod asked;
mod case;
mod ceiling;
mod closure;
mod code;
mod cuts_per_season;
mod density;
mod feet;
mod holds;
mod permission;
mod person;
mod protected;
mod reason;
mod reductions;
mod reserve;
mod retired;
mod season;
mod share;
mod survey;
mod trouble;

pub use asked::answer_for;
pub use case::{Case, Promise, Retired};
pub use ceiling::{Ceiling, Rule, Ruling, UNLIMITED, Verdict, rule_in_brief, rule_on};
pub use code::CODE_OF_PRACTICE;
pub use cuts_per_season::CUTS_PER_SEASON;
pub use feet::FEET;
pub use holds::{HOLDS, promises_not_kept};
pub use permission::room_beside_promises;
pub use reason::{CapLeft, Reason, ShareLeft};
pub use reductions::{Reduction, Shrinks, reductions};
pub use reserve::RESERVE;
pub use share::REFILLING_SHARE;
pub use survey::SURVEY;

/// A new rule is one file and one line here.
pub const RULES: [&dyn Rule; 16] = [
    &protected::Protected,
    &retired::Kept,
    &closure::Closed,
    &trouble::Untroubled,
    &permission::Permitted,
    &asked::Asked,
    &season::InSeason,
    &survey::Surveyed,
    &cuts_per_season::CutsPerSeason,
    &feet::Feet,
    &share::RefillingShare,
    &code::CodeOfPractice,
    &person::PerPerson,
    &reserve::Reserve,
    &density::LeaveStanding,
    &holds::Held,
];
