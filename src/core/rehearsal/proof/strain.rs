//! What goes wrong in a cell of the proof.

use std::ops::Range;

use super::Company;
use jiff::ToSpan;

use super::plot::{FIRST_DAY, LATITUDE_DEGREES, with_growth};
use super::trial::{SaysRipe, World};
use crate::assess::Prepared;
use crate::records::Habit;
use crate::regrowth::Growth;
use crate::rehearsal::{EyeErrors, Nature};

/// A winter month's growth, November to February, where there is a winter.
const WINTER: f64 = 0.2;
const WINTER_MONTHS: [usize; 4] = [1, 2, 11, 12];
/// What stands at first, as a part of what the ground carries.
const AT_FIRST: Range<f64> = 0.7..1.0;
/// The part of a basket that a party keeps to itself: up to a fifth.
const UNREPORTED: f64 = 0.2;

/// Log-sd of the error that the squares of a test share: an assumption of the kind world.
const KIND_TEST_LOG_SD: f64 = 0.15;

/// Growth of perennial ryegrass by month against May's, January first; 23 site-years at 50–53° N
/// (Corrall 1984, 1988; Bouman et al. 1996). What grew before May is given as 9 % of the year.
const MEASURED_MONTHS: [f64; 12] =
    [0.0, 0.0, 0.13, 0.23, 1.0, 0.83, 0.76, 0.53, 0.34, 0.22, 0.0, 0.0];
/// Spread of ln r between months of a name (the same; 0.14 to 0.31 from May to August), on
/// rainfed ground in high summer (0.44 to 0.96), and between years (0.11 to 0.15).
const MEASURED_MONTH_LOG_SD: f64 = 0.3;
const MEASURED_DRY_MONTH_LOG_SD: f64 = 0.7;
const DRY_MONTHS: [usize; 3] = [7, 8, 9];
const MEASURED_RATE_YEAR_LOG_SD: f64 = 0.15;
/// Between years: unmanured meadow 0.30 to 0.46 (Park Grass, Perryman 2022); fruit of single
/// stands 0.75 (43 series of MASTREE+, Hacket-Pain et al. 2022).
const MEASURED_LEAF_YEAR_LOG_SD: f64 = 0.35;
const MEASURED_FRUIT_YEAR_LOG_SD: f64 = 0.75;
/// Years over which plants that remember are followed.
const YEARS_REMEMBERED: u32 = 6;
/// What a test errs by besides its months, and how the full crop moves between its days:
/// assumptions.
const MEASURED_TEST_LOG_SD: f64 = 0.20;
const MEASURED_FULL_MOVES_LOG_SD: f64 = 0.3;

/// What is amiss in a cell, beside the errors that everyone makes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Strain {
    /// Nothing but the errors that everyone makes.
    None,
    /// A winter that the profile knows of.
    WinterKnown,
    /// A winter that the profile says nothing of: the day-length guard holds.
    WinterGuarded,
    /// A winter, where someone declared that the crop grows all year.
    WinterDenied,
    /// The crop recovers half as fast as its profile says.
    HalfRate,
    /// Quadrats put where the plants are good, and up to 40 % kept off the record.
    Misled,
    /// The same, and recovery at 0.7 of the profile's.
    AllAtOnce,
    /// Two parties come each week.
    TwoParties,
    /// One visit in five that nobody writes down at all.
    Unwritten,
    /// An eye that sees 15 % more each year.
    DriftingEye,
    /// Patches that were depleted before anyone surveyed them, 0.2 to 0.5 of full.
    DepletedAtFirst,
    /// A crop that comes back from few more slowly than a logistic.
    SlowFromFew,
    /// One visit in five that stops short and says that it took all.
    StopsShort,
    /// Growth, and its spreads between months and years, as measured on pastures; the book has
    /// the winter guard.
    Measured,
    /// The same, where the crop recovers half as fast as its profile says.
    MeasuredHalfRate,
    /// The same on dry ground, where summers differ most.
    MeasuredDry,
    /// The same dry ground, tested in the summer that differs most.
    MeasuredDryTest,
    /// Measured months and years, of plants that remember for years how far they were held down.
    MeasuredRemembers,
    /// The crop recovers a tenth more slowly each year.
    SlowingDown,
    /// Visits that are written down as a walk's quota, one in N.
    ByQuota,
    /// Those who glance do so at every second visit; the others tell by their baskets.
    MixedLooks,
    /// Fruit that ripens over six weeks, surveyed in the first of them; nobody says how much is
    /// ripe.
    Unripe,
    /// The same, and who comes says it.
    UnripeSaid,
}

impl Strain {
    /// Those of the main table of each habit; the measured ones have tables of their own.
    pub const ALL: [Self; 13] = [
        Self::None,
        Self::WinterKnown,
        Self::WinterGuarded,
        Self::WinterDenied,
        Self::HalfRate,
        Self::Misled,
        Self::AllAtOnce,
        Self::TwoParties,
        Self::Unwritten,
        Self::DriftingEye,
        Self::DepletedAtFirst,
        Self::SlowFromFew,
        Self::StopsShort,
    ];

    fn is_measured(self) -> bool {
        matches!(
            self,
            Self::Measured
                | Self::MeasuredHalfRate
                | Self::MeasuredDry
                | Self::MeasuredDryTest
                | Self::MeasuredRemembers
        )
    }

