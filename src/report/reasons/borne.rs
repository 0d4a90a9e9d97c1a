//! What a patch can bear: its season, its surveys, its share, its reserve, its ground.

use crate::pressure::{Footfall, TroddenGround};
use crate::records::{CodeCap, Underfoot};
use crate::rules::{Reason, ShareLeft};
use crate::units::{counted, percent, spoken_day};

/// `None` for what people said.
pub(super) fn told(reason: &Reason) -> Option<String> {
    Some(match reason {
        Reason::Season(window, true) => format!("in season: {}", window.spoken()),
        Reason::Season(window, false) => format!("the season is {}", window.spoken()),
        Reason::CutsNotCapped => "the crop has no such cap".to_owned(),
        Reason::CutsMade { made, allowed } => cuts_made(*made, *allowed),
        Reason::Feet { footfall, ground, at_limit } => {
            let limit = if *at_limit { "at its limit: " } else { "" };
            format!("{limit}{}", trodden(footfall, ground))
        }
        Reason::Crowded { people, room, ground } => format!(
            "{people} people at once are more than the {room} there is room for on {}, {}; come \
             in turns",
            ground.area,
            super::measured_on(ground.measured_on)
        ),
        Reason::NoCapPerPerson => "no published cap per person".to_owned(),
        Reason::PerPerson(each, people) => {
            format!("{each} each, for {}", counted(*people, "person"))
        }
        Reason::NoReserve => "the crop has no reserve".to_owned(),
        Reason::ReserveNotNeeded => "an invasive crop needs no reserve".to_owned(),
        Reason::NoCropToReserve => "no full crop is known to keep a part of".to_owned(),
        Reason::Reserve(kept, part) => format!("{kept} stays: {} of the full crop", percent(*part)),
        Reason::NoDensity => "the crop has no such minimum".to_owned(),
        Reason::NoCropToLeave => "no standing crop is known to leave a part of".to_owned(),
        Reason::Density(each, all) => format!("{each} stays on each m², {all} in all"),
        _ => return survey(reason).or_else(|| share(reason)).or_else(|| code(reason)),
    })
}

fn survey(reason: &Reason) -> Option<String> {
    Some(match reason {
        Reason::Contested(other) => {
            format!("{other} claims the same ground; withdraw or redraw one of the two")
        }
        Reason::SurveyNotNeeded => "an invasive crop needs no survey".to_owned(),
        Reason::NeverSurveyed => "never surveyed".to_owned(),
        Reason::Surveyed { days, until, believed } => {
            let (ago, until) = (counted(*days, "day"), spoken_day(*until));
            match believed {
                true => format!("surveyed {ago} ago, believed until {until}"),
                false => format!("the last survey, {ago} ago, was believed until {until}"),
            }
        }
        _ => return None,
    })
}

fn share(reason: &Reason) -> Option<String> {
    Some(match reason {
        Reason::CutBack => "an invasive crop may be cut back without limit".to_owned(),
        Reason::NoCropToShare => "no standing crop is known to take a share of".to_owned(),
        Reason::NothingStood => "the last survey found nothing standing".to_owned(),
        Reason::Spent => "the share is spent".to_owned(),
        Reason::LittleStands => "less than 30 % of the surveyed crop stands".to_owned(),
        Reason::LooksTooThin(surveys) => looks_too_thin(*surveys),
        Reason::ShareLeft(left) => share_left(left),
        _ => return None,
    })
}

fn code(reason: &Reason) -> Option<String> {
    Some(match reason {
        Reason::NoCode => "no published cap for this crop".to_owned(),
        Reason::CodeNotMeant => "an invasive crop is under no such cap".to_owned(),
        Reason::CodeLifted(cap) => format!("{} is lifted by the written permission", cap_of(*cap)),
        Reason::NoCropToCap => "no standing crop is known to take a part of".to_owned(),
        Reason::Code(cap, taken) if *taken >= cap.fraction => {
            format!("{} of the stand, by the published code, is taken", cap_of(*cap))
        }
        Reason::Code(cap, taken) => {
            let lately = match 100.0 * taken {
                none if none <= 0.0 => String::new(),
                part => format!(", less the {part:.1} % taken lately"),
            };
            format!("{} of the stand by the published code{lately}", cap_of(*cap))
        }
        _ => return None,
    })
}

