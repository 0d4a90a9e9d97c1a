//! The course of a patch: its history played through the model, day after day.

use jiff::ToSpan;
use jiff::civil::Date;

use super::{Event, Eyes, Growth, History, Play, State, Terms};

/// Everything that makes the state of one patch.
#[derive(Clone, Copy, Debug)]
pub struct Course<'a> {
    /// What the crop's habit sets.
    pub terms: &'a Terms,
    /// How quickly it grows through the year, where it stands.
    pub growth: &'a Growth,
    /// How far each observer is believed.
    pub eyes: &'a Eyes,
    /// What was seen and done.
    pub history: &'a History,
}

/// One day of a course.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayState {
    /// The day.
    pub day: Date,
    /// Before anything was cut that day; `None` until a first survey.
    pub before_cuts: Option<State>,
    /// At the end of the day.
    pub state: Option<State>,
    /// What was cut that day, in the crop's measure.
    pub cut: f64,
}

impl<'a> Course<'a> {
    /// The state at the end of `day`, from what happened till then; `None` before the first
    /// survey.
    pub fn state_on(&self, day: Date) -> Option<State> {
        self.play_until(day).state_on(day)
    }

    /// The patch with all that happened up to `day` taken in.
    pub fn play_until(&self, day: Date) -> Play<'a> {
        Play::of(self.terms, self.growth, self.history.until(day), self.eyes)
    }

    /// Every day from `from` to `to`, both included.
    pub fn days(&self, from: Date, to: Date) -> Vec<DayState> {
        match self.history.earlier() {
            Some((since, earlier)) if from < since => {
                let last = since.yesterday().unwrap_or(since);
                let mut days = Course { history: earlier, ..*self }.days(from, to.min(last));
                days.extend(self.days_of_one_ground(since, to));
                days
            }
            _ => self.days_of_one_ground(from, to),
        }
    }

    fn days_of_one_ground(&self, from: Date, to: Date) -> Vec<DayState> {
        let mut played = DayByDay::new(self.terms, self.growth, self.eyes);
        let days = from.series(1.day()).take_while(|day| *day <= to);
        days.map(|day| DayState {
            day,
            before_cuts: played.before_cuts_of(day, self.history),
            state: played.state_on(day, self.history),
            cut: self.history.cut_between(day, day),
        })
        .collect()
    }

    /// What was cut before `day` in its crop year.
    pub fn cut_earlier_in_crop_year(&self, day: Date) -> f64 {
        let earlier = day.yesterday().unwrap_or(day);
        self.history.cut_between(self.terms.crop_year_start(day), earlier)
    }
}

/// A history played once for days asked about in their order, which goes on for each of them from
/// the one before. In between it may take in events that count after all that were played. Days
/// before the ground changed last are played anew.
#[derive(Clone, Debug)]
pub struct DayByDay<'a> {
    terms: &'a Terms,
    growth: &'a Growth,
    eyes: &'a Eyes,
    play: Play<'a>,
    played: usize,
    /// The day asked about last, and the state before its cuts.
    morning: Option<(Date, Option<State>)>,
}

impl<'a> DayByDay<'a> {
    /// Before anything has happened.
    pub fn new(terms: &'a Terms, growth: &'a Growth, eyes: &'a Eyes) -> Self {
        Self { terms, growth, eyes, play: Play::new(terms, growth), played: 0, morning: None }
    }

    /// The state before anything was cut on `day`; `None` before the first survey.
    pub fn before_cuts_of(&mut self, day: Date, history: &History) -> Option<State> {
        if history.is_before_change(day) {
            return self.anew(history.morning_of(day), day);
        }
        if let Some((_, state)) = self.morning.filter(|(of, _)| *of == day) {
            return state;
        }
        self.take(history.morning_of(day));
        let state = self.play.state_on(day);
        self.morning = Some((day, state));
        state
    }

    /// The state at the end of `day`, from what is known of it by now; `None` before the first
    /// survey.
    pub fn state_on(&mut self, day: Date, history: &History) -> Option<State> {
        if history.is_before_change(day) {
            return self.anew(history.until(day), day);
        }
        // A day that is asked for its morning too has it from before its cuts.
        self.before_cuts_of(day, history);
        self.take(history.until(day));
        self.play.state_on(day)
    }

    fn anew(&self, events: &[Event], day: Date) -> Option<State> {
        Play::of(self.terms, self.growth, events, self.eyes).state_on(day)
    }

    fn take(&mut self, events: &[Event]) {
        for event in events.get(self.played..).unwrap_or_default() {
            self.play.take(event, self.eyes);
            self.played += 1;
        }
    }
}
