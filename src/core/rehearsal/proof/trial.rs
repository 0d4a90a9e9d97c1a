//! One hidden patch, visited week after week by one practice.

use std::ops::Range;
use std::sync::Arc;

use jiff::ToSpan;
use jiff::civil::Date;

use super::hidden::Hidden;
use super::plot::FIRST_DAY;
use super::{Company, Practice, Testing};
use crate::assess::Prepared;
use crate::estimate::Estimate;
use crate::records::{Habit, Taken};
use crate::regrowth::{Eyes, Growth, RecoveryTest, SeasonCurve, Share, Sight};
use crate::rehearsal::{Draws, Eye, EyeErrors, Nature, Quadrats, Tended, Visit};
use crate::rules::Verdict;

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
    /// Spread of ln r from month to month, January first, and from year to year.
    pub months_log_sd: [f64; 12],
    pub rate_year_log_sd: f64,
    /// What r is multiplied by from one year to the next.
    pub slows_a_year: f64,
    /// Whether plants that were held down carry less in the years after.
    pub remembers: bool,
    /// How the full crop really swings through the year.
    pub season: Option<SeasonCurve>,
    /// The part of the visits that stop short of what they may take, and say that they took all.
    pub stops_short: f64,
    /// The part of the visits that are written down as a walk's quota is, one in N, and not as all.
    pub by_quota: f64,
    /// The part of the visits at which who glances does so.
    pub glances_at: f64,
    /// Whether the crop ripens over the weeks of a season, so that only a part of it can be seen
    /// and cut; and whether those who come say how much that is.
    pub ripens: Option<SaysRipe>,
    /// Log-sd of the error that the squares of one test share.
    pub test_log_sd: f64,
    /// Log-sd by which the full crop moves between the two days of a test.
    pub full_moves_log_sd: f64,
    /// The month in which tests begin; any day where `None`.
    pub tests_begin_in: Option<i8>,
}

/// Whether anyone says how much is ripe.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SaysRipe {
    /// Nobody.
    Never,
    /// Who comes, each time.
    Always,
}

impl World {
    /// The part of what will ripen that is ripe: three tenths in the first week of a season, and
    /// all in the sixth (common practice, no source).
    pub fn ripe_on(&self, day: Date) -> f64 {
        const AT_FIRST: f64 = 0.3;
        const A_WEEK: f64 = 0.14;
        let start = Date::new(day.year(), FIRST_DAY.month(), FIRST_DAY.day()).unwrap_or(day);
        let weeks = f64::from((day - start).get_days()) / 7.0;
        match self.ripens {
            Some(_) if weeks >= 0.0 => (AT_FIRST + A_WEEK * weeks).min(1.0),
            _ => 1.0,
        }
    }

    /// The part of its peak that a full crop comes to on a day.
    pub fn season_on(&self, day: Date) -> f64 {
        self.season.map_or(1.0, |curve| curve.log_on(day).exp())
    }
}

/// What came of one visit.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Visited {
    pub taken: f64,
    /// Whether the patch stood full; and whether nothing might be cut there all the same, not
    /// because its share was spent but because the book took it for thin.
    pub full: bool,
    pub refused: bool,
}

/// A patch that stands at this part of its twin is full.
const STANDS_FULL: f64 = 0.8;
/// Of what it may take, a party that stops short takes a part from this range.
const SHORT: Range<f64> = 0.1..0.6;

/// The streams of chance of one patch.
mod stream {
    pub const TRUTH: u64 = 1;
    pub const SURVEYS: u64 = 2;
    pub const COUNTS: u64 = 3;
    pub const GLANCES: u64 = 4;
    pub const REPORTS: u64 = 5;
    // 6 is a site's.
    pub const STOPS: u64 = 7;
    pub const TESTS: u64 = 8;
    pub const WRITING: u64 = 9;
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
    stops_short: f64,
    stops: Draws,
    /// How visits are written down.
    by_quota: f64,
    glances_at: f64,
    writing: Draws,
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
    practice: Practice,
    book: Tended<'a>,
    eyes: Eyes,
    by: Arc<str>,
    pub hidden: Hidden,
    party: Party,
    surveyor: Surveyor,
    /// By a rule of thumb that rests the patch.
    rested_from: Date,
    tester: Option<Tester>,
}

