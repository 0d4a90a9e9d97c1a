//! The state of a patch on a day: standing crop, full crop, and the share that may be cut.
//!
//! The state is always worked out anew from the facts; nothing computed is kept. The
//! formulas are those of the refilling share (DEVELOPERS.md, "The model").

mod count;
mod course;
mod cuts_made;
mod eyes;
mod growth;
mod history;
mod logistic;
mod play;
mod recovery;
mod season;
mod share;
mod sight;
mod squares;
mod state;
mod terms;

pub use count::Count;
pub use course::{Course, DayByDay, DayState};
pub use cuts_made::CutsMade;
pub use eyes::Eyes;
pub use growth::{Growth, day_length_hours};
pub use history::{Event, History, Seen};
pub use logistic::{growth_rate, regrow};
pub use play::Play;
pub use recovery::{NoTest, Recovering, RecoveryTest, Weighed, ratio_at};
pub use season::SeasonCurve;
pub use share::Share;
pub use sight::Sight;
pub use squares::{MarkedSquares, SecondCut, marked_squares, second_cut};
pub use state::{RipeTold, State};
pub use terms::{ByTest, Terms, Validity};
