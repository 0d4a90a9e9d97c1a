//! The hardest cut of a patch: in words, and as a shade on a map.

use super::map::{STEPS, Shade, Shading};
use crate::assess::PatchSeason;
use crate::units::{percent, spoken_day};

/// Up to this part of what was allowed a cut is an easy one: our own choice, no source.
const EASY: f64 = 0.5;
const STEP_NAMES: [&str; STEPS] = ["not cut", "up to half", "up to all", "over the limit"];

/// What the shades stand for; `unlimited` says whether a patch was cut that had no limit.
pub(super) fn hardest_shading(title: &str, unlimited: bool) -> Shading {
    Shading {
        title: title.to_owned(),
        steps: STEP_NAMES,
        unknown: unlimited.then_some("no limit set"),
    }
}

/// The shade of a patch whose hardest cut took this part of what was allowed.
fn hardest_shade(part: f64, is_over: bool) -> Shade {
    Shade::Step(match part {
        _ if is_over => STEPS - 1,
        part if part <= EASY => 1,
        _ => 2,
    })
}

/// The shade of a patch by its hardest cut of a season, and the same in words.
pub(super) fn shaded_by_hardest(season: &PatchSeason) -> (Shade, String) {
    match season.hardest() {
        Some((ruling, part)) => {
            let is_over = ruling.take.is_over();
            let over = if is_over { ", over the limit" } else { "" };
            let said = format!("{} on {}{over}", part_of_allowed(part), spoken_day(ruling.day));
            (hardest_shade(part, is_over), said)
        }
        None if season.rulings.is_empty() => (Shade::Step(0), "not cut".to_owned()),
        None => (Shade::Unknown, "cut, no limit set".to_owned()),
    }
}

/// A part of what was allowed; in words where nothing was, of which there is no part.
pub(super) fn part_of_allowed(part: f64) -> String {
    if part.is_finite() { percent(part) } else { "none allowed".to_owned() }
}
