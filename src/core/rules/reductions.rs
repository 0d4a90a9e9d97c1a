//! What makes the refilling share smaller than it might be, each a reason of its own.

use super::Case;

/// One factor inside the share.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reduction {
    /// As `check` tells it: `winter guard`.
    pub name: &'static str,
    /// What it leaves of the share (of today's refilling, for the winter guard), 0 to 1.
    pub factor: f64,
    /// Why.
    pub why: Shrinks,
}

/// What makes the share smaller.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shrinks {
    /// Only this part of the surveyed crop stands.
    BelowUsual(f64),
    /// To the same eyes it looks this part as thick as it did.
    LooksThinner(f64),
    /// The book learns what full looks like.
    FirstVisits,
    /// No growing months are given for the crop.
    WinterGuard,
}

/// Those that are at work on the case's day, strongest first. Of `below usual` and
/// `looks thinner` only the stronger shrinks the share; both are told.
pub fn reductions(case: &Case) -> Vec<Reduction> {
    let (Some(state), Some(share)) = (&case.state, case.share()) else { return Vec::new() };
    let mut all = Vec::new();
    let mut add = |name, factor: f64, why: Shrinks| {
        if factor < 1.0 {
            all.push(Reduction { name, factor, why });
        }
    };
    let base = state.reserve_base(case.terms);
    let standing = if base > 0.0 { state.standing / base } else { 0.0 };
    add("below usual", share.taper, Shrinks::BelowUsual(standing));
    add("looks thinner", share.thin, Shrinks::LooksThinner(look(&share)));
    add("first visits", share.start, Shrinks::FirstVisits);
    if case.growth.is_guarded() {
        add("winter guard", case.growth.on(case.day), Shrinks::WinterGuard);
    }
    all.sort_by(|a, b| a.factor.total_cmp(&b.factor));
    all
}

/// The sight index that gives this factor: thin = 2x − 1.
fn look(share: &crate::regrowth::Share) -> f64 {
    (share.thin + 1.0) / 2.0
}
