//! The season of a full crop: how much stands through the year where nobody cuts.
//!
//! A winter green stands at several times more in spring than in December, so that a survey of
//! either says little of the other. A published curve gives the shape; how deep it is here is
//! learnt from the patch's own surveys, since a wrong curve used as it is would shut patches that
//! stand full.

use jiff::civil::Date;

use super::{Event, Seen};

/// A curve is not believed under this part of its peak, which it reaches off season: a handful
/// found there would stand for a field.
const LEAST: f64 = 0.15;
const MONTHS: usize = 12;

/// How much a full crop is through the year, as a part of its peak.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SeasonCurve {
    /// Logarithms at the middle of each month, January first; 0 at the peak.
    logs: [f64; MONTHS],
    /// How many days later than written the season comes on this ground.
    late_days: i32,
}

impl SeasonCurve {
    /// From twelve mid-month values in any unit, 0 or more; `None` where all are 0.
    pub fn of_months(months: [f64; MONTHS]) -> Option<Self> {
        let peak = months.into_iter().fold(0.0, f64::max);
        let is_curve = peak > 0.0 && months.iter().all(|value| value.is_finite());
        let logs = months.map(|value| (value / peak).max(LEAST).ln());
        is_curve.then_some(Self { logs, late_days: 0 })
    }

    /// The same curve some days later; earlier for fewer than 0.
    pub fn later_by(self, days: i32) -> Self {
        Self { late_days: self.late_days + days, ..self }
    }

    /// The months, 1 to 12, in the middle of which most stands and least.
    pub fn extremes(&self) -> (i8, i8) {
        let year = (1..=MONTHS as i8).filter_map(|month| Date::new(2027, month, 15).ok());
        let by_height = |a: &Date, b: &Date| self.log_on(*a).total_cmp(&self.log_on(*b));
        let most = year.clone().max_by(by_height).map_or(1, |day| day.month());
        (most, year.min_by(by_height).map_or(1, |day| day.month()))
    }

    /// The logarithm of the part of the peak, in [ln 0.15, 0]; linear between the middles of
    /// months.
    pub fn log_on(&self, day: Date) -> f64 {
        let year_days = f64::from(day.days_in_year());
        let day_of_year = f64::from(day.day_of_year()) - 0.5 - f64::from(self.late_days);
        // In months since the middle of January, each a twelfth of the year.
        let months = (day_of_year / year_days * MONTHS as f64 - 0.5).rem_euclid(MONTHS as f64);
        let (before, part) = (months.floor(), months.fract());
        let month = before as usize % MONTHS;
        let (from, to) = (self.logs[month], self.logs[(month + 1) % MONTHS]);
        from + part * (to - from)
    }
}

/// Log-sd of the depth of a curve about the published one.
const DEPTH_SD: f64 = 0.35;
const DEEPEST: f64 = 2.5;
/// What a survey's logarithm errs by besides its own doubt: the year, and what was cut lately.
const YEAR_VARIANCE: f64 = 0.15 * 0.15;
const CUT_VARIANCE: f64 = 0.1 * 0.1;

/// How deep a curve is on one patch, gamma, from its surveys: what stands goes by c^gamma.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Depth {
    surveys: Vec<Point>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Point {
    log_season: f64,
    log_found: f64,
    weight: f64,
}

impl Depth {
    /// Takes in a survey; of one that found nothing there is no logarithm.
    fn learn(&mut self, log_season: f64, found: f64, log_variance: f64) {
        if found > 0.0 {
            let weight = 1.0 / (log_variance + YEAR_VARIANCE + CUT_VARIANCE);
            self.surveys.push(Point { log_season, log_found: found.ln(), weight });
        }
    }

    /// From the surveys among those events, by that curve.
    pub fn of(events: &[Event], curve: &SeasonCurve) -> Self {
        let mut depth = Self::default();
        events.iter().for_each(|event| depth.take(event, curve));
        depth
    }

    /// Takes in an event, if it is a survey.
    pub fn take(&mut self, event: &Event, curve: &SeasonCurve) {
        if let Seen::Survey(found) = event.seen {
            let log_season = curve.log_on(event.day);
            self.learn(log_season, found.best, found.log_variance());
        }
    }

