//! The recovery test: how fast a patch really comes back, from marked squares cut twice.
//!
//! Nothing else in a book can tell it. Careful cutting hides the rate, since a patch that is
//! hardly cut stands full whether it recovers in four weeks or in eight. So squares that stand
//! full are cut by three quarters, left alone for about a recovery interval, and cut again.
//!
//! The belief is updated in the logarithm at the *believed* rate and not by turning the logistic
//! round: then more regrowth always means a faster patch, and the doubt that is left does not
//! depend on what was weighed.

use std::ops::RangeInclusive;

use jiff::ToSpan;
use jiff::civil::Date;

use super::{Growth, SeasonCurve, Terms};
use crate::records::{Clipping, Habit, TestDesign};

/// How full a square that nobody cuts is on average, as a part of the full crop.
const UNDISTURBED: f64 = 0.85;
/// Log-sd of a square's ratio about the patch's. Reweighed plots of lucerne and meadow: 0.14 to
/// 0.37 (Agridat's uniformity trials and Park Grass, Perryman 2022); small squares cut by hand
/// are taken to err more.
const SQUARE_LOG_SD: f64 = 0.45;

/// Variance of ln(r/profile's r) before any test, and the most it ever is.
const UNTESTED_VARIANCE: f64 = 0.25;
/// What a year adds to it: rates differ by 0.11 to 0.15 between years on one patch (79
/// site-years of ryegrass, Corrall 1984; Bouman et al. 1996), a variance of 0.01 to 0.02.
const VARIANCE_A_YEAR: f64 = 0.01;
/// One test moves the belief by no more than so many of its standard deviations.
const MOST_MOVED: f64 = 3.0;
/// The refill goes by a rate this many standard deviations under the believed one,
const CAUTION: f64 = 0.5;
/// and is never faster than this multiple of the profile's.
const FASTEST: f64 = 1.25;

/// The growth days of a test, in recovery intervals: sooner nothing has come back, later all has.
const SHORTEST: f64 = 0.5;
const LONGEST: f64 = 2.0;

/// A test as it was done.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RecoveryTest {
    design: TestDesign,
    /// Squares, or pairs of squares; 1 or more.
    squares: u32,
    /// The part of a square that was left standing at the first cut.
    left: f64,
    /// Days of full growth between the two cuts.
    growth_days: f64,
    /// The second basket ÷ the first; of pairs, the basket of the squares that were cut before ÷
    /// that of those that were not.
    ratio: f64,
    /// How much the published season of the full crop makes of the ratio by itself, as a
    /// logarithm; 0 of pairs, which are weighed on one day.
    log_season: f64,
}

/// What was weighed, before anyone asks whether it makes a test. Weights in one unit and of as
/// many squares, each cut by the same part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weighed {
    /// How the squares are compared.
    pub design: TestDesign,
    /// How many gave the baskets.
    pub squares: u32,
    /// As for a [`Clipping`](crate::records::Clipping).
    pub left: f64,
    /// Days between the cuts, each counted by its growth multiplier.
    pub growth_days: f64,
    /// The first basket, or that of the uncut squares of the pairs.
    pub against: f64,
    /// The second basket, or that of the squares that were cut before.
    pub regrown: f64,
    /// Whether a square was cut between the two days.
    pub cut_between: bool,
}