/// Who tests, and what is due when.
#[derive(Clone, Debug)]
struct Tester {
    testing: Testing,
    /// The day of the second cut, and what it will show.
    coming: Option<(Date, RecoveryTest)>,
    /// When the next one begins.
    next: Date,
    draws: Draws,
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
            stops_short: world.stops_short,
            stops: stream(stream::STOPS),
            by_quota: world.by_quota,
            glances_at: world.glances_at,
            writing: stream(stream::WRITING),
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
    pub fn new(
        world: &World,
        patch: &'a Prepared,
        (practice, testing): (Practice, Option<Testing>),
        seed: u64,
        number: u64,
    ) -> Self {
        let by: Arc<str> = "party".into();
        let truth = Draws::stream(seed, number, stream::TRUTH);
        let surveys = Draws::stream(seed, number, stream::SURVEYS);
        let mut trial = Self {
            practice,
            book: Tended::new(patch, FIRST_DAY, by.clone()),
            eyes: Eyes::default(),
            by,
            hidden: Hidden::new(world, patch.terms.rate_per_day, truth, (seed, number)),
            party: Party::new(world, seed, number),
            surveyor: Surveyor::new(world, patch.crop().habit, surveys),
            rested_from: FIRST_DAY,
            tester: None,
        };
        if let Some(testing) = testing {
            trial.test_at_first(world, testing, Draws::stream(seed, number, stream::TESTS));
        }
        trial
    }

    /// The patch was tested before anyone surveyed it.
    fn test_at_first(&mut self, world: &World, testing: Testing, mut draws: Draws) {
        let case = self.book.case();
        let (terms, growth) = (case.terms, case.growth);
        let days = 1.0
            + terms.recovery_days / growth.days_between(FIRST_DAY, a_year_after(FIRST_DAY)) * 365.0;
        let earliest = FIRST_DAY.saturating_sub((days as i64).days());
        let from = match world.tests_begin_in {
            Some(month) => Date::new(FIRST_DAY.year(), month, 1).unwrap_or(earliest),
            None => earliest,
        };
        let test = testing.play(&self.hidden, world, (terms, growth), from, &mut draws);
        if let Some((_, test)) = test {
            let day = FIRST_DAY.yesterday().unwrap_or(FIRST_DAY);
            self.book.tested(day, test, &self.eyes);
        }
        if testing.yearly {
            let next = Testing::begins(world, FIRST_DAY.saturating_add(300.days()));
            self.tester = Some(Tester { testing, coming: None, next, draws });
        }
    }

    /// Begins a test that is due, and takes in one that ends.
    fn test(&mut self, world: &World, day: Date) {
        let Some(tester) = &mut self.tester else { return };
        if tester.coming.is_none() && day >= tester.next {
            let case = self.book.case();
            let of_book = (case.terms, case.growth);
            let Tester { testing, draws, .. } = tester;
            tester.coming = testing.play(&self.hidden, world, of_book, day, draws);
            tester.next = Testing::begins(world, day.saturating_add(300.days()));
        }
        if let Some((_, test)) = tester.coming.take_if(|(end, _)| *end <= day) {
            self.book.tested(day, test, &self.eyes);
        }
    }

