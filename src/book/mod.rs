//! The book: everything recorded, in one SQLite file. The only folder that knows SQL.
//!
//! Facts are appended, never edited; a correction is a further fact. Records name places;
//! inside the book a place has a number that outlives its names, so that what was recorded
//! on a patch stays with it whatever later corrections call it.

mod acts;
mod append;
mod arrange;
mod attendees;
mod backup;
mod branches;
mod by_place;
mod checks;
mod companions;
mod day;
mod deeds;
mod directory;
mod envelope;
mod error;
mod fields;
mod former;
mod history;
mod integrity;
mod ledger;
mod lookup;
mod merge;
mod misplaced;
mod moment;
mod names;
mod namesakes;
mod neighbours;
mod one_moment;
mod open;
mod parts;
mod places;
mod reader;
mod recognised;
mod row;
mod schema;
mod scope;
mod seal;
mod sealing;
mod shape;
mod sound;
mod stretches;
mod tables;
mod tally;
mod temporary;
mod traces;
mod view;
mod whole_surveys;
mod words;
mod writer;

pub use acts::Act;
pub use append::{Decision, NewFact};
pub use attendees::{Attendee, Forgetting, Going};
pub use backup::Restored;
pub use deeds::{Deed, Fate};
pub use error::{BookError, Refusal, StorageError};
pub use history::HistoryLine;
pub use merge::{Coming, Merged};
pub use moment::Moment;
pub use open::Book;
pub use recognised::{FileMark, Recognised};
pub use scope::Scope;
pub use stretches::{STRETCH, Stretches};
pub use traces::Traces;
