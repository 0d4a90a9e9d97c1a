//! What a deed says once it is done, in sentences alone: whichever door it came through says it
//! like this.

mod books;
mod land;
mod names;
mod righting;
mod seen;
mod walks;

pub use books::{backed_up, counts, forgotten_here, made, nothing_new, restored, what_is_lacking};
pub use land::{Permitted, closed, permitted, reopened};
pub use names::{NameOnFile, forgotten, held_back, names_deleted, nobody_bears_them, seen_on_file};
pub use righting::{corrected, withdrawn};
pub use seen::{cut_recorded, glance_recorded, survey_recorded};
pub use walks::{
    SetAside, cancelled, joined, left, moved, named, recorded, set_aside, standing, who_comes,
};

use jiff::civil::Date;

use crate::units::spoken_day;

/// `until 31 Oct 2027`, `until further notice`.
fn until(last: Option<Date>) -> String {
    last.map_or("until further notice".to_owned(), |last| format!("until {}", spoken_day(last)))
}
