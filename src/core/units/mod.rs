//! Quantities and calendar spans, each with its unit in its type.

mod amount;
mod comma;
mod length;
mod season;
mod spoken;
mod tolerance;
mod week;
mod window;

pub use amount::{Amount, AmountError, Measure};
pub use comma::comma_meant;
pub use length::{Metres, SquareMetres};
pub use season::{Season, SeasonError};
pub use spoken::{agreeing, counted, listed, month_name, noun_for, percent, spoken_day};
pub use tolerance::{WEIGHING_ERROR, is_over};
pub use week::Week;
pub use window::{MonthDay, Window, WindowError};
