//! The state in the making: what happens to a patch, taken in one event after another.

use std::borrow::Cow;

use jiff::civil::Date;

use super::season::Depth;
use super::{
    CutsMade, Event, Eyes, Growth, Recovering, RipeTold, Seen, Share, Sight, State, Terms,
};
use crate::estimate::Estimate;
use crate::records::Taken;

/// One patch under way, with the looks that only matter while its state is made.
#[derive(Clone, Debug)]
pub struct Play<'a> {
    terms: &'a Terms,
    growth: &'a Growth,
    state: Option<State>,
    sight: Sight,
    /// The same once looks are brought to one time of year; of no use for a crop without a
    /// season.
    sight_in_season: Sight,
    depth: Depth,
    gamma: f64,
    /// For a crop with a season: all that was taken in, so that a survey which changes how deep
    /// the season is changes what came before it.
    past: Cow<'a, [Event]>,
    last_glance: Option<Date>,
    before_surveys: CutBefore,
    /// What tests said before anyone surveyed; from then on the state knows.
    tested_before: Recovering,
    /// How much was ripe when somebody said so last.
    ripe: Option<RipeTold>,
}

/// What was cut in the crop year, as long as nobody has measured the patch.
#[derive(Clone, Copy, Debug, PartialEq)]
struct CutBefore {
    crop_year: Date,
    amount: f64,
    made: CutsMade,
}

impl<'a> Play<'a> {
    /// Before anything has happened.
    pub fn new(terms: &'a Terms, growth: &'a Growth) -> Self {
        let before_surveys = CutBefore { crop_year: Date::MIN, amount: 0.0, made: CutsMade::NONE };
        let sight = Sight::default();
        Self {
            terms,
            growth,
            state: None,
            sight_in_season: sight.clone(),
            sight,
            depth: Depth::default(),
            gamma: 1.0,
            past: Cow::default(),
            last_glance: None,
            before_surveys,
            tested_before: Recovering::UNTESTED,
            ripe: None,
        }
    }

    /// The state at the end of `day`, if nothing more happens till then; `None` before the
    /// first survey.
    pub fn state_on(&self, day: Date) -> Option<State> {
        self.state.map(|state| state.advanced(self.terms, self.growth, day))
    }

    /// What tests taken in so far say, whether anyone has surveyed or not.
    pub fn recovering(&self) -> Recovering {
        self.state.map_or(self.tested_before, |state| state.recovering)
    }

    /// How the patch looks against how it used to.
    pub fn sight(&self) -> &Sight {
        &self.sight
    }

    /// Lets a judgement from outside the patch leave no more than `most` of the share, until
    /// the end of `day`; the day is no earlier than all that was taken in.
    pub fn thin_at_most(&mut self, day: Date, most: f64) {
        self.state = self.state_on(day);
        if let Some(state) = &mut self.state {
            state.thin = state.thin.min(most);
        }
    }

    /// Takes in what happens next: later than all before, or on the same day in the order of a
    /// history. `eyes` is what is known of the observers by then.
    ///
    /// Before the first survey there is no state to change, but looks are remembered.
    pub fn take(&mut self, event: &Event, eyes: &Eyes) {
        let Some(curve) = self.terms.season else { return self.play(event, eyes) };
        self.past.to_mut().push(event.clone());
        self.depth.take(event, &curve);
        if self.depth.gamma() == self.gamma { self.play(event, eyes) } else { self.replay(eyes) }
    }

    /// All these events taken in, as if one after another.
    pub fn of(terms: &'a Terms, growth: &'a Growth, events: &'a [Event], eyes: &Eyes) -> Self {
        let mut play = Self::new(terms, growth);
        match terms.season {
            None => events.iter().for_each(|event| play.play(event, eyes)),
            // Played once, as deep as the season turns out to be, and not anew at each survey.
            Some(curve) => {
                (play.past, play.depth) = (events.into(), Depth::of(events, &curve));
                play.replay(eyes);
            }
        }
        play
    }

    /// How deep the season of the full crop is here, as a power of the published curve.
    pub fn season_depth(&self) -> f64 {
        self.gamma
    }

    /// Standard deviation of that power.
    pub fn season_depth_sd(&self) -> f64 {
        self.depth.sd()
    }

    /// Plays all that was taken in anew, with the season as deep as it is believed to be by now.
    fn replay(&mut self, eyes: &Eyes) {
        let past = std::mem::take(&mut self.past);
        let depth = std::mem::take(&mut self.depth);
        let mut anew = Self { gamma: depth.gamma(), ..Self::new(self.terms, self.growth) };
        past.iter().for_each(|event| anew.play(event, eyes));
        *self = Self { past, depth, ..anew };
    }

