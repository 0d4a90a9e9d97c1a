//! The book: everything recorded, in one SQLite file. The only folder that knows SQL.
//!
//! Facts are appended, never edited; a correction is a further fact. Records name places;
//! inside the book a place has a number that outlives its names, so that what was recorded
//! on a patch stays with it whatever later corrections call it.

mod acts;
mod address;
mod append;
mod arrange;
mod attendees;
mod backup;
mod bare_site;
mod branches;
mod bundle;
mod by_place;
mod checks;
mod companions;
mod day;
mod deeds;
mod directory;
mod envelope;
mod error;
mod eyes_elsewhere;
mod fields;
mod first;
mod former;
mod hand;
mod history;
mod indexes;
mod integrity;
mod last_told;
mod ledger;
mod ledger_reading;
mod lookup;
mod merge;
mod misplaced;
mod moment;
mod names;
mod namesakes;
mod neighbours;
mod numbering;
mod one_moment;
mod open;
mod other_sites;
mod packed;
mod packing;
mod parts;
mod places;
mod reader;
mod ready;
mod recognised;
mod row;
mod schema;
mod scope;
mod seal;
mod sealing;
mod shape;
#[cfg(feature = "shared")]
mod shared;
#[cfg(not(feature = "shared"))]
#[path = "shared_unbuilt.rs"]
mod shared;
mod sound;
mod stretches;
mod tables;
mod tally;
mod taught;
mod temporary;
mod to_pack;
mod traces;
mod trouble;
mod view;
mod watch;
mod whole_surveys;
mod words;
mod writer;
mod written;

pub use acts::Act;
pub use address::{beside, is_on_a_server, shown};
pub use append::{Decision, NewFact};
pub use attendees::{Attendee, Forgetting, Going};
pub use backup::Restored;
pub use deeds::{Deed, Fate};
pub use error::{Bearer, Bearers, BookError, Refusal, StorageError};
pub use hand::{Hand, May};
pub use merge::{Coming, Merged};
pub use moment::Moment;
pub use open::Book;
pub use places::PlacesMark;
pub use recognised::{FileMark, Recognised};
pub use scope::Scope;
pub use stretches::{STRETCH, Stretches};
pub use taught::Taught;
pub use traces::Traces;
pub use trouble::Trouble;
pub use watch::{BookMark, Watch};
