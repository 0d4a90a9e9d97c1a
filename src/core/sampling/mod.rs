//! Where to put the quadrats of a survey: places drawn by chance inside the harvestable
//! ground, in the order in which they are walked.
//!
//! Quadrats put where the plants are good inflate every figure behind them; a drawn place
//! does not. What is drawn depends on the ground, the design, the number and the seed alone.

mod chance;
mod design;
mod plan;
mod sweep;

pub use chance::Chance;
pub use design::{Design, UnknownDesign};
pub use plan::{FEWEST_QUADRATS, MOST_QUADRATS, PlanError, Request, Spot, SurveyPlan, plan};
pub use sweep::Sweep;