/// Said while there is still a choice of the day.
fn cuts_made(made: u32, allowed: u32) -> String {
    let cuts = counted(allowed, "cut");
    if made >= allowed {
        return format!("the stand has had its {cuts} this season");
    }
    let last = if made + 1 == allowed { "; the next is the last" } else { "" };
    format!("{made} of {cuts} made this season{last}")
}

/// Where the ground stands in the year.
fn trodden(footfall: &Footfall, ground: &TroddenGround) -> String {
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

fn share_left(share: &ShareLeft) -> String {
    let mut told = how_much_is_there(share.back, share.was_cut);
    if share.is_start {
        told += ", half of it on the first four visits";
    }
    if share.thinned < 1.0 {
        let thinning = match share.by_surveys {
            true => "less stands than at its surveys",
            false => "it looks thinner than it did",
        };
        told += &format!(", cut down to {} as {thinning}", percent(share.thinned));
    }
    if let Some((part, day)) = share.back_by {
        told += &format!("; {} by {}", percent(part), spoken_day(day));
    }
    told
}

/// Of a patch never cut nothing can be back.
pub(in crate::report) fn how_much_is_there(back: f64, was_cut: bool) -> String {
    match (percent(back), was_cut) {
        (whole, _) if whole == percent(1.0) => "the whole share is there".to_owned(),
        (part, true) => format!("{part} of the share is back"),
        (part, false) => format!("{part} of the share is there, never cut yet"),
    }
}

/// The same of a share that was just named.
pub(in crate::report) fn how_much_in_short(back: f64, was_cut: bool) -> String {
    match (percent(back), was_cut) {
        (whole, _) if whole == percent(1.0) => "the whole share".to_owned(),
        (part, true) => format!("{part} refilled"),
        (part, false) => format!("{part} filled, never cut yet"),
    }
}

/// Why the sight index shuts the patch, and what would open it.
fn looks_too_thin(surveys: u32) -> String {
    let surveys = match surveys {
        1 => "a survey that finds".to_owned(),
        n => format!("{n} surveys that each find"),
    };
    format!(
        "the patch looks less than half as thick as it used to; {surveys} the full crop, or \
         glances by the same eyes that see it, would open it"
    )
}

/// `1 in 20` for 0.05.
fn cap_of(cap: CodeCap) -> String {
    let n = 1.0 / cap.fraction;
    if (n - n.round()).abs() < 1e-6 { format!("1 in {n:.0}") } else { percent(cap.fraction) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pressure::MeasuredOn;
    use crate::units::SquareMetres;

    #[test]
    fn cuts_of_a_season_are_told_up_to_the_last() {
        assert_eq!(cuts_made(1, 3), "1 of 3 cuts made this season");
        assert_eq!(cuts_made(2, 3), "2 of 3 cuts made this season; the next is the last");
        assert_eq!(cuts_made(3, 3), "the stand has had its 3 cuts this season");
    }

    #[test]
    fn feet_are_told_against_what_the_ground_bears() {
        let lawn = TroddenGround {
            area: SquareMetres(78.5),
            underfoot: Some(Underfoot::Lawn),
            measured_on: MeasuredOn::Harvestable,
        };
        let footfall = Footfall {
            person_visits: 41,
            visits_without_people: 1,
            passes_per_100m2: Some(104.4),
            part_of_limit: Some(0.121),
        };
        assert_eq!(
            trodden(&footfall, &lawn),
            "12 % of what this ground bears in a year, roughly: 104 passes on each 100 m², where \
             860 would halve its cover (lawn); 1 visit without a number of people counted as one \
             each"
        );
        let nobody = Footfall { passes_per_100m2: Some(0.0), ..Footfall::default() };
        let said = "nobody is known to have trodden it in the last 365 days";
        assert_eq!(trodden(&nobody, &lawn), said);
        let bare = TroddenGround { underfoot: Some(Underfoot::Bare), ..lawn };
        assert_eq!(trodden(&footfall, &bare), "feet do not wear bare ground");
    }
}
