//! From records to an answer: which wild patches may be cut this week, how much, and why.
//!
//! Pure: no file, no clock, no printing, and no chance but what a seed decides. The folders, in the
//! order in which they may use each other (DEVELOPERS.md draws it).

// Words and numbers
pub mod estimate;
pub mod records;
pub mod units;

// From facts to an answer
pub mod assess;
pub mod catalogue;
pub mod crop;
pub mod ground;
pub mod pressure;
pub mod regrowth;
pub mod rehearsal;
pub mod rules;
pub mod sampling;
pub mod walk;
