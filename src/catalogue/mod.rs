//! The crop catalogue: the profile of every crop, each value with its source.
//!
//! The crops are TOML tables in `crops/`; a file of the user's own is read by the same
//! [`read`]. The fields of a crop's table are those of [`crate::records::Crop`]:
//!
//! | field | value |
//! |---|---|
//! | `common_name`, `scientific_name`, `kitchen_role` | text |
//! | `part`, `habit` | one of the words of [`crate::records::Part`] and [`crate::records::Habit`] |
//! | `piece` | what one piece is called; given for a crop that is counted, not weighed |
//! | `season` | the days on which it may be cut, `10-15..06-15`, may wrap the year |
//! | `take_fraction`, `recovery_days` | cut by the fraction, it is back to 95 % after the days |
//! | `cut_method`, `cautions`, `legal_note` | whole sentences |
//! | `look_alikes` | `[{ name = "hemlock", grade = "fatal" }]`, may be empty |
//! | `source` | a table: each field's source, `recovery` for both its halves, `others` for the rest |
//!
//! and, where the crop differs from the defaults of its habit or of the code of practice it
//! names: `code` (`plants`, `seaweeds`, `rockweed`, `fungi`), `code_cap`, `per_person_visit`,
//! `kept_standing`, `reserve`, `smallest_useful`, `growth_by_month`, `cuts_per_season`,
//! `leave_per_m2`, `countable`, `protected` (the reason) and `invasive` (the caution).

mod codes;
mod defaults;
mod index;
mod problem;
mod profile;
mod table;

pub use index::Catalogue;
pub use problem::{CatalogueProblem, CatalogueProblems};
pub use profile::read;