/// Why a pair of baskets tells nothing.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum NoTest {
    /// A test of no squares.
    #[error("no square was cut; mark some that stand full, eight if there are as many")]
    NoSquares,
    /// A basket that is empty, or no finite number.
    #[error("a basket to compare with weighs {against}; cut squares that stand full")]
    NothingToCompare {
        /// What the basket weighs, as it was given.
        against: f64,
    },
    /// A second basket under 0, or no finite number.
    #[error("`{regrown}` is not a weight of what grew back; give 0 or more")]
    NotAWeight {
        /// As it was given.
        regrown: f64,
    },
    /// Between two days of the dormant season.
    #[error("nothing grows between the two days; cut both times within the growing season")]
    NoGrowth,
    /// Too little has come back to tell.
    #[error(
        "{days:.0} growth days lie between the cuts, fewer than {least:.0}: too little has come \
         back to tell; cut again on a later day"
    )]
    TooSoon {
        /// How many there are.
        days: f64,
        /// How many it takes.
        least: f64,
    },
    /// Slow and quick squares are full alike.
    #[error(
        "{days:.0} growth days lie between the cuts, more than {most:.0}: slow and quick squares \
         are full alike by then; begin anew"
    )]
    TooLate {
        /// How many there are.
        days: f64,
        /// How many are too many.
        most: f64,
    },
    /// Something took of a square between the days.
    #[error("a marked square was cut in between; leave it out, or begin anew")]
    CutBetween,
    /// Two baskets of one square, a year apart, of what comes once a year.
    #[error(
        "what comes once a year differs from year to year by more than squares tell; compare \
         squares that were cut with uncut ones of the same day, in pairs"
    )]
    YearsDiffer,
    /// Two cuts of what needs years.
    #[error("a root, bulb or bark needs years to come back; no two cuts of a test tell how many")]
    TooSlow,
}

impl RecoveryTest {
    /// As many pairs of squares as a test is advised to have.
    pub const ADVISED_SQUARES: u32 = 8;

    /// The test that these baskets make of a crop.
    ///
    /// # Errors
    /// Baskets that tell nothing, with the first reason found.
    pub fn of(weighed: &Weighed, terms: &Terms) -> Result<Self, NoTest> {
        let Weighed { design, squares, left, growth_days, against, regrown, cut_between } =
            *weighed;
        let (least, most) = Self::telling_days(terms).into_inner();
        match () {
            () if terms.habit == Habit::Slow => Err(NoTest::TooSlow),
            () if squares == 0 => Err(NoTest::NoSquares),
            () if !(against > 0.0 && against.is_finite()) => {
                Err(NoTest::NothingToCompare { against })
            }
            () if !(regrown >= 0.0 && regrown.is_finite()) => Err(NoTest::NotAWeight { regrown }),
            () if cut_between => Err(NoTest::CutBetween),
            () if growth_days.is_nan() || growth_days <= 0.0 => Err(NoTest::NoGrowth),
            () if growth_days < least => Err(NoTest::TooSoon { days: growth_days, least }),
            () if growth_days > most => Err(NoTest::TooLate { days: growth_days, most }),
            () => {
                let (ratio, log_season) = (regrown / against, 0.0);
                Ok(Self { design, squares, left, growth_days, ratio, log_season })
            }
        }
    }

    /// The same test, cut on those two days, of a crop with that season.
    pub fn between(self, first: Date, second: Date, season: Option<SeasonCurve>) -> Self {
        let swings = season.filter(|_| self.design == TestDesign::SameSquares);
        let log_season = swings.map_or(0.0, |curve| curve.log_on(second) - curve.log_on(first));
        Self { log_season, ..self }
    }

    /// What it would have shown had the full crop stood still, where its season is so deep.
    pub(super) fn without_season(&self, depth: f64) -> Self {
        Self { ratio: self.ratio / self.by_season(depth), log_season: 0.0, ..*self }
    }

    /// What the season makes of the ratio by itself, where it is so deep.
    pub fn by_season(&self, depth: f64) -> f64 {
        (depth * self.log_season).exp()
    }

    /// What a test of so many squares, a recovery interval long, shows of a patch that comes back
    /// so many times as fast as its profile says, if nothing errs; `None` for a crop that cannot
    /// be tested.
    pub fn that_shows(design: TestDesign, squares: u32, terms: &Terms, speed: f64) -> Option<Self> {
        let (left, growth_days) = (Clipping::LEFT, terms.recovery_days);
        let regrown = ratio_at(design, terms, left, growth_days, speed);
        let cut_between = false;
        let weighed =
            Weighed { design, squares, left, growth_days, against: 1.0, regrown, cut_between };
        Self::of(&weighed, terms).ok()
    }