    fn play(&mut self, event: &Event, eyes: &Eyes) {
        self.state = self.state_on(event.day);
        match &event.seen {
            Seen::Disturbed => {
                if let Some(state) = &mut self.state {
                    state.disturbed();
                }
            }
            Seen::Ripe(part) => {
                let told = RipeTold { day: event.day, part: *part };
                self.ripe = Some(told);
                if let Some(state) = &mut self.state {
                    state.ripe = Some(told);
                }
            }
            Seen::Shrunk(part) => {
                if let Some(state) = &mut self.state {
                    state.shrunk(*part);
                }
            }
            Seen::Survey(estimate) => self.survey(event.day, *estimate),
            Seen::Glance(amount) => self.glance(event, *amount, eyes),
            Seen::Tested(test) => {
                let test = &test.without_season(self.gamma);
                match &mut self.state {
                    Some(state) => state.tested(self.terms, test),
                    None => {
                        self.tested_before = self.tested_before.after(self.terms, event.day, test);
                    }
                }
            }
            Seen::Cut { amount, taken, .. } => {
                let used = self.cut(event, *amount, *taken);
                if let Some(state) = &mut self.state {
                    state.visited(used);
                }
            }
            Seen::Clipped(amount) => {
                self.cut(event, *amount, Taken::ByWeight);
            }
        }
        if let Some(state) = &mut self.state {
            let is_cut = event.seen.is_cut();
            // Thin only if it is thinner than it used to be, and than the time of year explains.
            let sights = match self.terms.season {
                None => [&self.sight; 2],
                Some(_) => [&self.sight, &self.sight_in_season],
            };
            state.thin_tomorrow = sights[0].thin().max(sights[1].thin());
            let [plain, in_season] = sights.map(Sight::surveys_to_reopen);
            state.surveys_to_reopen = plain.min(in_season);
            state.thin =
                if is_cut { state.thin.min(state.thin_tomorrow) } else { state.thin_tomorrow };
        }
    }

    fn survey(&mut self, day: Date, estimate: Estimate) {
        match &mut self.state {
            Some(state) => {
                state.survey(estimate);
                if estimate.best > 0.0 {
                    self.sight.survey(estimate.best / state.mean_or_base(self.terms));
                    self.sight_in_season.survey(estimate.best / state.base);
                }
            }
            None => {
                let cut_before = self.before_surveys.until(self.terms.crop_year_start(day));
                let tests = self.tested_before;
                let gamma = self.gamma;
                let mut first =
                    State::first_of(self.terms, day, estimate, cut_before, tests, gamma);
                first.glanced = self.last_glance.is_some();
                first.cuts_made = self.before_surveys.made;
                first.ripe = self.ripe;
                self.state = Some(first);
            }
        }
    }

    /// Who judges what is ripe, and says on the same day how much that is, has judged all that will
    /// ripen.
    fn glance(&mut self, event: &Event, amount: f64, eyes: &Eyes) {
        let told = self.ripe.filter(|told| told.day == event.day);
        let amount = amount / told.map_or(1.0, |told| told.part);
        if let Some(state) = &mut self.state {
            state.glance(amount, eyes.bias(&event.by, event.day));
        }
        // A look is a look, also before anyone has measured.
        self.last_glance = Some(event.day);
        self.look(event, amount, true);
    }

    /// What the cut used, as a part of what was allowed.
    fn cut(&mut self, event: &Event, amount: f64, taken: Taken) -> f64 {
        let Some(state) = &mut self.state else {
            self.before_surveys.add(self.terms.crop_year_start(event.day), event.day, amount);
            return 0.0;
        };
        let share = Share::of(state, self.terms);
        let looked =
            seen_by_basket(amount, taken, &share).filter(|_| self.last_glance != Some(event.day));
        let used = state.cut(self.terms, amount, taken, &share);
        if let Some(seen) = looked {
            self.look(event, seen, false);
        }
        used
    }

    fn look(&mut self, event: &Event, seen: f64, by_eye: bool) {
        self.sight.look(&event.by, seen, by_eye);
        if let Some(curve) = self.terms.season {
            let log_season = self.gamma * curve.log_on(event.day);
            self.sight_in_season.look(&event.by, seen * (-log_season).exp(), by_eye);
        }
    }
}

impl CutBefore {
    /// Nothing is known of what was allowed then, so that each day with a knife counts as a cut.
    fn add(&mut self, crop_year: Date, day: Date, amount: f64) {
        let used = if amount > 0.0 { f64::INFINITY } else { 0.0 };
        self.made.add(crop_year, day, used);
        *self = Self { crop_year, amount: self.until(crop_year) + amount, ..*self };
    }

    /// Nothing, if the crop year is another by now.
    fn until(&self, crop_year: Date) -> f64 {
        if self.crop_year == crop_year { self.amount } else { 0.0 }
    }
}

/// A basket this near the kilo limit may have been stopped by it, or by a quota rounded down
/// from it.
const STOPPED_BY_WEIGHT: f64 = 0.95;

/// What must have stood there, if the party counted one in N and nothing else stopped it; in the
/// crop's measure.
///
/// A cut that says `1 in 20` is charged by that, but it is no look: it may be a walk's quota
/// worked back into a count, and then tells only what the book believed.
fn seen_by_basket(amount: f64, taken: Taken, share: &Share) -> Option<f64> {
    let fraction = share.fraction();
    let by_count = taken == Taken::All && amount < STOPPED_BY_WEIGHT * share.most();
    (by_count && amount > 0.0 && fraction > 0.0).then(|| amount / fraction)
}
