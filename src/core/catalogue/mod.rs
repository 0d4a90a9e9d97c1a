//! The crop catalogue: the profile of every crop, each value with its source.
//!
//! The crops are TOML tables in `crops/`; a file of the user's own is read by the same
//! [`read`], and [`FIELDS`] says what a table holds.

mod codes;
mod defaults;
mod dense_stands;
mod fields;
mod index;
pub mod law;
mod meant;
mod problem;
mod profile;
mod season_curves;
mod table;

pub use dense_stands::{DenseStand, Per, dense_stand};
pub use fields::{FIELDS, Field, SOURCE, template};
pub use index::Catalogue;
pub use meant::NotMeant;
pub use problem::{CatalogueProblem, CatalogueProblems};
pub use profile::read;
pub use season_curves::{Basis, PublishedCurve, season_curve};
