//! Of what was cut, seen or measured on a patch.

use crate::report::opening::conditions;
use jiff::civil::Date;

use crate::assess::{Assessment, CutRuling};
use crate::pressure::DayTake;
use crate::records::{Crop, PatchName};
use crate::regrowth::SecondCut;
use crate::report::charge::{charged, may_have_stopped_short};
use crate::units::{Amount, spoken_day};

/// What was cut, what it is charged, and what may still go. `was_said` says whether anyone said
/// what became of the share; `after` is the patch as it stands with the cut.
pub fn cut_recorded(
    patch: &PatchName,
    crop: &Crop,
    (day, amount): (Date, f64),
    (ruling, was_said): (&CutRuling, bool),
    after: &Assessment,
) -> String {
    let may_have_stopped = !was_said && may_have_stopped_short(ruling, amount);
    format!(
        "{}. {}{}",
        cut_charged(patch, crop, (day, amount), (ruling, was_said)),
        what_now(after, &ruling.day.take),
        if may_have_stopped { STOPPED } else { "" }
    )
}

/// What was cut and what it is charged, without a full stop.
pub fn cut_charged(
    patch: &PatchName,
    crop: &Crop,
    (day, amount): (Date, f64),
    (ruling, was_said): (&CutRuling, bool),
) -> String {
    format!(
        "{} of {} from {patch} on {}, {}",
        crop.show(amount),
        crop.name,
        spoken_day(day),
        charged(ruling, amount, was_said, crop)
    )
}

/// Before cuts that went over.
pub const NOT_WITHIN: &str = "Not within what was allowed, and recorded all the same:";

/// A basket far under the limit may mean that the party stopped short.
const STOPPED: &str = " If they stopped short of what they were allowed, withdraw this and record \
                       it with --part.";

/// What is left goes by the day as a whole too: each basket leaves a little more than it takes
/// away from what the next may take, and all of them are held against one limit afterwards.
fn what_now(after: &Assessment, day: &DayTake) -> String {
    match (after.is_open(), after.opening) {
        (true, _) => {
            let of_day = day.allowed.map(|allowed| allowed - day.taken);
            let most = after.ruling.most.into_iter().chain(of_day).reduce(f64::min);
            match most {
                Some(most) if most <= 0.0 => "No more may be cut that day.".to_owned(),
                Some(most) => format!("{} may still be cut that day.", after.crop.show(most)),
                None => "Any amount may still be cut that day.".to_owned(),
            }
        }
        (false, Some(opening)) => {
            format!("It opens again on {}{}.", spoken_day(opening.day), conditions(opening))
        }
        (false, None) => "No day is known on which it opens again.".to_owned(),
    }
}

/// Of a glance.
pub fn glance_recorded(ids: &str, patch: &PatchName, by: &str, seen: Amount, day: Date) -> String {
    format!("Recorded as {ids}: {by} saw some {seen} on {patch} on {}.", spoken_day(day))
}

/// `gist` is what was measured, in a few words.
pub fn survey_recorded(ids: &str, patch: &PatchName, gist: &str, day: Date) -> String {
    format!(
        "Recorded as {ids}: {gist} on {patch} on {}. `stintbook check` shows what they say.",
        spoken_day(day)
    )
}

/// Of the first day of a recovery test; `when` is that of the second, if one can tell anything.
pub fn squares_cut(
    ids: &str,
    patch: &PatchName,
    cut: Amount,
    day: Date,
    when: Option<SecondCut>,
) -> String {
    let next = match when {
        Some(when) => format!(
            "Cut the squares again best on {}, from {} on and by {} at the latest; till then let \
             nobody touch them.",
            spoken_day(when.best_day),
            spoken_day(when.first_day),
            spoken_day(when.last_day)
        ),
        None => "No second cut will tell anything of this crop: see `recovery plan`.".to_owned(),
    };
    format!(
        "Recorded as {ids}: {cut} from marked squares of {patch} on {}, which count as cut. {next}",
        spoken_day(day)
    )
}

/// Of the second day.
pub fn squares_cut_again(ids: &str, begun: Date, day: Date) -> String {
    format!(
        "Recorded as {ids}: the second cut of the test that was begun on {}, on {}.",
        spoken_day(begun),
        spoken_day(day)
    )
}
