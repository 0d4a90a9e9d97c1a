//! How hard a patch is used over a season: what is taken from it, and feet.

mod footfall;
mod ground;
mod resistance;
mod series;
mod take;
mod week;

pub use footfall::Footfall;
pub use ground::{MeasuredOn, TroddenGround};
pub use resistance::Resistance;
pub use series::{ModelledCrop, PressureDay, PressureSeries};
pub use take::DayTake;
pub use week::PressureWeek;
