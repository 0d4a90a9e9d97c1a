//! When a shut patch opens, and when an open one shuts.

use jiff::civil::Date;

use crate::regrowth::State;
use crate::rules::{Case, HOLDS, RULES, Rule, Ruling, SURVEY, Verdict, room_beside_promises};

/// The first day on which a shut patch may be cut, if nothing happens till then.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Opening {
    /// Which day.
    pub day: Date,
    /// No survey will be believed by then: one must be made first.
    pub needs_survey: bool,
    /// No permission is known that holds then: one must be asked for.
    pub needs_permission: bool,
    /// The rule that the day waits for last.
    pub waits_for: &'static str,
}

/// The last day on which an open patch stays open, and the rule that ends it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Closing {
    /// Which day.
    pub day: Date,
    /// As answers tell it.
    pub rule: &'static str,
}

/// What a day to come is expected to allow, if nothing happens till then but what is promised.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Outlook {
    /// Open, also where that needs a survey or a permission first.
    pub verdict: Verdict,
    /// In the crop's measure, once what it needs is there; `None` for no upper limit, or where
    /// nothing is known that could set one.
    pub most: Option<f64>,
    pub needs_survey: bool,
    pub needs_permission: bool,
    pub state: Option<State>,
    /// What the permission leaves of the crop on the site; infinite where one must be asked for.
    pub room_on_site: f64,
}

/// The outlook of a later day than the case's own.
pub(super) fn outlook(case: &Case, day: Date) -> Outlook {
    let later = Case { in_words: false, ..*case }.on(day);
    let useful = later.smallest_useful();
    let ceilings = RULES.map(|rule| (rule, rule.ceiling(&later)));
    let shut_by: Vec<&dyn Rule> =
        ceilings.iter().filter(|(_, it)| !it.allows(useful)).map(|(rule, _)| *rule).collect();
    let needs_survey = is_shut_by(&shut_by, SURVEY) && later.contested.is_none();
    let needs_permission = needs_new_permission(&shut_by, &later);
    let is_unknown = needs_survey && later.state.is_none();
    let is_left_out = |rule: &dyn Rule| {
        needs_survey && rule.name() == SURVEY
            || is_unknown && rule.rests_on_survey()
            || needs_permission && rests_on_permission(rule)
    };
    let counting = ceilings.iter().filter(|(rule, _)| !is_left_out(*rule));
    let limits = counting.filter_map(|(rule, ceiling)| Some((*rule, ceiling.most?)));
    let (verdict, most) = match limits.min_by(|a, b| a.1.total_cmp(&b.1)) {
        Some((rule, most)) if most < useful => (rule.shuts_as(), Some(0.0)),
        lowest => (Verdict::Open, lowest.map(|(_, most)| most).filter(|_| !is_unknown)),
    };
    let room = if needs_permission { f64::INFINITY } else { room_beside_promises(&later) };
    Outlook {
        verdict,
        most,
        needs_survey,
        needs_permission,
        state: later.state,
        room_on_site: room,
    }
}

/// Opening days may push each other on; this many times at most.
const MOST_STEPS: usize = 24;

/// `None` where no day is known: nothing but a survey, a permission or a person's decision
/// can open the patch. The ruling is that of the case.
pub(super) fn opening(case: &Case, ruling: &Ruling) -> Option<Opening> {
    let useful = case.smallest_useful();
    // Nobody reads why a later day is shut.
    let case = &Case { in_words: false, ..*case };
    let mut later = *case;
    let ruled = RULES.into_iter().zip(&ruling.ceilings);
    let shut = ruled.filter(|(_, ceiling)| !ceiling.allows(useful));
    let mut shut_by: Vec<&dyn Rule> = shut.map(|(rule, _)| rule).collect();
    let mut waits_for = "";
    for _ in 0..MOST_STEPS {
        let needs_survey = is_shut_by(&shut_by, SURVEY);
        let needs_permission = later.day > case.day && needs_new_permission(&shut_by, &later);
        if needs_permission {
            shut_by.retain(|rule| !rests_on_permission(*rule));
        }
        let (mut on_survey, others): (Vec<_>, Vec<_>) =
            shut_by.into_iter().partition(|rule| rule.rests_on_survey());
        if needs_survey {
            on_survey.retain(|rule| rule.outlasts_survey(&later));
        }
        if others.is_empty() && on_survey.is_empty() {
            let opening = Opening { day: later.day, needs_survey, needs_permission, waits_for };
            return (later.day > case.day).then_some(opening);
        }
        let waiting_for = if others.is_empty() { on_survey } else { others };
        let mut day = later.day;
        for rule in waiting_for {
            let opens = match needs_survey && rule.rests_on_survey() {
                true => later.first_later_day(|case| !rule.outlasts_survey(case))?,
                false => rule.opens(&later)?,
            };
            if opens > day {
                (day, waits_for) = (opens, rule.name());
            }
        }
        if day == later.day {
            return None;
        }
        later = case.on(day);
        let is_shut = |rule: &&dyn Rule| !rule.ceiling(&later).allows(useful);
        shut_by = RULES.into_iter().filter(is_shut).collect();
    }
    None
}

/// Of a cap that no permission sets nothing can be left beside promises.
fn rests_on_permission(rule: &dyn Rule) -> bool {
    rule.shuts_as() == Verdict::NoPermission || rule.name() == HOLDS
}

fn is_shut_by(shut_by: &[&dyn Rule], name: &str) -> bool {
    shut_by.iter().any(|rule| rule.name() == name)
}

/// Whether a permission is lacking that no recorded one will bring.
fn needs_new_permission(shut_by: &[&dyn Rule], later: &Case) -> bool {
    let permission = shut_by.iter().find(|rule| rule.shuts_as() == Verdict::NoPermission);
    permission.is_some_and(|rule| rule.opens(later).is_none())
}

pub(super) fn closing(case: &Case) -> Option<Closing> {
    let case = &Case { in_words: false, ..*case };
    let closings = RULES
        .iter()
        .filter_map(|rule| Some(Closing { day: rule.closes(case)?, rule: rule.name() }));
    closings.min_by_key(|closing| closing.day)
}
