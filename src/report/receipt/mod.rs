//! What a deed says once it is done, in sentences alone: whichever door it came through says it
//! like this.

mod books;
mod land;
mod names;
mod righting;
mod seen;
mod settled;
mod walks;

pub use books::{
    NO_ACCESS, NO_ANSWER, NO_ROLES, NOT_VOUCHED_FOR, NOT_YET, NOTHING_RECORDED, ONLY_SHOWN,
    PLACES_ARE_EXACT, TO_THE_PHONE, UNCLEAR, WISHED, access_ended, access_link, answers_kept,
    backed_up, come_back, copied, counts, demo_made, for_others, forgotten_here, made, merged,
    merging, nothing_new, restored, role, role_ended, role_let_in, serving, told_kept,
    what_is_lacking,
};
pub use land::{Permitted, closed, permitted, reopened, split};
pub use names::{
    NameOnFile, first_names_only, forgotten, held_back, names_deleted, nobody_bears_them,
    seen_on_file,
};
pub use righting::{corrected, undone, withdrawn};
pub use seen::{
    NOT_WITHIN, cut_charged, cut_recorded, glance_recorded, squares_cut, squares_cut_again,
    survey_recorded,
};
pub use settled::{Settled, settled, untold_shares};
pub use walks::{
    SetAside, boxes_set_aside, cancelled, joined, left, moved, named, not_set_aside, recorded,
    set_aside, standing, who_comes,
};

use jiff::civil::Date;

use crate::units::spoken_day;

/// `until 31 Oct 2027`, `until further notice`.
fn until(last: Option<Date>) -> String {
    last.map_or("until further notice".to_owned(), |last| format!("until {}", spoken_day(last)))
}
