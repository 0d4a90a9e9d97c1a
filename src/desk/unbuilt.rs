//! What is left of the desk in a program that was built without it: what it would ask of commands.

mod told;

pub use told::{Asked, Brought, Commands, Ended, Rests, Told};
