//! A patch under the book's own rules, led on from day to day.

use std::sync::Arc;

use jiff::civil::Date;

use crate::assess::Prepared;
use crate::estimate::Estimate;
use crate::records::{Purpose, Taken};
use crate::regrowth::{Event, Eyes, History, Play, RecoveryTest, Seen, Sight, State};
use crate::rules::{Case, Promise, Ruling, rule_on};

/// What the book knows of a patch, as far as it is written.
#[derive(Clone, Debug)]
pub struct Tended<'a> {
    /// The patch on the day the book was opened; all but its state stays as it was.
    case: Case<'a>,
    play: Play<'a>,
    history: History,
    /// Who looks, surveys and cuts from now on.
    by: Arc<str>,
}

/// Who comes, and what bears on all patches that they go to.
#[derive(Clone, Copy, Debug)]
pub struct Visit<'b> {
    /// When.
    pub day: Date,
    /// `None` counts as one.
    pub people: Option<u32>,
    /// They come in turns, no more at once than the ground has room for.
    pub in_turns: bool,
    /// What for; `None` for whatever there is a permission for.
    pub purpose: Option<Purpose>,
    /// What is set aside on the patch for others, in the order of their days.
    pub promises: &'b [Promise],
    /// The same of the crop on the whole site: day, and amount in the crop's measure.
    pub site_promises: &'b [(Date, f64)],
}

impl Visit<'_> {
    /// One person, on ground that is promised to nobody.
    pub fn on(day: Date) -> Self {
        Self {
            day,
            people: None,
            in_turns: false,
            purpose: None,
            promises: &[],
            site_promises: &[],
        }
    }
}

impl<'a> Tended<'a> {
    /// The patch as the book has it on `day`.
    pub fn new(patch: &'a Prepared, day: Date, by: Arc<str>) -> Self {
        Self {
            case: Case { in_words: false, ..patch.case(day, None, None) },
            play: patch.course().play_until(day),
            history: patch.history.clone(),
            by,
        }
    }

    /// Who looks after it, and whose eyes glance.
    pub fn by(&self) -> &Arc<str> {
        &self.by
    }

    /// What the rules are asked of it.
    pub fn case(&self) -> &Case<'a> {
        &self.case
    }

    /// What is believed of it at the end of a day; `None` before a first survey.
    pub fn state_on(&self, day: Date) -> Option<State> {
        self.play.state_on(day)
    }

    /// Its history, as it is played.
    pub fn play(&self) -> &Play<'a> {
        &self.play
    }

    /// What its looks say, of the same eyes.
    pub fn sight(&self) -> &Sight {
        self.play.sight()
    }

    /// As for a [`Play`].
    pub fn thin_at_most(&mut self, day: Date, most: f64) {
        self.play.thin_at_most(day, most);
    }

    /// What all the rules say; `site_cuts` are those of the crop on the whole site.
    pub fn ruling(&self, visit: &Visit, site_cuts: &[(Date, f64)]) -> Ruling {
        let Visit { day, people, in_turns, purpose, promises, site_promises } = *visit;
        let state = self.play.state_on(day);
        let history = &self.history;
        rule_on(&Case {
            day,
            people,
            in_turns,
            purpose,
            state,
            history,
            site_cuts,
            promises,
            site_promises,
            ..self.case
        })
    }

    /// Writes a survey down.
    pub fn survey(&mut self, day: Date, estimate: Estimate, eyes: &Eyes) {
        self.write(day, Seen::Survey(estimate), eyes);
    }

    /// Writes a recovery test down, on the day of its second cut.
    pub fn tested(&mut self, day: Date, test: RecoveryTest, eyes: &Eyes) {
        self.write(day, Seen::Tested(test), eyes);
    }

    /// Writes down how much is ripe of what will ripen, more than 0 and at most 1.
    pub fn ripe(&mut self, day: Date, part: f64, eyes: &Eyes) {
        self.write(day, Seen::Ripe(part), eyes);
    }

    /// Writes a glance down, in the crop's measure.
    pub fn glance(&mut self, day: Date, amount: f64, eyes: &Eyes) {
        self.write(day, Seen::Glance(amount), eyes);
    }

    /// Writes a cut down, in the crop's measure.
    pub fn cut(&mut self, visit: &Visit, amount: f64, taken: Taken, eyes: &Eyes) {
        self.write(visit.day, Seen::Cut { amount, taken, people: visit.people }, eyes);
    }

    fn write(&mut self, day: Date, seen: Seen, eyes: &Eyes) {
        let event = Event { day, by: self.by.clone(), seen };
        self.play.take(&event, eyes);
        self.history.add(event);
    }
}