    /// The growth days at which a second cut tells, for a crop that can be tested: from half a
    /// recovery interval to two.
    pub fn telling_days(terms: &Terms) -> RangeInclusive<f64> {
        SHORTEST * terms.recovery_days..=LONGEST * terms.recovery_days
    }

    /// How the squares were compared.
    pub fn design(&self) -> TestDesign {
        self.design
    }

    /// How many gave the baskets.
    pub fn squares(&self) -> u32 {
        self.squares
    }

    /// Days between the cuts, each counted by its growth multiplier.
    pub fn growth_days(&self) -> f64 {
        self.growth_days
    }

    /// What the ratio should be where the patch comes back at the profile's rate.
    pub fn expected(&self, terms: &Terms) -> f64 {
        ratio_at(self.design, terms, self.left, self.growth_days, 1.0)
    }

    /// The second basket as a part of the first, or of the uncut one's.
    pub fn ratio(&self) -> f64 {
        self.ratio
    }
}

/// The ratio of the baskets to be expected after `grown` = r·∫g dt, and how much its logarithm
/// rises with ln r.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Expected {
    ratio: f64,
    slope: f64,
}

impl Expected {
    fn of(design: TestDesign, left: f64, grown: f64) -> Self {
        let regrown = part_after(left * UNDISTURBED, grown);
        match design {
            TestDesign::SameSquares => {
                Self { ratio: regrown / UNDISTURBED, slope: grown * (1.0 - regrown) }
            }
            TestDesign::Pairs => {
                let uncut = part_after(UNDISTURBED, grown);
                Self { ratio: regrown / uncut, slope: grown * (uncut - regrown) }
            }
        }
    }
}

/// What a part of the full crop becomes by logistic growth.
fn part_after(part: f64, grown: f64) -> f64 {
    part / (part + (1.0 - part) * (-grown).exp())
}

/// The ratio of the baskets that a patch shows whose rate is `speed` times the profile's, if
/// nothing errs: what the sheet for a test prints.
pub fn ratio_at(design: TestDesign, terms: &Terms, left: f64, growth_days: f64, speed: f64) -> f64 {
    Expected::of(design, left, terms.rate_per_day * speed * growth_days).ratio
}

/// What is believed of a patch's rate: ln(r/r of the profile), normal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Recovering {
    mean: f64,
    /// On the day of the last test.
    variance: f64,
    last_test: Option<Date>,
    tests: u32,
}

impl Recovering {
    /// Log-sd of the error that all squares of a test share: the weather of those weeks, and how
    /// full the patch stood. Ryegrass at 50–53° N, tests begun in May to August, strays by 0.32
    /// from what its year's rate predicts (Corrall 1984; Bouman et al. 1996), most of it the
    /// month, which bears less on pairs. Of 0.15, 0.20 and 0.30 the proof's cells come out
    /// nearly alike at equal yield; a belief that heeds tests more catches slow patches sooner.
    pub const COMMON_LOG_SD: f64 = 0.20;

    /// Nobody has tested the patch.
    pub const UNTESTED: Self =
        Self { mean: 0.0, variance: UNTESTED_VARIANCE, last_test: None, tests: 0 };

    /// Whether any test tells of the patch.
    pub fn is_tested(&self) -> bool {
        self.tests > 0
    }

    /// How many tests tell of it.
    pub fn tests(&self) -> u32 {
        self.tests
    }

    /// The day of the last test's second cut.
    pub fn last_test(&self) -> Option<Date> {
        self.last_test
    }

    /// Believed ln(r/r of the profile).
    pub fn mean(&self) -> f64 {
        self.mean
    }

    /// Its variance on `day`, no earlier than the last test: a little more each whole year.
    pub fn variance_on(&self, day: Date) -> f64 {
        let years = self.last_test.map_or(0, |last| whole_years(last, day));
        (self.variance + VARIANCE_A_YEAR * f64::from(years)).min(UNTESTED_VARIANCE)
    }

