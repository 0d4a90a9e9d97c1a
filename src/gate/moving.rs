//! A walk on another day, and what is set aside for it.

use super::delivery::Because;
use super::gatekeeper::Gate;
use super::turned::Turned;
use crate::assess::{Asker, Prepared, assess_case, prepare_for};
use crate::records::{Fact, Hold, Ledger, Walk};
use crate::rules::Case;
use crate::units::{is_over, spoken_day};

/// Every promise to the walk with what it is on the walk's new day.
///
/// # Errors
/// Those that no longer fit: then the walk stays where it is.
pub(super) fn moved_holds(
    was: &Walk,
    is: &Walk,
    ledger: &Ledger,
    gate: &Gate,
    because: Because,
) -> Result<Vec<(Fact<Hold>, Hold)>, Turned> {
    let holds = ledger.holds_of(&was.name);
    if was.day == is.day || holds.is_empty() {
        return Ok(Vec::new());
    }
    let today = because.recorded_on.unwrap_or(gate.today).min(is.day);
    let asker = Asker { today, walk: Some(&was.name) };
    let prepared = prepare_for(ledger, gate.catalogue, is.day, asker)?;
    let unfit: Vec<String> =
        holds.iter().filter_map(|hold| misfit(&hold.record, is, &prepared)).collect();
    if !unfit.is_empty() {
        return Err(Turned::Unfit(format!(
            "`{}` stays on {}, since not all that is set aside for it fits {}:\n  - {}\n  give it \
             up with `stintbook walk cancel`, or choose another day (nothing was recorded)",
            was.name,
            spoken_day(was.day),
            spoken_day(is.day),
            unfit.join("\n  - ")
        )));
    }
    let moved = |hold: &Fact<Hold>| (hold.clone(), Hold { day: is.day, ..hold.record.clone() });
    Ok(holds.into_iter().map(moved).collect())
}

/// Why the promise cannot be kept on that day, if it cannot.
fn misfit(hold: &Hold, is: &Walk, prepared: &[Prepared]) -> Option<String> {
    let patch = prepared.iter().find(|found| found.facts.patch.record.name == hold.patch)?;
    let case = Case { purpose: Some(is.purpose()), ..patch.case(is.day, hold.people, None) };
    let answer = assess_case(patch, &case);
    let most = answer.ruling.most.filter(|most| is_over(hold.amount.value, *most))?;
    let show = |amount| answer.crop.show(amount);
    let (patch, promised) = (&hold.patch, show(hold.amount.value));
    Some(if answer.is_open() {
        format!("{patch}: {promised} is set aside, and {} may go that day", show(most))
    } else {
        format!("{patch}: {promised} is set aside, and it is {} that day", answer.ruling.verdict)
    })
}
