//! The command `stintbook` as its users meet it: what they type, what they are told.

#![allow(clippy::unwrap_used, reason = "a failed unwrap fails the test")]

mod hill;
mod said;
mod trial;

mod answers;
mod known_then;
mod loading;
