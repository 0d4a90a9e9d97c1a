//! What is said of how hard a patch was used, in figures with their units and in sentences.

use jiff::civil::Date;

use super::charge::where_allowed;
use crate::assess::{DayRuling, PatchSeason};
use crate::records::{Crop, PatchName};
use crate::units::{Amount, percent, spoken_day};

/// So many of the most trodden patches are named.
const MOST_TRODDEN: usize = 3;

/// The last day on which any is told.
pub(super) fn last_day(seasons: &[PatchSeason]) -> Option<Date> {
    seasons.iter().filter_map(|patch| Some(patch.series.days.last()?.day)).max()
}

/// `, to 15 Mar 2027`, after the name of a season that has begun.
pub(super) fn until(last_day: Option<Date>) -> String {
    last_day.map_or(String::new(), |day| format!(", to {}", spoken_day(day)))
}

/// Nobody cut it.
pub(super) fn is_quiet(patch: &PatchSeason) -> bool {
    patch.visits == 0 && patch.series.total_cut() <= 0.0
}

pub(super) fn standing(patch: &PatchSeason) -> String {
    let now = patch.series.latest().map(|(_, crop)| crop);
    now.map_or("not known".to_owned(), |now| patch.crop.show(now.standing))
}

/// The hardest cut as a part of what was allowed that day.
pub(super) fn hardest(patch: &PatchSeason) -> String {
    match patch.hardest() {
        None if patch.visits > 0 => "no limit".to_owned(),
        None => "-".to_owned(),
        Some((_, part)) if part.is_infinite() => "OVER, of 0".to_owned(),
        Some((ruling, part)) if ruling.take.is_over() => format!("{} OVER", percent(part)),
        Some((_, part)) => percent(part),
    }
}

/// `0.9–1.6 kg`, the unit once where both ends have the same; counts without it.
pub(super) fn range(crop: &Crop, low: f64, high: f64) -> String {
    let [low, high] = [low, high].map(|value| Amount { value, measure: crop.measure }.to_string());
    match (low.split_once(' '), high.split_once(' ')) {
        (Some((number, unit)), Some((_, same))) if unit == same => format!("{number}–{high}"),
        _ => format!("{low}–{high}"),
    }
}

pub(super) fn overrun(patch: &PatchSeason, ruling: &DayRuling) -> String {
    format!(
        "{} on {}, {} cut {}.",
        patch.patch,
        spoken_day(ruling.day),
        patch.crop.show(ruling.take.taken),
        where_allowed(ruling, &patch.crop)
    )
}

/// What part of the ground's limit feet come to, where any came.
fn trodden(patch: &PatchSeason) -> Option<(f64, PatchName)> {
    let part = patch.series.feet().part_of_limit.filter(|part| *part > 0.0)?;
    Some((part, patch.patch.clone()))
}

/// Keeps the few patches that feet press most.
pub(super) fn add_trodden(most: &mut Vec<(f64, PatchName)>, seasons: &[PatchSeason]) {
    most.extend(seasons.iter().filter_map(trodden));
    most.sort_by(|a, b| b.0.total_cmp(&a.0));
    most.truncate(MOST_TRODDEN);
}

/// The few patches that feet press most; `None` where nobody came.
pub(super) fn most_trodden_told(trodden: &[(f64, PatchName)]) -> Option<String> {
    let named: Vec<String> =
        trodden.iter().map(|(part, patch)| format!("{patch} {}", percent(*part))).collect();
    (!named.is_empty()).then(|| {
        format!(
            "Most trodden: {} of what the ground there bears in a year; a rough measure of use, \
             not of wear.",
            named.join(", ")
        )
    })
}
