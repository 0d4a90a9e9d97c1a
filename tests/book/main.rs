//! The book, as those who use it see it: facts go in, and come out as they counted.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "what fails here fails a test")]

mod amid;
mod corrections;
mod files;
mod known_on;
mod merge;
mod narrow;
mod older;
mod round_trip;
mod scopes;
mod stretches;
mod together;
mod trial;
mod unions;
mod whole;
