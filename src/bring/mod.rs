//! Tables of every make, turned into the very text that `intake` reads.
//!
//! Nothing is recorded here, and nothing gets a meaning of its own: what a column is, how days and
//! numbers are written and which place a name means is shown to whoever brings the table, and
//! asked wherever the table alone does not tell.

// From bytes to cells
mod cell;
mod legacy;
mod limits;
mod ods;
mod open;
mod packed;
mod text;
mod xlsx;

// What a table is
mod evidence;
mod header;
mod lore;
mod roles;
mod words;

// One cell
mod amounts;
mod became;
mod day;
mod quantity;
mod reading;

// What is said and asked of it
mod answers;
mod kept;
mod proposal;
mod question;

// And on to `intake`
mod sift;
mod written;

// Maps
mod map;

pub use answers::{Answers, LEFT_OUT, ROWS, Rough, is_column, kind_called};
pub use became::{Held, OtherCrop, Taken};
pub use cell::{Cell, Row, Sheet};
pub use day::Order;
pub use evidence::Habits;
pub use kept::Kept;
pub use limits::{MOST_BYTES, Unopened};
pub use lore::Lore;
pub use map::{
    BLURRED, Closed, KeptMap, MapAsk, MapQuestion, MapShape, StraightMap, Told, USUAL_ACCURACY,
    UnclearMap, is_blurred, map_kind_called, straighten_map,
};
pub use open::sheets;
pub use proposal::{Proposal, propose};
pub use quantity::Mark;
pub use question::{Ask, Question};
pub use roles::{How, KindBy, Matched, Role};
pub use words::AMOUNT;
