//! What has to come true for a shut patch to open on the day that is told.

use crate::assess::Opening;

/// `, if it is surveyed and permitted by then`, or nothing.
pub(super) fn conditions(opening: Opening) -> &'static str {
    match (opening.needs_survey, opening.needs_permission) {
        (true, true) => ", if it is surveyed and permitted by then",
        (true, false) => ", if it is surveyed by then",
        (false, true) => ", if it is permitted by then",
        (false, false) => "",
    }
}
