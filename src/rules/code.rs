//! A published cap on the part of a stand that is taken, unless the occupier agreed in
//! writing to more.
//!
//! The cap is on the patch, not on the person: three pickers who each take a tenth have
//! taken 27 %. So what was cut earlier the same day counts towards it: a party that took one
//! in twenty, or all it was allowed, has left none for the next, whatever the basket weighed.

use jiff::civil::Date;

use super::reductions::cap_text;
use super::{Case, Ceiling, Rule, Verdict};
use crate::records::{CodeCap, Permission, Taken};
use crate::regrowth::{Count, Seen, State};

/// The rule's name, for those who ask which rule decided.
pub const CODE_OF_PRACTICE: &str = "code of practice";

pub(super) struct CodeOfPractice;

impl Rule for CodeOfPractice {
    fn name(&self) -> &'static str {
        CODE_OF_PRACTICE
    }

    fn says(&self) -> &'static str {
        "no more than the published cap for the crop, unless the occupier agreed in writing"
    }

    fn shuts_as(&self) -> Verdict {
        Verdict::Resting
    }

    fn rests_on_survey(&self) -> bool {
        true
    }

    fn ceiling(&self, case: &Case) -> Ceiling {
        let Some(cap) = &case.crop.code_cap else {
            return Ceiling::none(self.name(), "no published cap for this crop");
        };
        if case.is_invasive() {
            return Ceiling::none(self.name(), "an invasive crop is under no such cap");
        }
        if is_lifted(case) {
            return Ceiling::none(
                self.name(),
                case.tell(|| {
                    format!("{} is lifted by the written permission", cap_text(cap.value))
                }),
            );
        }
        let Some((state, share)) = case.state.zip(case.share()) else {
            return Ceiling::nothing(self.name(), "no standing crop is known to take a part of");
        };
        let fraction_left = (cap.value.fraction - taken_today(case, cap.value, &state)).max(0.0);
        let reason = case.tell(|| match fraction_left {
            left if left <= 0.0 => {
                format!("{} of the stand, by the published code, is taken", cap_text(cap.value))
            }
            _ => format!("{} of the stand by the published code", cap_text(cap.value)),
        });
        let slack = Count::slack(fraction_left, share.slack);
        Ceiling::at_most(self.name(), slack * fraction_left * share.low, reason)
            .counted(Count::of(fraction_left).filter(|_| case.crop.countable))
    }

    fn opens(&self, case: &Case) -> Option<Date> {
        let useful = case.smallest_useful();
        case.first_later_day(|later| self.ceiling(later).allows(useful))
    }
}

/// The fraction of the stand that today's cuts have taken already.
fn taken_today(case: &Case, cap: CodeCap, state: &State) -> f64 {
    let stood = state.standing + case.cut_today();
    let cuts = case.history.until(case.day).iter().filter(|event| event.day == case.day);
    let fractions = cuts.map(|event| match event.seen {
        Seen::Cut { amount, .. } if amount <= 0.0 => 0.0,
        Seen::Cut { taken: Taken::All, .. } => cap.fraction,
        Seen::Cut { taken: Taken::OneIn(n), .. } => 1.0 / f64::from(n),
        Seen::Cut { taken: Taken::ByWeight, amount, .. } | Seen::Clipped(amount) => amount / stood,
        _ => 0.0,
    });
    fractions.sum()
}

fn is_lifted(case: &Case) -> bool {
    let lifts = |permission: &Permission| {
        permission.lifts_code_cap
            && permission.holds_on(case.day)
            && permission.covers_crop(&case.crop.name)
            && permission.covers_method(case.method)
    };
    case.site.permissions.iter().any(|fact| lifts(&fact.record))
}
