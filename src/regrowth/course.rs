//! The course of a patch: its history played through the model, day after day.

use jiff::ToSpan;
use jiff::civil::Date;

use super::sight::Looker;
use super::{Event, Eyes, Growth, History, Seen, Share, Sight, State, Terms};
use crate::estimate::Estimate;
use crate::records::Taken;

/// Everything that makes the state of one patch.
#[derive(Clone, Copy, Debug)]
pub struct Course<'a> {
    pub terms: &'a Terms,
    pub growth: &'a Growth,
    pub eyes: &'a Eyes,
    pub history: &'a History,
}

/// One day of a course.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayState {
    pub day: Date,
    /// Before anything was cut that day; `None` until a first survey.
    pub before_cuts: Option<State>,
    /// At the end of the day.
    pub state: Option<State>,
    /// What was cut that day, in the crop's measure.
    pub cut: f64,
}

/// The state in the making, with the looks that only matter while it is made.
struct Play<'a> {
    course: Course<'a>,
    state: Option<State>,
    sight: Sight,
    last_glance: Option<Date>,
}

impl<'a> Course<'a> {
    /// The state at the end of `day`, from what happened till then; `None` before the first
    /// survey.
    pub fn state_on(&self, day: Date) -> Option<State> {
        let mut play = Play::new(*self);
        for event in self.history.until(day) {
            play.take(event);
        }
        play.state_on(day)
    }

    /// Every day from `from` to `to`, both included.
    pub fn days(&self, from: Date, to: Date) -> Vec<DayState> {
        let mut play = Play::new(*self);
        let mut events = self.history.until(to).iter().peekable();
        while let Some(event) = events.next_if(|event| event.day < from) {
            play.take(event);
        }
        let days = from.series(1.day()).take_while(|day| *day <= to);
        days.map(|day| {
            let is_cut = |event: &Event| matches!(event.seen, Seen::Cut { .. });
            while let Some(event) = events.next_if(|event| event.day == day && !is_cut(event)) {
                play.take(event);
            }
            let before_cuts = play.state_on(day);
            while let Some(event) = events.next_if(|event| event.day == day) {
                play.take(event);
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

impl<'a> Play<'a> {
    fn new(course: Course<'a>) -> Self {
        Self { course, state: None, sight: Sight::default(), last_glance: None }
    }

    fn state_on(&self, day: Date) -> Option<State> {
        self.state.map(|state| state.advanced(self.course.terms, self.course.growth, day))
    }

    /// Before the first survey there is no state to change, but looks are remembered.
    fn take(&mut self, event: &Event) {
        self.state = self.state_on(event.day);
        match &event.seen {
            Seen::Survey(estimate) => self.survey(event.day, *estimate),
            Seen::Glance(amount) => self.glance(event, *amount),
            Seen::Cut { amount, taken, .. } => self.cut(event, *amount, *taken),
        }
        if let Some(state) = &mut self.state {
            let is_cut = matches!(event.seen, Seen::Cut { .. });
            state.thin_tomorrow = self.sight.thin();
            state.thin =
                if is_cut { state.thin.min(state.thin_tomorrow) } else { state.thin_tomorrow };
        }
    }

    fn survey(&mut self, day: Date, estimate: Estimate) {
        match &mut self.state {
            Some(state) => state.survey(estimate),
            None => {
                let cut_before = self.course.cut_earlier_in_crop_year(day);
                let mut first = State::first(self.course.terms, day, estimate, cut_before);
                first.glanced = self.last_glance.is_some();
                self.state = Some(first);
            }
        }
    }

    fn glance(&mut self, event: &Event, amount: f64) {
        if let Some(state) = &mut self.state {
            state.glance(amount, self.course.eyes.bias(&event.by, event.day));
        }
        // A look is a look, also before anyone has measured.
        self.last_glance = Some(event.day);
        self.sight.look(&Looker { by: event.by.clone(), by_basket: false }, amount);
    }

    fn cut(&mut self, event: &Event, amount: f64, taken: Taken) {
        let Some(state) = &mut self.state else { return };
        let share = Share::of(state, self.course.terms);
        if let Some(seen) = seen_by_basket(amount, taken, &share)
            && self.last_glance != Some(event.day)
        {
            self.sight.look(&Looker { by: event.by.clone(), by_basket: true }, seen);
        }
        state.cut(amount, taken, &share);
    }
}

/// What must have stood there, if the party counted one in N and the kilo limit did not stop
/// it; in the crop's measure.
fn seen_by_basket(amount: f64, taken: Taken, share: &Share) -> Option<f64> {
    let fraction = share.fraction();
    match taken {
        _ if amount <= 0.0 => None,
        Taken::All if fraction > 0.0 && amount < share.most() => Some(amount / fraction),
        Taken::OneIn(n) => Some(amount * f64::from(n)),
        Taken::All | Taken::ByWeight => None,
    }
}
