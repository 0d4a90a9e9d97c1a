//! What makes the refilling share smaller than it might be, each a reason of its own.

use super::Case;
use crate::records::CodeCap;
use crate::units::percent;

/// One factor inside the share.
#[derive(Clone, Debug, PartialEq)]
pub struct Reduction {
    /// As `check` tells it: `winter guard`.
    pub name: &'static str,
    /// What it leaves of the share (of today's refilling, for the winter guard), 0 to 1.
    pub factor: f64,
    /// A sentence without its full stop.
    pub reason: String,
}

/// Those that are at work on the case's day, strongest first. Of `below usual` and
/// `looks thinner` only the stronger shrinks the share; both are told.
pub fn reductions(case: &Case) -> Vec<Reduction> {
    let (Some(state), Some(share)) = (&case.state, case.share()) else { return Vec::new() };
    let mut all = Vec::new();
    let mut add = |name, factor: f64, reason: &dyn Fn() -> String| {
        if factor < 1.0 {
            all.push(Reduction { name, factor, reason: reason() });
        }
    };
    let base = state.reserve_base(case.terms);
    let standing = if base > 0.0 { state.standing / base } else { 0.0 };
    add("below usual", share.taper, &|| {
        format!("{} of the surveyed crop stands, under 80 %", percent(standing))
    });
    add("looks thinner", share.thin, &|| {
        let look = percent(look(&share));
        format!("to the same eyes the patch looks {look} as thick as it did")
    });
    add("first visits", share.start, &|| {
        "the first four visits take half, so that the book learns what full looks like".to_owned()
    });
    if case.growth.is_guarded() {
        let growing = case.growth.on(case.day);
        add("winter guard", growing, &|| {
            "no growing months are given for this crop, so the share refills only while days \
                 are long; an override of growth_by_month on the site or patch replaces the guard"
                .to_owned()
        });
    }
    all.sort_by(|a, b| a.factor.total_cmp(&b.factor));
    all
}

/// The sight index that gives this factor: thin = 2x − 1.
fn look(share: &crate::regrowth::Share) -> f64 {
    (share.thin + 1.0) / 2.0
}

/// `1 in 20` for 0.05, for reasons.
pub(super) fn cap_text(cap: CodeCap) -> String {
    let n = 1.0 / cap.fraction;
    if (n - n.round()).abs() < 1e-6 { format!("1 in {n:.0}") } else { percent(cap.fraction) }
}
