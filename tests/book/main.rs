//! The book, as those who use it see it: facts go in, and come out as they counted.

mod corrections;
mod files;
mod known_on;
mod round_trip;
mod scopes;
mod together;
mod trial;
mod whole;