    /// Standard deviation of gamma after those surveys.
    pub fn sd(&self) -> f64 {
        let weights: f64 = self.surveys.iter().map(|point| point.weight).sum();
        let mean = |of: fn(&Point) -> f64| {
            self.surveys.iter().map(|point| point.weight * of(point)).sum::<f64>() / weights
        };
        let season = if weights > 0.0 { mean(|point| point.log_season) } else { 0.0 };
        let spread = |point: &Point| point.weight * (point.log_season - season).powi(2);
        let told: f64 = self.surveys.iter().map(spread).sum();
        1.0 / (told + 1.0 / (DEPTH_SD * DEPTH_SD)).sqrt()
    }

    /// As published until a second survey; then the slope of what was found on the curve, drawn
    /// towards the published depth.
    pub fn gamma(&self) -> f64 {
        let weights: f64 = self.surveys.iter().map(|point| point.weight).sum();
        let mean = |of: fn(&Point) -> f64| {
            self.surveys.iter().map(|point| point.weight * of(point)).sum::<f64>() / weights
        };
        if self.surveys.len() < 2 {
            return 1.0;
        }
        let (season, found) = (mean(|point| point.log_season), mean(|point| point.log_found));
        let prior = 1.0 / (DEPTH_SD * DEPTH_SD);
        let (mut with_found, mut with_itself) = (prior, prior);
        for point in &self.surveys {
            let off = point.log_season - season;
            with_found += point.weight * off * (point.log_found - found);
            with_itself += point.weight * off * off;
        }
        (with_found / with_itself).clamp(0.0, DEEPEST)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn greens() -> SeasonCurve {
        let months = [0.4, 0.5, 0.9, 1.0, 0.8, 0.5, 0.3, 0.25, 0.25, 0.3, 0.35, 0.4];
        SeasonCurve::of_months(months).unwrap()
    }

    #[test]
    fn a_curve_has_its_values_in_the_middle_of_months_and_lies_between_them_elsewhere() {
        let curve = greens();
        assert!((curve.log_on(date(2027, 4, 16)) - 0.0).abs() < 0.01);
        assert!((curve.log_on(date(2027, 8, 16)).exp() - 0.25).abs() < 0.005);
        let between = curve.log_on(date(2027, 3, 1)).exp();
        assert!((0.5..0.9).contains(&between), "{between}");
        // Half the way in the logarithm.
        assert!((between - (0.5_f64 * 0.9).sqrt()).abs() < 0.02, "{between}");
        let turn = curve.log_on(date(2027, 1, 1)) - curve.log_on(date(2026, 12, 31));
        assert!(turn.abs() < 0.01);
    }

    #[test]
    fn a_late_season_has_the_same_values_later() {
        let late = greens().later_by(20);
        let difference = late.log_on(date(2027, 5, 6)) - greens().log_on(date(2027, 4, 16));
        assert!(difference.abs() < 1e-12);
    }

    #[test]
    fn a_curve_is_a_shape_and_never_falls_to_nothing() {
        let months = [0.0, 0.5, 1.0, 0.5, 0.1, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0];
        let curve = SeasonCurve::of_months(months).unwrap();
        assert_eq!(SeasonCurve::of_months(months.map(|value| 7.0 * value)), Some(curve));
        assert!((curve.log_on(date(2027, 9, 1)) - 0.15_f64.ln()).abs() < 1e-12);
        assert_eq!(SeasonCurve::of_months([0.0; 12]), None);
    }

    /// 8.1633/(8.1633 + 10.387): the prior's 1/0.35² against two surveys that found the same.
    #[test]
    fn two_surveys_that_find_the_same_at_a_quarter_and_at_the_peak_halve_the_depth() {
        let mut depth = Depth::default();
        assert_eq!(depth.gamma(), 1.0);
        depth.learn(0.25_f64.ln(), 4000.0, 0.06);
        assert_eq!(depth.gamma(), 1.0);
        depth.learn(0.0, 4000.0, 0.06);
        assert!((depth.gamma() - 8.1633 / (8.1633 + 10.387)).abs() < 1e-4, "{}", depth.gamma());
        assert!((depth.gamma() - 0.440).abs() < 5e-4);
    }

    #[test]
    fn the_depth_stays_within_bounds() {
        let learnt = |found: [f64; 2]| {
            let mut depth = Depth::default();
            for _ in 0..20 {
                depth.learn(0.25_f64.ln(), found[0], 0.01);
                depth.learn(0.0, found[1], 0.01);
            }
            depth.gamma()
        };
        assert_eq!(learnt([5000.0, 1000.0]), 0.0);
        assert_eq!(learnt([1.0, 5000.0]), 2.5);
        assert!((learnt([1000.0, 4000.0]) - 1.0).abs() < 1e-9);
    }
}
