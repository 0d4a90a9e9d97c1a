//! A season played many times over: hidden truth, surveys and eyes that err, the book's rules.
//!
//! The same play serves two ends: what a leader's plan may come to on the book's own patches, and
//! the proof that the rules beat rules of thumb.

// What is hidden, and how it is seen
mod draws;
mod eye;
mod marked;
mod nature;
mod quadrats;
mod stand;

// What the book makes of it
mod tended;
mod theta;

// A season on the book's patches
mod cast;
mod errand;
mod odds;
mod outcome;
mod plan;
mod run;
mod stage;
mod variation;

pub mod proof;

pub use draws::Draws;
pub use eye::{Eye, EyeErrors};
pub use nature::Nature;
pub use odds::Odds;
pub use outcome::{FAN, Outcome, PatchOutcome, WalkOutcome, WantOutcome};
pub use plan::{Demand, Kept, Plan, Surveys};
pub use quadrats::Quadrats;
pub use stage::{Repeats, rehearse};
pub use stand::Stand;
pub use tended::{Tended, Visit};
pub use theta::with_theta;
pub use variation::Variation;
