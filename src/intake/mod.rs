//! Text that people bring, made into records, and records made into such text again.
//!
//! A file is taken whole or not at all. What kind it is, its content tells, not its name:
//! a GeoJSON file holds what has a shape; the header of a CSV tells of which kind its rows are.
//! What a kind has to say, it declares in `records`; `reading` and `writing` know what each
//! form of a field looks like here.

// What is read
mod known;
mod problem;
mod read;
mod tally;

// CSV
mod cells;
mod header;
mod lines;
mod method;
mod sheet;
mod table;

// GeoJSON
mod collection;
mod feature;
mod positions;
mod ring;
mod shape;

// One field
mod boundary;
mod cell;
mod fields;
mod footprint;
mod property;
mod stand;
mod value;

// All kinds alike
mod column;
mod kinds;
mod reading;
mod writing;

// The rows of a survey
mod survey;

// One way of surveying each
mod cover;
mod judged;
mod stratum;
mod units;

// What is told of a walk and kept elsewhere or nowhere
mod amends;
mod guests;
mod phone;
mod returns;
mod slip;

// And back
mod diff;
mod edit;
mod templates;
mod version;
mod write;

pub use amends::{Amend, is_of_amends, read_amends, write_amends};
pub use column::columns;
pub use diff::{diff, fields};
pub use edit::edit;
pub use guests::{Guests, read_guests};
pub use kinds::{FEATURES, SHEETS, loadable};
pub use known::{CropNames, Known, Placed, Placer};
pub use phone::{is_of_phone, phone_declared};
pub use problem::{Place, Problem, Problems};
pub use read::{every_problem, read};
pub use returns::{CameBack, Return, ReturnOf, read_returns};
pub use tally::Intake;
pub use templates::{Template, templates};
pub use value::YEARS;
pub use version::Version;
pub use write::{
    PLACES_SCHEMA, feature, places_declared, properties, write_csv, write_geojson, written,
};
