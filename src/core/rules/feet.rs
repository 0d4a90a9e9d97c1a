//! Feet wear out ground too: where it has had a year's passes, or would be crowded, it rests.
//!
//! What a kind of ground bears, and how rough the count is, stands in `pressure`. The rule is
//! for the ground's sake, so it holds for an invasive crop as well.

use jiff::civil::Date;

use super::{Case, Ceiling, Reason, Rule, Verdict};
use crate::pressure::{Footfall, TroddenGround};

/// The rule's name, for those who ask which rule decided.
pub const FEET: &str = "feet";

pub(super) struct Feet;

impl Rule for Feet {
    fn name(&self) -> &'static str {
        FEET
    }

    fn shuts_as(&self) -> Verdict {
        Verdict::Resting
    }

    fn ceiling(&self, case: &Case) -> Ceiling {
        let ground = trodden(case);
        let footfall = Footfall::on(case.day, case.history, &ground);
        let at_limit = footfall.is_at_limit();
        let reason = Reason::Feet { footfall, ground, at_limit };
        if at_limit {
            Ceiling::nothing(self.name(), reason)
        } else if let Some(room) = crowded(case, &ground) {
            let people = case.people_or_one();
            Ceiling::nothing(self.name(), Reason::Crowded { people, room, ground })
        } else {
            Ceiling::none(self.name(), reason)
        }
    }

    /// `None` for a party that is too large: it will not have shrunk on any day.
    fn opens(&self, case: &Case) -> Option<Date> {
        let ground = trodden(case);
        match crowded(case, &ground) {
            Some(_) => None,
            None => Footfall::first_day_under_limit(case.day, case.history, &ground),
        }
    }
}

fn trodden(case: &Case) -> TroddenGround {
    TroddenGround::of(case.patch, &case.extent)
}

/// The room there is, where more people would come at once.
fn crowded(case: &Case, ground: &TroddenGround) -> Option<u32> {
    ground.room().filter(|room| !case.in_turns && case.people_or_one() > *room)
}
