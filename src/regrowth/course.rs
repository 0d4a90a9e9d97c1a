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
        let mut play = Play::new(self.terms, self.growth);
        let mut events = self.history.until(to).iter().peekable();
        while let Some(event) = events.next_if(|event| event.day < from) {
            play.take(event, self.eyes);
        }
        let days = from.series(1.day()).take_while(|day| *day <= to);
        days.map(|day| {
            let is_cut = |event: &Event| event.seen.is_cut();
            while let Some(event) = events.next_if(|event| event.day == day && !is_cut(event)) {
                play.take(event, self.eyes);
            }
            let before_cuts = play.state_on(day);
            while let Some(event) = events.next_if(|event| event.day == day) {
                play.take(event, self.eyes);
            }
            DayState {
                day,
                before_cuts,
                state: play.state_on(day),
                cut: self.history.cut_between(day, day),
            }
        })
        .collect()
    }

    /// What was cut before `day` in its crop year.
    pub fn cut_earlier_in_crop_year(&self, day: Date) -> f64 {
        let earlier = day.yesterday().unwrap_or(day);
        self.history.cut_between(self.terms.crop_year_start(day), earlier)
    }
}
