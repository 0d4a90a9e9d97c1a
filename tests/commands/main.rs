//! The command `stintbook` as its users meet it: what they type, what they are told.

#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "what fails here fails a test")]

#[cfg(feature = "shared")]
#[allow(dead_code, reason = "each test crate uses a part of it")]
#[path = "../shared/cluster.rs"]
mod cluster;
mod hill;
mod said;
#[path = "../schemas/mod.rs"]
mod schemas;
mod trial;

// What a user must be able to do
mod answers;
mod blurred;
mod boxes;
mod corrections;
mod deeds;
mod demo;
mod due;
mod entries;
mod field_page;
mod files;
mod flips;
mod forgetting;
mod formats;
mod from_the_phone;
mod ground_changes;
mod keys;
mod known_then;
mod landmarks;
mod loading;
mod maps_corpus;
mod maps_hostile;
mod maps_in;
mod maps_out;
mod merging;
mod messy;
mod narrow;
mod numbers;
mod plain_text;
mod pressure;
mod purposes;
mod put_right;
mod races;
mod records_centre;
mod recovery;
mod rehearse;
mod renames;
mod report;
mod ripeness;
mod schema_files;
mod season;
mod twins;
mod verify;
mod visits;
mod walk_parties;
mod walk_sheet;
mod walks_held;
mod walks_planned;
mod walks_settled;
mod widths;
mod workbooks;
mod workspace;
mod years;

// What goes wrong
mod backups;
mod bad_files;
mod bad_tables;
mod books;
mod bringing;
mod bringing_corpus;
mod bringing_hostile;
mod calendar;
mod claimed_formats;
mod command_line;
mod one_gate;
mod terminal;
mod together;