    /// What was measured, in the place of what the kind world assumes.
    fn measured(self, habit: Habit, world: &mut World) {
        world.rate_year_log_sd = MEASURED_RATE_YEAR_LOG_SD;
        world.test_log_sd = MEASURED_TEST_LOG_SD;
        world.full_moves_log_sd = MEASURED_FULL_MOVES_LOG_SD;
        if habit.is_leaf() {
            world.nature.year_log_sd = MEASURED_LEAF_YEAR_LOG_SD;
            world.growth = as_measured();
            world.months_log_sd = [MEASURED_MONTH_LOG_SD; 12];
            world.tests_begin_in = Some(6);
        } else if habit == Habit::OnceAYear {
            world.nature.year_log_sd = MEASURED_FRUIT_YEAR_LOG_SD;
        }
        if matches!(self, Self::MeasuredDry | Self::MeasuredDryTest) {
            for month in DRY_MONTHS {
                world.months_log_sd[month - 1] = MEASURED_DRY_MONTH_LOG_SD;
            }
        }
        if self == Self::MeasuredDryTest {
            world.tests_begin_in = Some(7);
        }
        if self == Self::MeasuredRemembers {
            (world.remembers, world.years) = (true, world.years.max(YEARS_REMEMBERED));
        }
        if self == Self::MeasuredHalfRate {
            world.nature.rate_factor = 0.5;
        }
    }

    /// Whether it is about what ripens.
    pub fn ripens(self) -> bool {
        matches!(self, Self::Unripe | Self::UnripeSaid)
    }

    /// Whether it is about what only leaves were measured to do.
    pub fn is_of_leaf(self) -> bool {
        matches!(self, Self::MeasuredDryTest | Self::MeasuredRemembers)
    }

    /// Whether it is about a winter.
    pub fn is_of_winter(self) -> bool {
        matches!(self, Self::WinterKnown | Self::WinterGuarded | Self::WinterDenied)
    }

    /// The world of a cell, with eyes that err so.
    pub(super) fn world(self, habit: Habit, eyes: EyeErrors) -> World {
        let mut world = World {
            nature: Nature::of(habit),
            growth: if self.is_of_winter() { with_winter() } else { Growth::all_year() },
            counting: eyes,
            glancing: EyeErrors::ORDINARY,
            unreported: UNREPORTED,
            unwritten: 0.0,
            survey_factor: 1.0,
            parties_a_week: 1,
            at_first: AT_FIRST,
            slow_from_few: 0.0,
            years: years(habit),
            company: Company::Alone,
            months_log_sd: [0.0; 12],
            rate_year_log_sd: 0.0,
            remembers: false,
            season: None,
            stops_short: 0.0,
            by_quota: 0.0,
            glances_at: 1.0,
            ripens: None,
            slows_a_year: 1.0,
            test_log_sd: KIND_TEST_LOG_SD,
            full_moves_log_sd: 0.0,
            tests_begin_in: None,
        };
        match self {
            Self::HalfRate => world.nature.rate_factor = 0.5,
            Self::Misled | Self::AllAtOnce => {
                (world.survey_factor, world.unreported) = (1.3, 2.0 * UNREPORTED);
                if self == Self::AllAtOnce {
                    world.nature.rate_factor = 0.7;
                }
            }
            Self::TwoParties => world.parties_a_week = 2,
            Self::Unwritten => world.unwritten = 0.2,
            Self::DriftingEye => {
                let drift_a_year = 1.15_f64.ln();
                world.counting.drift_a_year = drift_a_year;
                world.glancing.drift_a_year = drift_a_year;
            }
            Self::DepletedAtFirst => world.at_first = 0.2..0.5,
            Self::SlowFromFew => world.slow_from_few = 0.5,
            Self::StopsShort => world.stops_short = 0.2,
            Self::SlowingDown => world.slows_a_year = 0.9,
            Self::ByQuota => world.by_quota = 1.0,
            Self::MixedLooks => world.glances_at = 0.5,
            Self::Unripe => world.ripens = Some(SaysRipe::Never),
            Self::UnripeSaid => world.ripens = Some(SaysRipe::Always),
            _ if self.is_measured() => {
                self.measured(habit, &mut world);
            }
            _ => {}
        }
        world
    }

    /// The patch with what its book takes for granted of the winter.
    pub(super) fn booked<'a>(self, patch: &Prepared<'a>) -> Prepared<'a> {
        let guarded = || with_growth(patch, Growth::winter_guard(LATITUDE_DEGREES));
        match self {
            Self::WinterKnown => with_growth(patch, with_winter()),
            Self::WinterGuarded => guarded(),
            _ if self.is_measured() && !patch.terms.counts_whole_years() => guarded(),
            _ => patch.clone(),
        }
    }
}

/// Patches are followed until the first stock no longer tells.
fn years(habit: Habit) -> u32 {
    if habit.is_leaf() { 2 } else { 10 }
}

fn with_winter() -> Growth {
    let mut months = [1.0; 12];
    for month in WINTER_MONTHS {
        months[month - 1] = WINTER;
    }
    Growth::by_month(months)
}

/// Growth as measured, so fast in all that the year comes to what the guard makes of it: r is
/// right on the year, and its months are not.
fn as_measured() -> Growth {
    let year = |growth: &Growth| growth.days_between(FIRST_DAY, FIRST_DAY.saturating_add(1.year()));
    let guard = year(&Growth::winter_guard(LATITUDE_DEGREES));
    let by = guard / year(&Growth::by_month(MEASURED_MONTHS));
    Growth::by_month(MEASURED_MONTHS.map(|month| by * month))
}
