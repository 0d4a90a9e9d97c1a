//! Facts of one patch that do not agree with each other, a sentence each.

use jiff::civil::Date;

use super::reasons::{because, of_then};
use crate::assess::{Contradiction, Contradicts, DayFigures};
use crate::records::{Crop, CropField, FactId};
use crate::rules::Reason;
use crate::units::spoken_day;

/// Names the patch and the facts; without its full stop.
pub(super) fn contradiction(found: &Contradiction) -> String {
    let Contradiction { patch, crop, what } = found;
    let said = match what {
        Contradicts::Overcut { cuts, ruling, why_shut, put_right } => {
            let what = what_was_cut(cuts, crop, ruling.take.taken, ruling.day);
            let allowed = allowed(ruling, why_shut.as_deref(), crop);
            format!("{what}, but {allowed}{}", later(put_right))
        }
        Contradicts::CutMoreThanStood { cuts, day, taken, most } => {
            let (what, most) = (what_was_cut(cuts, crop, *taken, *day), crop.show(*most));
            format!("{what}, but no more than {most} can have stood there")
        }
        Contradicts::Glance { day, by, glanced, surveyed } => format!(
            "on {} {by} saw {} where the survey found {}",
            spoken_day(*day),
            crop.show(*glanced),
            crop.show(*surveyed)
        ),
        Contradicts::Strata { survey, total, ground } => format!(
            "the strata of survey {} add up to {total:.0} m², the patch has {ground:.0} m² that \
             may be harvested",
            survey.short()
        ),
        Contradicts::RefusedOverride { field, problem } => refused(*field, problem),
    };
    format!("{patch}: {said}")
}

/// Of an override whose value the crop cannot take.
pub(super) fn refused(field: CropField, problem: &str) -> String {
    format!("an override of {field} is not used: {problem}")
}

/// `cut 1a2b3c of 1 kg on 10 Apr 2021`, or all cuts of the day together.
fn what_was_cut(cuts: &[FactId], crop: &Crop, taken: f64, day: Date) -> String {
    let ids: Vec<String> = cuts.iter().map(|id| id.short().to_string()).collect();
    let (amount, day) = (crop.show(taken), spoken_day(day));
    match ids.as_slice() {
        [one] => format!("cut {one} of {amount} on {day}"),
        several => format!("cuts {} of {amount} in all on {day}", several.join(", ")),
    }
}

fn allowed(ruling: &DayFigures, why_shut: Option<&Reason>, crop: &Crop) -> String {
    match why_shut {
        Some(why) => format!("{} ({})", of_then(ruling.morning), because(why)),
        None => {
            format!("{} was the most allowed", crop.show(ruling.take.allowed.unwrap_or(0.0)))
        }
    }
}

/// What was said of the crop only after that day.
fn later(put_right: &[(CropField, Date)]) -> String {
    if put_right.is_empty() {
        return String::new();
    }
    let fields = put_right.iter().map(|(field, on)| format!("`{field}` since {}", spoken_day(*on)));
    format!("; the crop was put right later: {}", fields.collect::<Vec<_>>().join(", "))
}
