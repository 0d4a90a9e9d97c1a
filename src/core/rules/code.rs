//! A published cap on the part of a stand that is taken, unless the occupier agreed in
//! writing to more.
//!
//! The cap is on the patch, not on the person, and not on the day: three pickers who each take a
//! tenth have taken 27 %, whether they come together or one after the other. So what was cut
//! within the recovery interval counts towards it, and what is promised to walks that come first:
//! a party that took one in twenty, or all it was allowed, has left none for the next until the
//! stand had time to come back, whatever the basket weighed.

use jiff::civil::Date;

use super::{Case, Ceiling, Reason, Rule, Verdict};
use crate::records::{CodeCap, Permission, Taken};
use crate::regrowth::{Count, Seen, State};

/// The rule's name, for those who ask which rule decided.
pub const CODE_OF_PRACTICE: &str = "code of practice";

pub(super) struct CodeOfPractice;

impl Rule for CodeOfPractice {
    fn name(&self) -> &'static str {
        CODE_OF_PRACTICE
    }

    fn shuts_as(&self) -> Verdict {
        Verdict::Resting
    }

    fn rests_on_survey(&self) -> bool {
        true
    }

    fn ceiling(&self, case: &Case) -> Ceiling {
        let Some(cap) = &case.crop.code_cap else {
            return Ceiling::none(self.name(), Reason::NoCode);
        };
        if case.is_invasive() {
            return Ceiling::none(self.name(), Reason::CodeNotMeant);
        }
        if is_lifted(case) {
            return Ceiling::none(self.name(), Reason::CodeLifted(cap.value));
        }
        let (Some(state), Some(share)) = (&case.state, case.share()) else {
            return Ceiling::nothing(self.name(), Reason::NoCropToCap);
        };
        let fraction_left = (cap.value.fraction - taken_lately(case, cap.value, state)).max(0.0);
        let reason = Reason::Code(cap.value, cap.value.fraction - fraction_left);
        let slack = Count::slack(fraction_left, share.slack);
        let ripe = share.ripe * share.low;
        Ceiling::at_most(self.name(), slack * fraction_left * ripe, reason)
            .counted(Count::of(fraction_left).filter(|_| case.crop.countable))
    }

    fn opens(&self, case: &Case) -> Option<Date> {
        let useful = case.smallest_useful();
        let used_up = used_up_on(case).filter(|_| useful > 0.0);
        case.first_later_day_if(
            |day| used_up.is_none_or(|cut| cut < case.terms.comes_back_since(day)),
            |later| self.ceiling(later).allows(useful),
        )
    }
}

/// The day of the earliest of the last cuts that together used up the cap, however little they
/// weighed: until the stand has had time to come back since then nothing is left. `None` where
/// there are none, or where a permission may lift the cap.
fn used_up_on(case: &Case) -> Option<Date> {
    let cap = case.crop.code_cap.as_ref()?.value;
    let all = largest_visit(case, cap, case.state.as_ref()?);
    if case.site.permissions.iter().any(|fact| fact.record.lifts_code_cap) {
        return None;
    }
    let mut counted = 0.0;
    let cuts = case.history.between(case.terms.comes_back_since(case.day), case.day);
    cuts.iter().rev().find_map(|event| {
        counted += match event.seen {
            Seen::Cut { taken: Taken::All, amount, .. } if amount > 0.0 => all,
            Seen::Cut { taken: Taken::OneIn(n), amount, .. } if amount > 0.0 => 1.0 / f64::from(n),
            _ => 0.0,
        };
        (counted >= cap.fraction).then_some(event.day)
    })
}

/// Nobody took more than the cap by taking all that was allowed, nor more than a visit's part of
/// the largest share.
fn largest_visit(case: &Case, cap: CodeCap, state: &State) -> f64 {
    cap.fraction.min(state.largest_share(case.terms) * case.terms.visit_part)
}

/// The fraction of the stand that was cut since it last had time to come back, or is promised
/// until then. What was weighed is a part of what would stand without it.
fn taken_lately(case: &Case, cap: CodeCap, state: &State) -> f64 {
    let since = case.terms.comes_back_since(case.day);
    let all = largest_visit(case, cap, state);
    let cuts = case.history.between(since, case.day).iter().filter_map(|event| match event.seen {
        Seen::Cut { taken, amount, .. } => Some((taken, amount)),
        Seen::Clipped(amount) => Some((Taken::ByWeight, amount)),
        _ => None,
    });
    let kept = case.promises_kept(since).map(|promise| (promise.taken, promise.amount));
    let (mut counted, mut weighed) = (0.0, 0.0);
    for (taken, amount) in cuts.chain(kept).filter(|(_, amount)| *amount > 0.0) {
        match taken {
            Taken::All => counted += all,
            Taken::OneIn(n) => counted += 1.0 / f64::from(n),
            Taken::ByWeight => weighed += amount,
        }
    }
    match state.standing + weighed {
        stood if stood > 0.0 => counted + weighed / stood,
        _ => counted,
    }
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
