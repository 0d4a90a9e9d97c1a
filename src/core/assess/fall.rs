//! A limit that fell though nothing was cut: which rule took it, and what would bring it back.

use std::sync::Arc;

use jiff::ToSpan;
use jiff::civil::Date;

use super::Prepared;
use crate::regrowth::{Event, Seen, Share};
use crate::rules::{Case, rule_on};

/// How far back a larger limit is looked for.
const BACK_DAYS: i64 = 28;
/// A limit of this part of what it was has fallen.
const FALLEN: f64 = 0.8;

/// What might go then, and may not now.
#[derive(Clone, Debug, PartialEq)]
pub struct Fall {
    /// The last day of the larger limit.
    pub day: Date,
    /// In the crop's measure.
    pub was: f64,
    /// In the crop's measure.
    pub now: f64,
    /// The rule that decides now.
    pub rule: &'static str,
    /// What shrank.
    pub cause: Cause,
    /// What was last seen in between, if anything was.
    pub seen: Option<LastSeen>,
}

/// A survey or glance between the two days.
#[derive(Clone, Debug, PartialEq)]
pub struct LastSeen {
    /// When.
    pub day: Date,
    /// By whom.
    pub by: Arc<str>,
    /// `survey` or `glance`.
    pub kind: &'static str,
}

/// What of the limit shrank most.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cause {
    /// To the same eyes it looks thinner; so many surveys that find the full crop reopen it,
    /// where it is shut.
    LooksThinner {
        /// 0 where it is not shut.
        surveys_to_reopen: u32,
    },
    /// Less stands than 80 % of what its surveys found; the day on which it will, if it is known.
    BelowUsual {
        /// What must stand, in the crop's measure.
        enough: f64,
        /// The day on which it will.
        by: Option<Date>,
    },
    /// It stands on other ground since that day.
    DrawnAnew {
        /// That day.
        since: Date,
    },
    /// Less is believed to stand, by the season of the full crop: what part of what it did then.
    Season {
        /// Under 1.
        part: f64,
    },
    /// Less is believed to stand.
    StandsLower,
    /// As much is believed to stand, with more doubt.
    Doubt,
    /// Somebody glanced at it for the first time, so that the weight limit stands closer to what
    /// is believed.
    Glanced,
    /// The rule that decides is none that goes by the crop.
    Rule,
}

/// `None` where the limit did not fall by much, or something was cut since it was larger.
pub(super) fn fall(patch: &Prepared, day: Date) -> Option<Fall> {
    let case = Case { in_words: false, ..patch.case(day, None, None) };
    if case.is_invasive() || !patch.is_kept_on(day) {
        return None;
    }
    let ruling = rule_on(&case);
    let now = ruling.most.unwrap_or(0.0);
    let last_cut = patch.history.until(day).iter().rev().find_map(|event| match event.seen {
        Seen::Cut { amount, .. } | Seen::Clipped(amount) if amount > 0.0 => Some(event.day),
        _ => None,
    });
    let mut before: Option<(Date, f64)> = None;
    for back in 1..=BACK_DAYS {
        let then = day.checked_sub(back.days()).ok()?;
        if last_cut.is_some_and(|cut| then < cut) {
            break;
        }
        let most = limit(patch, then);
        // Rounding is no fall: the last day of what was largest.
        if most > before.map_or(0.0, |(_, most)| most) * 1.001 {
            before = Some((then, most));
        }
    }
    let (then, was) = before?;
    if now >= FALLEN * was || was < case.smallest_useful() {
        return None;
    }
    Some(Fall {
        day: then,
        was,
        now,
        rule: ruling.binding_rule()?,
        cause: cause(patch, &case, then, ruling.binding_rule()?),
        seen: last_seen(patch, then, day),
    })
}

fn limit(patch: &Prepared, day: Date) -> f64 {
    rule_on(&Case { in_words: false, ..patch.case(day, None, None) }).most.unwrap_or(0.0)
}

fn cause(patch: &Prepared, now: &Case, then: Date, rule: &str) -> Cause {
    const BY_SHARE: &str = crate::rules::REFILLING_SHARE;
    let by_crop = [BY_SHARE, crate::rules::CODE_OF_PRACTICE, "reserve", "leave standing"];
    let then = patch.case(then, None, None);
    let both = now.state.zip(now.share()).zip(then.state.zip(then.share()));
    let (true, Some(((state, share), (state_then, share_then)))) = (by_crop.contains(&rule), both)
    else {
        return Cause::Rule;
    };
    if let Some((since, _)) = patch.history.earlier().filter(|(since, _)| *since > then.day) {
        return Cause::DrawnAnew { since };
    }
    let part = |now: f64, then: f64| if then > 0.0 { now / then } else { 1.0 };
    let kept = |share: &Share, standing: f64| part(share.low, standing);
    let by_share = rule == BY_SHARE;
    let thinned = if by_share { share.taper.min(share.thin) } else { 1.0 };
    let thinned_then = if by_share { share_then.taper.min(share_then.thin) } else { 1.0 };
    let looks = match share.thin <= share.taper {
        true => Cause::LooksThinner { surveys_to_reopen: state.surveys_to_reopen },
        false => Cause::BelowUsual {
            enough: 0.8 * state.reserve_base(&patch.terms),
            by: now.first_later_day(|later| later.share().is_some_and(|share| share.taper >= 1.0)),
        },
    };
    let season = part(state.season_part(), state_then.season_part());
    let parts = [
        (part(thinned, thinned_then), looks),
        (season, Cause::Season { part: season }),
        (part(state.standing / season, state_then.standing), Cause::StandsLower),
        (part(kept(&share, state.standing), kept(&share_then, state_then.standing)), Cause::Doubt),
        (part(share.slack, share_then.slack), Cause::Glanced),
    ];
    let least = parts.into_iter().min_by(|a, b| a.0.total_cmp(&b.0));
    least.map_or(Cause::Rule, |(_, cause)| cause)
}

fn last_seen(patch: &Prepared, after: Date, until: Date) -> Option<LastSeen> {
    let between = patch.history.until(until).iter().rev().take_while(|event| event.day > after);
    let seen = |event: &Event| {
        let kind = match event.seen {
            Seen::Survey(_) => "survey",
            Seen::Glance(_) => "glance",
            Seen::Tested(_)
            | Seen::Clipped(_)
            | Seen::Cut { .. }
            | Seen::Disturbed
            | Seen::Ripe(_)
            | Seen::Shrunk(_) => return None,
        };
        Some(LastSeen { day: event.day, by: event.by.clone(), kind })
    };
    between.filter_map(seen).next()
}
