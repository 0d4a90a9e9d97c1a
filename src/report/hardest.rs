//! How the hardest cut of a patch is shaded on a map.

use super::map::{STEPS, Shade, Shading};

/// Up to this part of a limit a cut is an easy one: our own choice, no source.
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

/// The shade of a patch whose hardest cut took this part of a day's limit.
pub(super) fn hardest_shade(part: f64, is_over: bool) -> Shade {
    Shade::Step(match part {
        _ if is_over => STEPS - 1,
        part if part <= EASY => 1,
        _ => 2,
    })
}
