//! The same patch with more, or less, of it always kept standing.

use std::sync::Arc;

use crate::assess::Prepared;
use crate::regrowth::Terms;

/// The patch with another theta, in (0, 1), in the place of its profile's.
pub fn with_theta<'a>(patch: &Prepared<'a>, theta: f64) -> Prepared<'a> {
    let mut patch = patch.clone();
    Arc::make_mut(&mut patch.profile.crop).kept_standing.value = theta;
    patch.terms = Terms::of(patch.crop());
    patch
}
