//! What other walks have set aside is not promised a second time.
//!
//! A cut today spends a share that refills by the day of a promised walk only in part. So the
//! room beside the promises is found by playing it: the most that may be cut now so that
//! every walk still finds, on its own day and by every other rule, what it was promised. Where
//! it would not even if nothing is cut, nothing more may be. Nobody knows who comes first on a day,
//! so each finds its amount as the last one; and the cut is played as it would be booked and by its
//! weight, so that what is promised is what is charged. A promise for a
//! day on which the patch will be shut whatever is cut holds nothing back. Caps of the site's permission count
//! the promises on all its patches of the crop.

use jiff::civil::Date;

use super::permission::room_beside_promises;
use super::{Case, Ceiling, Promise, RULES, Reason, Rule, Verdict, rule_on};
use crate::records::Taken;
use crate::regrowth::{Count, Event, History, Seen};
use crate::units::is_over;

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

    fn shuts_as(&self) -> Verdict {
        Verdict::Held
    }

    fn rests_on_survey(&self) -> bool {
        true
    }

    fn ceiling(&self, case: &Case) -> Ceiling {
        if case.promises_coming().is_empty() && case.site_promises.is_empty() {
            return Ceiling::none(self.name(), Reason::NothingHeld);
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

fn reason(case: &Case) -> Reason {
    match case.promises_coming() {
        [] => Reason::CapPromised,
        [first, rest @ ..] => {
            Reason::Held(case.crop.amount(first.amount), first.walk.clone(), first.day, rest.len())
        }
    }
}

/// The most that may be cut here beside the promises, and the count that goes with it;
/// infinite where no rule sets a limit.
fn room_on_patch(case: &Case) -> (f64, Option<Count>) {
    let alone = Case { promises: &[], site_promises: &[], in_words: false, ..*case };
    let by_others = rule_on(&alone);
    let Some(limit) = by_others.most else { return (f64::INFINITY, None) };
    if case.promises_coming().is_empty() || limit <= 0.0 {
        return (limit, None);
    }
    let coming = case.promises_coming().iter();
    let promises: Vec<Promise> =
        coming.filter(|promise| is_open_to(promise, &alone)).cloned().collect();
    let leaves_theirs = |cut: f64, booked: Taken| {
        let are_kept = |taken: Taken| are_kept(&alone, &beside(&promises, case, cut, taken));
        are_kept(booked) && (booked == Taken::ByWeight || are_kept(Taken::ByWeight))
    };
    if leaves_theirs(limit, by_others.all_taken()) {
        return (limit, None);
    }
    if !leaves_theirs(0.0, Taken::ByWeight) {
        return (0.0, None);
    }
    let (mut room, mut too_much) = (0.0, limit);
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(room, too_much);
        let booked = match count_for(case, middle).and_then(Count::one_in) {
            Some(n) => Taken::OneIn(n),
            None => Taken::ByWeight,
        };
        if leaves_theirs(middle, booked) { room = middle } else { too_much = middle }
    }
    (room, count_for(case, room))
}

/// The promises, and a cut of today as if it were promised to a walk of its own.
fn beside(promises: &[Promise], case: &Case, amount: f64, taken: Taken) -> Vec<Promise> {
    let own = |first: &Promise| {
        let walk = first.walk.clone();
        Promise { walk, day: case.day, amount, taken, people: case.people }
    };
    let own = promises.first().map(own).filter(|own| own.amount > 0.0);
    own.into_iter().chain(promises.iter().cloned()).collect()
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

/// The promises that do not find their amounts on their days, as far as a scale can tell, if nothing
/// is cut before and all others are kept.
pub fn promises_not_kept(case: &Case) -> Vec<Promise> {
    let alone = Case { promises: &[], site_promises: &[], in_words: false, ..*case };
    let coming = case.promises_coming().iter();
    let promises = coming.filter(|promise| is_open_to(promise, &alone));
    let (mut kept, mut not_kept) = (Vec::new(), Vec::new());
    for promise in promises {
        kept.push(promise.clone());
        let of_day = kept.partition_point(|other: &Promise| other.day < promise.day);
        let (gone, of_day) = kept.split_at(of_day);
        if !is_day_kept(&alone, gone, of_day, |finds, amount| !is_over(amount, finds)) {
            not_kept.extend(kept.pop());
        }
    }
    not_kept
}

/// Whether every promise finds its amount on its day; they are in the order of their days.
fn are_kept(case: &Case, promises: &[Promise]) -> bool {
    let finds_all = |finds: f64, amount: f64| finds >= amount * KEPT;
    let mut gone: Vec<Promise> = Vec::with_capacity(promises.len());
    promises.chunk_by(|one, other| one.day == other.day).all(|of_day| {
        let is_kept = is_day_kept(case, &gone, of_day, finds_all);
        gone.extend(most_spent(of_day.iter()));
        is_kept
    })
}

/// Whether each promise of a day finds its amount whoever comes first, once `gone` is cut before.
fn is_day_kept(
    case: &Case,
    gone: &[Promise],
    of_day: &[Promise],
    finds: impl Fn(f64, f64) -> bool,
) -> bool {
    (0..of_day.len()).all(|last| {
        let promise = &of_day[last];
        let others = of_day.iter().enumerate().filter(|(n, _)| *n != last);
        let mut gone = gone.to_vec();
        gone.extend(most_spent(others.map(|(_, other)| other)));
        let history = history_with(case, &gone);
        let played = Case { history: &history, state: case.state_after(&gone), ..*case };
        let theirs = Case {
            people: promise.people.or(case.people),
            in_turns: true,
            method: None,
            ..played.on(promise.day)
        };
        finds(rule_on(&theirs).lowest().unwrap_or(f64::INFINITY), promise.amount)
    })
}

/// What goes on one day, in the order that spends most of the share: those who take all that is
/// left of it before others have had some, and the heavy baskets before the crop is thinner.
fn most_spent<'p>(of_day: impl Iterator<Item = &'p Promise>) -> Vec<Promise> {
    let mut of_day: Vec<Promise> = of_day.cloned().collect();
    of_day.sort_by(|one, other| {
        let takes_all = |promise: &Promise| promise.taken == Taken::All;
        takes_all(other).cmp(&takes_all(one)).then(other.amount.total_cmp(&one.amount))
    });
    of_day
}

fn history_with(case: &Case, kept: &[Promise]) -> History {
    let cuts = kept.iter().map(|promise| Event {
        day: promise.day,
        by: promise.walk.as_str().into(),
        seen: Seen::Cut { amount: promise.amount, taken: promise.taken, people: promise.people },
    });
    case.history.with(cuts)
}