    /// What the party writes down before it cuts.
    pub fn look(&mut self, world: &World, day: Date) {
        let Practice::Book { glances } = self.practice else { return };
        self.test(world, day);
        let ripe = world.ripe_on(day);
        let (standing, days) = (ripe * self.hidden.stand.standing, days_since_first(day));
        let glances = glances && self.party.writing.happens(self.party.glances_at);
        let glanced =
            glances.then(|| standing * self.party.glancing.errs(&mut self.party.glances, days));
        // What is said of how much is ripe makes all that will ripen of what was measured.
        let said = world.ripens.map_or(1.0, |says| match says {
            SaysRipe::Always => ripe,
            SaysRipe::Never => 1.0,
        });
        let surveyed = self.survey_if_due(day, ripe).map(|found| found.scaled(1.0 / said));
        if said < 1.0 {
            self.book.ripe(day, said, &self.eyes);
        }
        if let (Some(glanced), Some(surveyed)) = (glanced, surveyed) {
            self.eyes.learn(&self.by, day, glanced / said, surveyed.best);
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
    pub fn cut(&mut self, world: &World, day: Date) -> Visited {
        let miscount = self.party.counting.errs(&mut self.party.counts, days_since_first(day));
        let standing = world.ripe_on(day) * self.hidden.stand.standing;
        let taken = match self.practice {
            Practice::Book { .. } => return self.cut_by_the_book(day, standing, miscount),
            Practice::Fraction(part) => self.hidden.stand.cut(part * miscount * standing),
            Practice::ThenRest(part) if day >= self.rested_from => {
                let rest = self.book.case().terms.recovery_days as i64;
                self.rested_from = day.checked_add(rest.days()).unwrap_or(Date::MAX);
                self.hidden.stand.cut(part * miscount * standing)
            }
            Practice::ThenRest(_) => 0.0,
        };
        Visited { taken, ..Visited::default() }
    }

    /// `standing` is what can be seen and cut.
    fn cut_by_the_book(&mut self, day: Date, standing: f64, miscount: f64) -> Visited {
        let full = self.hidden.stand.part() >= STANDS_FULL;
        let ruling = self.book.ruling(&Visit::on(day), &[]);
        let counted = ruling.one_in.map(|n| miscount * standing / f64::from(n));
        let allowed = counted.into_iter().chain(ruling.most).fold(f64::INFINITY, f64::min);
        if !(allowed > 0.0 && allowed.is_finite()) {
            let refused = full && ruling.verdict != Verdict::Open && self.is_thinned(day);
            return Visited { taken: 0.0, full, refused };
        }
        let stops = self.party.stops.happens(self.party.stops_short);
        let part = if stops { self.party.stops.uniform(SHORT) } else { 1.0 };
        let taken = self.hidden.stand.cut((part * allowed).min(standing));
        if !self.party.reports.happens(self.party.unwritten) {
            let written = taken * (1.0 - self.party.unreported);
            let by_quota = self.party.writing.happens(self.party.by_quota);
            let taken = match ruling.one_in.filter(|_| by_quota) {
                Some(n) => Taken::OneIn(n),
                None => ruling.all_taken(),
            };
            self.book.cut(&Visit::on(day), written, taken, &self.eyes);
        }
        Visited { taken, full, refused: false }
    }

    /// Whether the share would do, but for what the book takes the patch to have lost.
    fn is_thinned(&self, day: Date) -> bool {
        let case = self.book.case();
        self.book.state_on(day).is_some_and(|state| {
            let share = Share { taper: 1.0, thin: 1.0, ..Share::of(&state, case.terms) };
            share.most() >= case.smallest_useful()
        })
    }

    /// Surveys fall due by chance, and whenever the last one is no longer believed.
    fn survey_if_due(&mut self, day: Date, ripe: f64) -> Option<Estimate> {
        let believed_until =
            self.book.state_on(day).map(|s| self.book.case().terms.valid_until(s.last_survey.day));
        let has_lapsed = believed_until.is_some_and(|last| last < day);
        if day < self.surveyor.next && !has_lapsed {
            return None;
        }
        self.surveyor.plan_next(day);
        let Surveyor { quadrats, draws, .. } = &mut self.surveyor;
        quadrats.survey(ripe * self.hidden.stand.standing, &self.book.case().extent, draws)
    }
}

fn days_since_first(day: Date) -> f64 {
    f64::from((day - FIRST_DAY).get_days())
}

fn a_year_after(day: Date) -> Date {
    day.saturating_add(1.year())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rehearsal::proof::Strain;

    #[test]
    fn three_tenths_are_ripe_on_the_first_day_of_a_season_and_all_from_the_sixth_week_on() {
        let world = Strain::Unripe.world(Habit::OnceAYear, EyeErrors::NONE);
        let ripe = |weeks: i64| world.ripe_on(FIRST_DAY.saturating_add((7 * weeks).days()));
        for (weeks, part) in [(0, 0.3), (1, 0.44), (4, 0.86), (5, 1.0), (9, 1.0), (-1, 1.0)] {
            assert!((ripe(weeks) - part).abs() < 1e-12, "{weeks} weeks: {}", ripe(weeks));
        }
        let at_once = Strain::None.world(Habit::OnceAYear, EyeErrors::NONE);
        assert_eq!(at_once.ripe_on(FIRST_DAY), 1.0);
    }
}
