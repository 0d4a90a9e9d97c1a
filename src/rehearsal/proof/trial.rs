//! One hidden patch, visited week after week in one way.

use std::ops::Range;
use std::sync::Arc;

use jiff::ToSpan;
use jiff::civil::Date;

use super::hidden::Hidden;
use super::plot::FIRST_DAY;
use super::{Company, Way};
use crate::assess::Prepared;
use crate::estimate::Estimate;
use crate::records::Habit;
use crate::regrowth::{Eyes, Growth, Sight};
use crate::rehearsal::{Draws, Eye, EyeErrors, Nature, Quadrats, Tended, Visit};

const QUADRAT_CV: Range<f64> = 0.5..1.2;
const QUADRATS: [usize; 3] = [5, 10, 20];

/// What is the same for every patch of a cell.
#[derive(Clone, Debug)]
pub struct World {
    pub nature: Nature,
    /// How the crop really grows through the year.
    pub growth: Growth,
    pub counting: EyeErrors,
    pub glancing: EyeErrors,
    /// The largest part of a basket that a party keeps to itself.
    pub unreported: f64,
    /// The part of the visits that nobody writes down at all.
    pub unwritten: f64,
    /// What every survey is multiplied by.
    pub survey_factor: f64,
    pub parties_a_week: u32,
    /// What stands at first, as a part of what the ground carries.
    pub at_first: Range<f64>,
    /// As for a [`Stand`](crate::rehearsal::Stand).
    pub slow_from_few: f64,
    pub years: u32,
    pub company: Company,
}

/// The streams of chance of one patch.
mod stream {
    pub const TRUTH: u64 = 1;
    pub const SURVEYS: u64 = 2;
    pub const COUNTS: u64 = 3;
    pub const GLANCES: u64 = 4;
    pub const REPORTS: u64 = 5;
}

/// Those who come, and how they err.
#[derive(Clone, Debug)]
struct Party {
    counting: Eye,
    counts: Draws,
    glancing: Eye,
    glances: Draws,
    unreported: f64,
    unwritten: f64,
    reports: Draws,
}

/// Who surveys, how, and when next.
#[derive(Clone, Debug)]
struct Surveyor {
    quadrats: Quadrats,
    every_days: Range<f64>,
    next: Date,
    draws: Draws,
}

/// The patch, who comes, and what they make of it.
pub(super) struct Trial<'a> {
    way: Way,
    book: Tended<'a>,
    eyes: Eyes,
    by: Arc<str>,
    pub hidden: Hidden,
    party: Party,
    surveyor: Surveyor,
    /// By a rule of thumb that rests the patch.
    rested_from: Date,
}

impl Party {
    fn new(world: &World, seed: u64, number: u64) -> Self {
        let stream = |purpose| Draws::stream(seed, number, purpose);
        let mut reports = stream(stream::REPORTS);
        // The same person counts and glances: one bias.
        let (counting, glancing) = (
            world.counting.eye(&mut stream(stream::COUNTS)),
            world.glancing.eye(&mut stream(stream::COUNTS)),
        );
        let mut counts = stream(stream::COUNTS);
        counts.normal();
        Self {
            counting,
            counts,
            glancing,
            glances: stream(stream::GLANCES),
            unreported: reports.uniform(0.0..world.unreported),
            unwritten: world.unwritten,
            reports,
        }
    }
}

impl Surveyor {
    fn new(world: &World, habit: Habit, mut draws: Draws) -> Self {
        let n = QUADRATS[draws.uniform(0.0..QUADRATS.len() as f64) as usize];
        let cv = draws.uniform(QUADRAT_CV);
        let quadrats = Quadrats { n, cv, factor: world.survey_factor };
        let every_days = match habit {
            Habit::FastLeaf | Habit::SlowLeaf => 30.0..180.0,
            Habit::OnceAYear | Habit::Slow => 365.0..1095.0,
        };
        Self { quadrats, every_days, next: FIRST_DAY, draws }
    }

    fn plan_next(&mut self, day: Date) {
        let days = self.draws.uniform(self.every_days.clone()) as i64;
        self.next = day.checked_add(days.days()).unwrap_or(Date::MAX);
    }
}

