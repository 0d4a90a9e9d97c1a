//! How fast a crop grows through the year: a multiplier, 0 for a dormant day and 1 for a day of
//! full growth.
//!
//! Where a crop or site gives its growing months, those; where it does not, the winter
//! guard: growth only while days are long, and spring believed four weeks late. A crop
//! whose recovery is counted in years needs neither.

use jiff::civil::{Date, date};

const DAYS_IN_LEAP_YEAR: usize = 366;
/// Days by which the guard believes the season late.
const GUARD_LAG_DAYS: usize = 28;
/// Day length at which growth starts, and the hours over which it comes to full.
const GUARD_SHORTEST_HOURS: f64 = 9.0;
const GUARD_RAMP_HOURS: f64 = 7.0;
/// The hours of the rise to which the year's growth is scaled.
const GUARD_STEEP_HOURS: f64 = 3.0;

/// The growth multiplier of every day of the year, with running sums for quick integrals.
#[derive(Clone, Debug, PartialEq)]
pub struct Growth {
    common: YearSums,
    leap: YearSums,
    guarded: bool,
}

/// `sums[d]` is the growth of the first `d` days of a year.
#[derive(Clone, Debug, PartialEq)]
struct YearSums(Vec<f64>);

impl Growth {
    /// Growth by calendar month, January first, each in [0, 1].
    pub fn by_month(months: [f64; 12]) -> Self {
        Self::from_days(false, |day| months[day.month - 1])
    }

    /// Growth at full rate all year: for a recovery that is counted in whole years.
    pub fn all_year() -> Self {
        Self::by_month([1.0; 12])
    }

    /// The winter guard at `latitude_degrees`: `min(h(d), h(d − 28))`, where `h` rises with the
    /// length of the day from nothing at 9 h to the most at 16 h.
    ///
    /// So pastures grow: most in May and June, a quarter as fast in April (Corrall 1984; Bouman et
    /// al. 1996). A rise over three hours, level from April to September, let half as many again
    /// come to harm in this project's trials. A year comes to as much as with such a rise, by which
    /// the largest shares were chosen; so the best days count for more than one.
    pub fn winter_guard(latitude_degrees: f64) -> Self {
        let hours = guard_hours(latitude_degrees);
        let steep = Self::from_days(true, guard_light(&hours, GUARD_STEEP_HOURS));
        let light = guard_light(&hours, GUARD_RAMP_HOURS);
        let guard = Self::from_days(true, &light);
        let (of_steep, total) = (steep.common.total(), guard.common.total());
        let by = if total > 0.0 { of_steep / total } else { 1.0 };
        Self::from_days(true, |day| by * light(day))
    }

    fn from_days(guarded: bool, multiplier: impl Fn(DayOfYear) -> f64) -> Self {
        let sums = |a_year: i16| {
            let mut sums = Vec::with_capacity(DAYS_IN_LEAP_YEAR + 1);
            sums.push(0.0);
            let mut sum = 0.0;
            for month in 1..=12 {
                for _ in 0..date(a_year, month, 1).days_in_month() {
                    let month = usize::from(month.unsigned_abs());
                    sum += multiplier(DayOfYear { month, number: sums.len() });
                    sums.push(sum);
                }
            }
            YearSums(sums)
        };
        Self { common: sums(2027), leap: sums(2028), guarded }
    }

    /// Whether the multiplier is the winter guard's, not the crop's own.
    pub fn is_guarded(&self) -> bool {
        self.guarded
    }

    /// The multiplier of one day.
    pub fn on(&self, day: Date) -> f64 {
        let sums = self.year(day);
        let d = day.day_of_year() as usize;
        sums.0[d] - sums.0[d - 1]
    }

    /// Days of full growth from `from` up to, but not including, `to`; 0 if `to` is earlier.
    pub fn days_between(&self, from: Date, to: Date) -> f64 {
        if to <= from {
            return 0.0;
        }
        let within = |day: Date| self.year(day).0[day.day_of_year() as usize - 1];
        let whole_years: f64 = (from.year()..to.year())
            .map(|year| if is_leap(year) { self.leap.total() } else { self.common.total() })
            .sum();
        whole_years + within(to) - within(from)
    }

    fn year(&self, day: Date) -> &YearSums {
        if day.in_leap_year() { &self.leap } else { &self.common }
    }
}

/// A day of a year, leap or not.
#[derive(Clone, Copy)]
struct DayOfYear {
    /// January is 1.
    month: usize,
    /// The first of January is 1.
    number: usize,
}

/// How long the days are from [`GUARD_LAG_DAYS`] before the year's first on. A land of many sites
/// asks for thousands of years of them.
fn guard_hours(latitude_degrees: f64) -> Vec<f64> {
    let first = 1 - GUARD_LAG_DAYS as i32;
    let days = first..=DAYS_IN_LEAP_YEAR as i32;
    days.map(|day| day_length_hours(latitude_degrees, f64::from(day))).collect()
}

fn guard_light(hours: &[f64], ramp_hours: f64) -> impl Fn(DayOfYear) -> f64 {
    move |day| {
        let light = |hours: f64| ((hours - GUARD_SHORTEST_HOURS) / ramp_hours).clamp(0.0, 1.0);
        let late = day.number - 1;
        light(hours[late + GUARD_LAG_DAYS]).min(light(hours[late]))
    }
}

impl YearSums {
    fn total(&self) -> f64 {
        self.0[self.0.len() - 1]
    }
}

fn is_leap(year: i16) -> bool {
    Date::new(year, 1, 1).is_ok_and(Date::in_leap_year)
}

/// Hours from sunrise to sunset, by the cosine approximation of the sun's declination:
/// `24/π · acos(−tan lat · tan dec)`, `dec = −23.44° · cos(2π(d + 10)/365)`.
pub fn day_length_hours(latitude_degrees: f64, day_of_year: f64) -> f64 {
    const OBLIQUITY_DEGREES: f64 = 23.44;
    let season = (std::f64::consts::TAU * (day_of_year + 10.0) / 365.0).cos();
    let declination = (-OBLIQUITY_DEGREES * season).to_radians();
    let cosine = -latitude_degrees.to_radians().tan() * declination.tan();
    24.0 / std::f64::consts::PI * cosine.clamp(-1.0, 1.0).acos()
}
