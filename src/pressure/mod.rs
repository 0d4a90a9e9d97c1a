//! How hard a patch is used over a season.

mod series;

pub use series::{ModelledCrop, PressureDay, PressureSeries, SCALE_ERROR};