impl<'a> Trial<'a> {
    pub fn new(world: &World, patch: &'a Prepared, way: Way, seed: u64, number: u64) -> Self {
        let by: Arc<str> = "party".into();
        let truth = Draws::stream(seed, number, stream::TRUTH);
        let surveys = Draws::stream(seed, number, stream::SURVEYS);
        Self {
            way,
            book: Tended::new(patch, FIRST_DAY, by.clone()),
            eyes: Eyes::default(),
            by,
            hidden: Hidden::new(world, patch.terms.rate_per_day, truth),
            party: Party::new(world, seed, number),
            surveyor: Surveyor::new(world, patch.crop().habit, surveys),
            rested_from: FIRST_DAY,
        }
    }

    /// What the party writes down before it cuts.
    pub fn look(&mut self, day: Date) {
        let Way::Book { glances } = self.way else { return };
        let (standing, days) = (self.hidden.stand.standing, days_since_first(day));
        let glanced =
            glances.then(|| standing * self.party.glancing.errs(&mut self.party.glances, days));
        let surveyed = self.survey_if_due(day);
        if let (Some(glanced), Some(surveyed)) = (glanced, surveyed) {
            self.eyes.learn(&self.by, day, glanced, surveyed.best);
        }
        if let Some(glanced) = glanced {
            self.book.glance(day, glanced, &self.eyes);
        }
        if let Some(surveyed) = surveyed {
            self.book.survey(day, surveyed, &self.eyes);
        }
    }

    pub fn sight(&self) -> &Sight {
        self.book.sight()
    }

    /// Heeds, until the end of `day`, what others say of the whole site.
    pub fn thin_at_most(&mut self, day: Date, most: f64) {
        self.book.thin_at_most(day, most);
    }

    /// What is cut after the look.
    pub fn cut(&mut self, day: Date) -> f64 {
        let miscount = self.party.counting.errs(&mut self.party.counts, days_since_first(day));
        let standing = self.hidden.stand.standing;
        match self.way {
            Way::Fraction(part) => self.hidden.stand.cut(part * miscount * standing),
            Way::ThenRest(part) if day >= self.rested_from => {
                let rest = self.book.case().terms.recovery_days as i64;
                self.rested_from = day.checked_add(rest.days()).unwrap_or(Date::MAX);
                self.hidden.stand.cut(part * miscount * standing)
            }
            Way::ThenRest(_) => 0.0,
            Way::Book { .. } => self.cut_by_the_book(day, miscount),
        }
    }

    fn cut_by_the_book(&mut self, day: Date, miscount: f64) -> f64 {
        let standing = self.hidden.stand.standing;
        let ruling = self.book.ruling(&Visit::on(day), &[]);
        let counted = ruling.one_in.map(|n| miscount * standing / f64::from(n));
        let allowed = counted.into_iter().chain(ruling.most).fold(f64::INFINITY, f64::min);
        if !(allowed > 0.0 && allowed.is_finite()) {
            return 0.0;
        }
        let taken = self.hidden.stand.cut(allowed);
        if !self.party.reports.happens(self.party.unwritten) {
            let written = taken * (1.0 - self.party.unreported);
            self.book.cut(&Visit::on(day), written, ruling.all_taken(), &self.eyes);
        }
        taken
    }

    /// Surveys fall due by chance, and whenever the last one is no longer believed.
    fn survey_if_due(&mut self, day: Date) -> Option<Estimate> {
        let believed_until =
            self.book.state_on(day).map(|s| self.book.case().terms.valid_until(s.last_survey.day));
        let has_lapsed = believed_until.is_some_and(|last| last < day);
        if day < self.surveyor.next && !has_lapsed {
            return None;
        }
        self.surveyor.plan_next(day);
        let Surveyor { quadrats, draws, .. } = &mut self.surveyor;
        quadrats.survey(self.hidden.stand.standing, &self.book.case().extent, draws)
    }
}

fn days_since_first(day: Date) -> f64 {
    f64::from((day - FIRST_DAY).get_days())
}
