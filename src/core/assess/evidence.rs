//! What an answer rests on: which surveys and glances, whose eyes, and how sure it is.

use std::sync::Arc;

use jiff::civil::Date;

use super::Prepared;
use super::advice::{PatchAdvice, advise_on};
use super::comeback::{Comeback, comeback};
use super::decline::{Response, response, trend};
use super::fall::{Fall, fall};
use crate::crop::Trend;
use crate::regrowth::{Event, Seen, State};

/// Everything that was seen of one patch and still bears on its number.
#[derive(Clone, Debug, PartialEq)]
pub struct Evidence {
    /// `None` before the first survey.
    pub sureness: Option<Sureness>,
    /// Newest first.
    pub sightings: Vec<Sighting>,
    /// Of those whose glances are among the sightings, by name.
    pub eyes: Vec<Eye>,
    /// Whether it holds, gains or loses from year to year.
    pub trend: Trend,
    /// What a decline asks for.
    pub response: Option<Response>,
    /// How fast it comes back.
    pub comeback: Comeback,
    /// Why the limit fell, where nothing was cut.
    pub fall: Option<Fall>,
    /// What a survey would add, as `advise` has it.
    pub survey: Option<PatchAdvice>,
}

/// How sure the standing crop is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sureness {
    /// Sampling units of the last survey.
    pub n: usize,
    /// Of the last survey.
    pub age_days: i32,
    /// Relative standard error of the last survey, on its day.
    pub survey_error: f64,
    /// Glances after the last survey.
    pub glances_since: usize,
    /// Relative standard error of the standing crop by now.
    pub error_now: f64,
}

/// One survey or glance.
#[derive(Clone, Debug, PartialEq)]
pub struct Sighting {
    /// When.
    pub day: Date,
    /// How many days before the day asked about.
    pub age_days: i32,
    /// By whom.
    pub by: Arc<str>,
    /// By survey or by eye.
    pub how: How,
    /// As written down, in the crop's measure.
    pub amount: f64,
    /// Standard error as a part of the amount; of an eye, how much it errs.
    pub relative_error: f64,
    /// What it still has a part in.
    pub bears_on: BearsOn,
}

/// How something was seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum How {
    /// With so many sampling units.
    Survey {
        /// How many.
        n: usize,
    },
    /// What the amount is read as, once the observer's bias that day is taken off.
    Glance {
        /// In the crop's measure.
        read_as: f64,
    },
}

/// What a sighting still does for the answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BearsOn {
    /// The last survey sets the standing crop; it counts in the full crop too.
    StandingAndFull,
    /// An earlier survey counts in the full crop only.
    Full,
    /// A glance since the last survey has moved the standing crop.
    Standing,
    /// An earlier glance at a leaf patch says how it used to look.
    Looks,
}

/// How one observer's eye errs on this crop.
#[derive(Clone, Debug, PartialEq)]
pub struct Eye {
    /// By name.
    pub observer: Arc<str>,
    /// What the eye sees too much, as a part: 0.12 for 12 % over.
    pub bias: f64,
    /// Visits with both a glance and a survey, on any patch of the crop.
    pub visits: usize,
}

/// What is known of a patch on a day, by what was recorded up to it.
pub fn evidence(patch: &Prepared, day: Date) -> Evidence {
    let sightings = sightings(patch, day);
    let trend = trend(patch, day);
    Evidence {
        sureness: sureness(patch, &sightings, day),
        eyes: eyes(patch, &sightings, day),
        response: response(patch, &trend),
        comeback: comeback(patch, day),
        fall: fall(patch, day),
        survey: advise_on(patch, day),
        sightings,
        trend,
    }
}

fn sureness(patch: &Prepared, sightings: &[Sighting], day: Date) -> Option<Sureness> {
    let state = patch.course().state_on(day)?;
    let survey = state.last_survey;
    let moved = |sighting: &&Sighting| sighting.bears_on == BearsOn::Standing;
    Some(Sureness {
        n: survey.estimate.n,
        age_days: days_between(survey.day, day),
        survey_error: survey.estimate.relative_standard_error(),
        glances_since: sightings.iter().filter(moved).count(),
        error_now: relative_error(state.log_variance),
    })
}

/// What was seen before the first survey made no number, and is left out.
fn sightings(patch: &Prepared, day: Date) -> Vec<Sighting> {
    let events = patch.history.until(day);
    let is_survey = |event: &Event| matches!(event.seen, Seen::Survey(_));
    let first = events.iter().position(is_survey);
    let last = events.iter().rposition(is_survey);
    let (Some(first), Some(last)) = (first, last) else { return Vec::new() };
    let counting = events.iter().enumerate().skip(first).rev();
    counting
        .filter_map(|(place, event)| {
            let sighting = |how, amount, relative_error, bears_on| Sighting {
                day: event.day,
                age_days: days_between(event.day, day),
                by: event.by.clone(),
                how,
                amount,
                relative_error,
                bears_on,
            };
            match event.seen {
                Seen::Survey(found) => {
                    let bears_on =
                        if place == last { BearsOn::StandingAndFull } else { BearsOn::Full };
                    let error = found.relative_standard_error();
                    Some(sighting(How::Survey { n: found.n }, found.best, error, bears_on))
                }
                Seen::Glance(amount) => {
                    let bears_on = match place > last {
                        true => BearsOn::Standing,
                        false if patch.terms.is_leaf() => BearsOn::Looks,
                        false => return None,
                    };
                    let read_as = amount * (-patch.eyes.bias(&event.by, event.day)).exp();
                    let error = relative_error(State::GLANCE_LOG_VARIANCE);
                    Some(sighting(How::Glance { read_as }, amount, error, bears_on))
                }
                Seen::Disturbed
                | Seen::Ripe(_)
                | Seen::Shrunk(_)
                | Seen::Tested(_)
                | Seen::Clipped(_)
                | Seen::Cut { .. } => None,
            }
        })
        .collect()
}

fn eyes(patch: &Prepared, sightings: &[Sighting], day: Date) -> Vec<Eye> {
    let glances = sightings.iter().filter(|sighting| matches!(sighting.how, How::Glance { .. }));
    let mut observers: Vec<&Arc<str>> = glances.map(|sighting| &sighting.by).collect();
    observers.sort_unstable();
    observers.dedup();
    let eye = |observer: &Arc<str>| Eye {
        observer: observer.clone(),
        bias: patch.eyes.bias(observer, day).exp_m1(),
        visits: patch.eyes.pairs(observer, day),
    };
    observers.into_iter().map(eye).collect()
}

/// The coefficient of variation of a log-normal value.
fn relative_error(log_variance: f64) -> f64 {
    log_variance.exp_m1().sqrt()
}

fn days_between(from: Date, to: Date) -> i32 {
    (to - from).get_days()
}
