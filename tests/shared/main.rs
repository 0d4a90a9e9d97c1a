//! A book on a PostgreSQL server: the same answers as from a file, and the same promises, however
//! many write to it. Where no server is installed these tests say so and are passed over.

#![cfg(feature = "shared")]
#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "what fails here fails a test")]

#[allow(dead_code, reason = "each test crate uses a part of it")]
mod cluster;
mod line;
#[allow(dead_code, reason = "each test crate uses a part of it")]
#[path = "../commands/said.rs"]
mod said;
#[allow(dead_code, reason = "each test crate uses a part of it")]
#[path = "../schemas/mod.rs"]
mod schemas;
#[path = "../benches/synthetic.rs"]
mod synthetic;
mod told;
mod trial;

// What a server has is what a file has
mod answers;
mod copying;
mod first_steps;

// Who writes, and many at a time
mod hands;
mod names;
mod races;
mod rows;

// What can be wrong with one
mod away;
mod troubles;
