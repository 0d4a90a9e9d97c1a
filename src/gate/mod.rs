//! The one way into the book, whoever brings a fact: typed, loaded, corrected, settled.
//!
//! A door reads what its people bring and hands it in as deliveries. Here they are sorted
//! against the book, held against what can have been, and recorded, all in one write
//! transaction: what was seen of the book is still so when the facts are written. What cannot
//! be recorded as it stands comes back as problems, changes or questions, each with its way
//! out; then nothing was recorded.

// What comes in, and what becomes of it
mod admit;
mod again;
mod arrival;
mod called;
mod delivery;
mod gatekeeper;
mod identity;
mod naming;
mod reading_ahead;
mod sorted;
mod sorting;
mod turned;

// What is asked before anything is recorded
mod ahead;
mod doubles;
mod fit;
mod lay;
mod limits;
mod making_ids;
mod plausible;

// What is done to what was recorded
mod ending;
mod foreseen;
mod moving;
mod parties;
mod righting;
mod undoing;

// What it is read against
mod places;

pub use admit::Admitted;
pub use delivery::{Answers, Because, Delivery};
pub use ending::Ended;
pub use foreseen::Foreseen;
pub use gatekeeper::Gate;
pub use identity::Ids;
pub use limits::{Brought, NewCutRuled};
pub use parties::MOST_PARTIES;
pub use places::{Places, Surroundings};
pub use righting::Righted;
pub use sorted::{Change, Sorted};
pub use turned::{Question, Turned};
pub use undoing::{LastAct, Undone, told};
