//! Feet wear out ground too: where it has had a year's passes, or would be crowded, it rests.
//!
//! What a kind of ground bears, and how rough the count is, stands in `pressure`. The rule is
//! for the ground's sake, so it holds for an invasive crop as well.

use jiff::civil::Date;

use super::{Case, Ceiling, Rule, Verdict};
use crate::pressure::{Footfall, TroddenGround};
use crate::records::Underfoot;
use crate::units::{counted, percent};

/// The rule's name, for those who ask which rule decided.
pub const FEET: &str = "feet";

pub(super) struct Feet;

impl Rule for Feet {
    fn name(&self) -> &'static str {
        FEET
    }

    fn says(&self) -> &'static str {
        "nothing is cut where a year's feet have worn the ground to its limit, or where more \
         people would come at once than it has room for"
    }

    fn shuts_as(&self) -> Verdict {
        Verdict::Resting
    }

    fn ceiling(&self, case: &Case) -> Ceiling {
        let ground = trodden(case);
        let footfall = Footfall::on(case.day, case.history, &ground);
        if footfall.is_at_limit() {
            let reason = case.tell(|| format!("at its limit: {}", said(&footfall, &ground)));
            Ceiling::nothing(self.name(), reason)
        } else if let Some(room) = crowded(case, &ground) {
            Ceiling::nothing(self.name(), case.tell(|| too_many(case, room, &ground)))
        } else {
            Ceiling::none(self.name(), case.tell(|| said(&footfall, &ground)))
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

fn too_many(case: &Case, room: u32, ground: &TroddenGround) -> String {
    format!(
        "{} people at once are more than the {room} there is room for on {}, {}; come in turns",
        case.people_or_one(),
        ground.area,
        ground.measured_on
    )
}

/// Where the ground stands in the year.
fn said(footfall: &Footfall, ground: &TroddenGround) -> String {
    let (Some(passes), Some(bears)) = (footfall.passes_per_100m2, ground.resistance().passes)
    else {
        return match ground.is_some() {
            true => "feet do not wear bare ground".to_owned(),
            false => "there is no ground to count feet on".to_owned(),
        };
    };
    if footfall.person_visits == 0 {
        return "nobody is known to have trodden it in the last 365 days".to_owned();
    }
    let part = percent(footfall.part_of_limit.unwrap_or(0.0));
    let uncounted = match footfall.visits_without_people {
        0 => String::new(),
        n => format!("; {} without a number of people counted as one each", counted(n, "visit")),
    };
    format!(
        "{part} of what this ground bears in a year, roughly: {passes:.0} passes on each 100 m², \
         where {bears:.0} would halve its cover ({}){uncounted}",
        ground.underfoot.map_or("not said, so the softest", Underfoot::name)
    )
}