    /// Takes in a test that ended on `day`, for a crop whose profile has that rate per growth
    /// day; `common_log_sd` as [`COMMON_LOG_SD`](Self::COMMON_LOG_SD).
    pub fn tested(&self, day: Date, rate: f64, test: &RecoveryTest, common_log_sd: f64) -> Self {
        let variance = self.variance_on(day);
        let grown = rate * self.mean.exp() * test.growth_days;
        let Expected { ratio, slope } = Expected::of(test.design, test.left, grown);
        let error = SQUARE_LOG_SD.powi(2) / f64::from(test.squares) + common_log_sd.powi(2);
        let gain = variance * slope / (variance * slope * slope + error);
        let most = MOST_MOVED * variance.sqrt();
        let moved = (gain * (test.ratio / ratio).ln()).clamp(-most, most);
        Self {
            mean: self.mean + moved,
            variance: variance * (1.0 - gain * slope),
            last_test: Some(day),
            tests: self.tests + 1,
        }
    }

    /// What may be believed after a test by pairs, as things are believed now, each with its
    /// weight: Gauss and Hermite's three points for a normal error (weights 1/6, 2/3, 1/6 at
    /// −√3, 0, √3). `None` for a crop that cannot be tested.
    pub fn what_a_test_may_say(
        &self,
        terms: &Terms,
        day: Date,
        squares: u32,
    ) -> Option<[(f64, Self); 3]> {
        let plain = RecoveryTest::that_shows(TestDesign::Pairs, squares, terms, 1.0)?;
        let common = terms.by_test?.common_log_sd;
        let grown = terms.rate_per_day * self.mean.exp() * plain.growth_days;
        let Expected { ratio, slope } = Expected::of(plain.design, plain.left, grown);
        let error = SQUARE_LOG_SD.powi(2) / f64::from(squares) + common.powi(2);
        let spread = (self.variance_on(day) * slope * slope + error).sqrt();
        let shows = |z: f64| RecoveryTest { ratio: ratio * (z * spread).exp(), ..plain };
        let points = [(1.0 / 6.0, -3_f64.sqrt()), (2.0 / 3.0, 0.0), (1.0 / 6.0, 3_f64.sqrt())];
        Some(points.map(|(weight, z)| (weight, self.after(terms, day, &shows(z)))))
    }

    /// The same by the terms of a crop.
    pub fn after(&self, terms: &Terms, day: Date, test: &RecoveryTest) -> Self {
        let common = terms.by_test.map_or(Self::COMMON_LOG_SD, |by_test| by_test.common_log_sd);
        self.tested(day, terms.rate_per_day, test, common)
    }

    /// The rate at which the share refills on `day`, as a part of the profile's: under the
    /// believed one by half its doubt, and at most a quarter over the profile's.
    pub fn refill_part(&self, day: Date) -> f64 {
        (self.mean - CAUTION * self.variance_on(day).sqrt()).exp().min(FASTEST)
    }

    /// Growth days from `from` up to `to`, each counted at the refill's part of that day. The
    /// belief must not change in between; the doubt grows on the anniversaries of the last test.
    pub fn refilling_days(&self, growth: &Growth, from: Date, to: Date) -> f64 {
        let (mut day, mut days) = (from, 0.0);
        while day < to {
            let next = self.next_anniversary(day).map_or(to, |next| next.min(to));
            days += self.refill_part(day) * growth.days_between(day, next);
            day = next;
        }
        days
    }

    /// The next day after `day` on which the doubt grows, as long as it does.
    fn next_anniversary(&self, day: Date) -> Option<Date> {
        let last = self.last_test.filter(|_| self.variance_on(day) < UNTESTED_VARIANCE)?;
        let next = last.checked_add((whole_years(last, day) + 1).years()).ok()?;
        (next > day).then_some(next)
    }
}

/// Whole years from one day to another; 0 if the other is no later.
fn whole_years(from: Date, to: Date) -> i32 {
    let years = i32::from(to.year() - from.year());
    let reached = |years: i32| from.checked_add(years.years()).is_ok_and(|day| day <= to);
    if reached(years) { years.max(0) } else { (years - 1).max(0) }
}
