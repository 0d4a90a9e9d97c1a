//! Assessments and seasons as text: tables, data formats, plots, cautions.
//!
//! No files, no clock, no printing, and no arithmetic beyond rounding and drawing.

pub mod cautions;
mod columns;
mod over_limit;
mod plot;
mod pressure_table;
mod sparkline;

pub use plot::{CropScale, PlotError, Scale, pressure_svg};
pub use pressure_table::pressure_table;
pub use sparkline::SeasonLine;
