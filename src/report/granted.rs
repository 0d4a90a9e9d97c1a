//! What an answer takes for granted, a sentence each, without its full stop.

use super::accounts::accounted;
use super::contradictions::refused;
use super::reasons::measured_on;
use crate::assess::Granted;
use crate::pressure::{Resistance, TroddenGround};
use crate::units::percent;

/// What stands for a source that is not told.
const IN_THE_BOOK: &str = "set in the book, with its source there";

pub(super) fn all_granted(all: &[Granted]) -> Vec<String> {
    all.iter().map(granted).collect()
}

pub(super) fn granted(granted: &Granted) -> String {
    match granted {
        Granted::OwnProfile { crop, file, is_in_catalogue } => {
            let place = match is_in_catalogue {
                true => ", in the place of the catalogue's",
                false => ", since the catalogue has none",
            };
            format!("the profile of {crop} is your own, from `{file}`{place}")
        }
        Granted::Recovery(recovery, source) => {
            let (taken, days) = (percent(recovery.take_fraction), recovery.days);
            let said = format!("cut by {taken}, the crop is back to 95 % of full in {days} days");
            sourced(&said, source)
        }
        Granted::KeptStanding { kept, most, most_once_tested, source } => {
            sourced(&kept_standing(*kept, *most, *most_once_tested), source)
        }
        Granted::WholeYears => "recovery is counted in whole years, winters included".to_owned(),
        Granted::GrowingMonths(source) => {
            sourced("the growing months are given for this crop", source)
        }
        Granted::DayLength => "no growing months are given: growth is taken to follow day length, \
                               and spring to come four weeks late"
            .to_owned(),
        // The curve itself is long, and so are its sources.
        Granted::FullSwings => {
            "a full crop swings through the year, as `stintbook crops` shows".to_owned()
        }
        Granted::Override { field, value, of_patch, source } => {
            let place = match (of_patch, source.is_empty()) {
                (true, false) => "on this patch",
                (true, true) => "on one patch",
                (false, _) => "on this site",
            };
            let said = format!("{field} is {value} {place}, not the catalogue's");
            if source.is_empty() { said } else { sourced(&said, source) }
        }
        Granted::RefusedOverride { field, problem } => refused(*field, problem),
        Granted::Survey { day, how } => format!("survey of {day}: {}", accounted(how)),
        Granted::SurveyLeftOut(day) => format!(
            "the survey of {day} does not fit this patch's ground or plants and is left out"
        ),
        Granted::Feet { ground, resistance } => feet(ground, resistance),
        Granted::OnePerson => "one person comes; say how many with --people".to_owned(),
    }
}

fn kept_standing(kept: f64, most: f64, most_once_tested: Option<f64>) -> String {
    let (kept, most) = (percent(kept), percent(most));
    match most_once_tested {
        Some(tested) => format!(
            "{kept} is kept standing until a first recovery test, so the share is never over \
             {most}, and then never over {}, refilled at what the test makes believable",
            percent(tested)
        ),
        None => format!("{kept} is always kept standing, so the share is never over {most}"),
    }
}

/// What the count of feet rests on, and how little that is.
fn feet(ground: &TroddenGround, Resistance { passes, source }: &Resistance) -> String {
    match passes {
        None => format!("feet do not wear bare ground ({source})"),
        Some(passes) => format!(
            "feet are counted on {} ({}), two passes for each person who came, and {passes:.0} \
             passes on 100 m² are all that it bears in a year: a rough measure of use, not of wear \
             ({source})",
            ground.area,
            measured_on(ground.measured_on)
        ),
    }
}

fn sourced(said: &str, source: &str) -> String {
    format!("{said} ({})", if source.is_empty() { IN_THE_BOOK } else { source })
}
