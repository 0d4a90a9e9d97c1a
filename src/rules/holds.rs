//! What other walks have set aside is not promised a second time.
//!
//! A cut today spends a share that refills by the day of a promised walk only in part. So the
//! room beside the promises is found by playing it: the most that may be cut now so that
//! every walk still finds, on its own day and by every other rule, what it was promised. Where
//! it would not even if nothing is cut, nothing more may be. A promise for a day on which the
//! patch will be shut whatever is cut holds nothing back. Caps of the site's permission count
//! the promises on all its patches of the crop.

use jiff::civil::Date;

use super::permission::room_beside_promises;
use super::{Case, Ceiling, Promise, RULES, Rule, Verdict, rule_on};
use crate::records::Taken;
use crate::regrowth::{Count, Event, History, Seen};
use crate::units::{is_over, spoken_day};

/// The rule's name, for those who ask which rule decided.
pub const HOLDS: &str = "holds";

pub(super) struct Held;

/// Halvings of the room: far finer than any scale in the field.
const HALVINGS: u32 = 32;
/// A promise that finds this part of itself is kept: the rounding of two ways to the same sum.
const KEPT: f64 = 1.0 - 1e-9;

impl Rule for Held {
    fn name(&self) -> &'static str {
        HOLDS
    }

    fn says(&self) -> &'static str {
        "no more than leaves every other planned walk what was set aside for it"
    }

    fn shuts_as(&self) -> Verdict {
        Verdict::Held
    }

    fn rests_on_survey(&self) -> bool {
        true
    }

    fn ceiling(&self, case: &Case) -> Ceiling {
        if case.promises.is_empty() && case.site_promises.is_empty() {
            return Ceiling::none(self.name(), "nothing is set aside for another walk");
        }
        let by_caps = room_beside_promises(case);
        let (by_share, count) = room_on_patch(case);
        match by_share.min(by_caps) {
            most if most.is_finite() => {
                Ceiling::at_most(self.name(), most, case.tell(|| reason(case))).counted(count)
            }
            _ => Ceiling::none(self.name(), case.tell(|| reason(case))),
        }
    }

    fn opens(&self, case: &Case) -> Option<Date> {
        let useful = case.smallest_useful();
        case.first_later_day(|later| self.ceiling(later).allows(useful))
    }
}

fn reason(case: &Case) -> String {
    let shown = |promise: &Promise| {
        format!(
            "{} for {} on {}",
            case.crop.show(promise.amount),
            promise.walk,
            spoken_day(promise.day)
        )
    };
    match case.promises {
        [] => "the site's cap is promised in part to other walks".to_owned(),
        [one] => format!("set aside: {}", shown(one)),
        [first, rest @ ..] => format!("set aside: {}, and {} more", shown(first), rest.len()),
    }
}

/// The most that may be cut here beside the promises, and the count that goes with it;
/// infinite where no rule sets a limit.
fn room_on_patch(case: &Case) -> (f64, Option<Count>) {
    let alone = Case { promises: &[], site_promises: &[], in_words: false, ..*case };
    let Some(limit) = rule_on(&alone).most else { return (f64::INFINITY, None) };
    if case.promises.is_empty() || limit <= 0.0 {
        return (limit, None);
    }
    let promises: Vec<Promise> =
        case.promises.iter().filter(|promise| is_open_to(promise, &alone)).cloned().collect();
    let leaves_theirs = |cut: f64| are_kept(&promises, &alone, cut, finds_all);
    if leaves_theirs(limit) {
        return (limit, None);
    }
    if !leaves_theirs(0.0) {
        return (0.0, None);
    }
    let (mut room, mut too_much) = (0.0, limit);
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(room, too_much);
        if leaves_theirs(middle) { room = middle } else { too_much = middle }
    }
    (room, count_for(case, room))
}

/// How much of what is seen comes to `room`.
fn count_for(case: &Case, room: f64) -> Option<Count> {
    let share = case.share().filter(|_| case.crop.countable)?;
    let part = room / share.most();
    if part.is_finite() { Count::of(share.fraction() * part.min(1.0)) } else { None }
}

/// Whether the patch is open on the promised day as far as neither cuts nor crop decide.
fn is_open_to(promise: &Promise, case: &Case) -> bool {
    let on_its_day = case.on(promise.day);
    let useful = case.smallest_useful();
    RULES
        .iter()
        .filter(|rule| shuts_whatever_is_cut(rule.shuts_as()))
        .all(|rule| rule.ceiling(&on_its_day).allows(useful))
}

fn shuts_whatever_is_cut(verdict: Verdict) -> bool {
    matches!(verdict, Verdict::Closed | Verdict::OutOfSeason | Verdict::NotKnown)
}

/// The promises that do not find their amounts on their days if nothing is cut before and all
/// are kept in turn. What a scale cannot tell of a day's baskets is found: a promise that takes all
/// there is but for rounding spends all of it, and leaves the others some grams less.
pub fn promises_not_kept(case: &Case) -> Vec<Promise> {
    let alone = Case { promises: &[], site_promises: &[], in_words: false, ..*case };
    let promises: Vec<Promise> =
        case.promises.iter().filter(|promise| is_open_to(promise, &alone)).cloned().collect();
    let (mut kept, mut not_kept) = (Vec::with_capacity(promises.len()), Vec::new());
    for promise in promises {
        kept.push(promise);
        if !are_kept(&kept, &alone, 0.0, |finds, amount| !is_over(amount, finds)) {
            not_kept.extend(kept.pop());
        }
    }
    not_kept
}

fn finds_all(finds: f64, amount: f64) -> bool {
    finds >= amount * KEPT
}

/// Whether each promised walk finds its amount on its day if `cut` goes today and the earlier
/// promises are kept; `is_kept` says so of what goes that day if it takes all it finds, and if it takes
/// its amount.
fn are_kept(
    promises: &[Promise],
    case: &Case,
    cut: f64,
    is_kept: impl Fn(f64, f64) -> bool,
) -> bool {
    let mut gone: Vec<Promise> = Vec::with_capacity(promises.len() + 1);
    if let Some(first) = promises.first().filter(|_| cut > 0.0) {
        let (walk, people) = (first.walk.clone(), case.people);
        gone.push(Promise { walk, day: case.day, amount: cut, taken: Taken::ByWeight, people });
    }
    promises.iter().all(|promise| {
        let history = history_with(case, &gone);
        let played = Case { history: &history, state: case.state_after(&gone), ..*case };
        let theirs = Case {
            people: promise.people.or(case.people),
            in_turns: true,
            method: None,
            ..played.on(promise.day)
        };
        let finds = rule_on(&theirs).most.unwrap_or(f64::INFINITY);
        let of_day = gone.iter().filter(|other| other.day == promise.day);
        let taken: f64 = of_day.map(|other| other.amount).sum();
        gone.push(promise.clone());
        is_kept(taken + finds, taken + promise.amount)
    })
}

fn history_with(case: &Case, kept: &[Promise]) -> History {
    let cuts = kept.iter().map(|promise| Event {
        day: promise.day,
        by: promise.walk.as_str().into(),
        seen: Seen::Cut { amount: promise.amount, taken: promise.taken, people: promise.people },
    });
    case.history.with(cuts)
}
