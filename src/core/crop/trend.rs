//! Whether a patch holds, gains or loses from year to year.
//!
//! Crops come and go with the seasons, so only surveys of the same part of the year are held
//! against each other: a common slope of the logarithm over time, with a level of its own for
//! each part of the year. Surveys weigh alike, since years differ by more than quadrats err;
//! but the interval is never narrower than the surveys' own errors make it, lest a few that
//! happen to lie on a line look certain.

use jiff::civil::Date;

use crate::estimate::{Estimate, Point, parallel_lines, t_quantile, z_quantile};

/// Surveys this many days apart or less, at most, in the calendar are of one part of the
/// year: 45 days either side of its middle.
const PART_OF_YEAR_DAYS: i16 = 90;
const YEAR_DAYS: f64 = 365.25;
/// A part of the year whose surveys all lie within these days holds no two years.
const ONE_YEAR_ONLY_DAYS: i32 = 180;
const FEWEST_SURVEYS: usize = 3;
/// Two-sided.
const CONFIDENCE: f64 = 0.9;
/// A yearly change within this, either way, is none to speak of.
const STEADY: f64 = 0.15;

/// One survey's total, with its day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DatedTotal {
    /// Of the survey.
    pub day: Date,
    /// In the crop's measure.
    pub total: Estimate,
}

/// What repeated surveys of one patch say.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Trend {
    /// The whole interval lies under what counts as steady.
    Declining(YearlyChange),
    /// The whole interval lies within what counts as steady.
    Steady(YearlyChange),
    /// The whole interval lies over what counts as steady.
    Rising(YearlyChange),
    /// The interval is too wide for a word.
    Unclear(YearlyChange),
    /// `matched` of `surveys` share their part of the year with one of another year.
    TooFew {
        /// How many of them could be compared.
        matched: usize,
        /// How many there are.
        surveys: usize,
    },
    /// A survey of that day found nothing, of which no yearly part can be told.
    Bare(Date),
}

/// By how much the crop changes in a year, as a part of it: −0.18 for a loss of 18 %.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct YearlyChange {
    /// The likeliest.
    pub best: f64,
    /// Ends of the 90 % interval.
    pub low: f64,
    /// Its upper end.
    pub high: f64,
    /// Surveys behind it, and in how many parts of the year they were made.
    pub surveys: usize,
    /// Parts of the year with surveys of two years or more.
    pub parts_of_year: usize,
    /// Of the first survey behind it.
    pub first: Date,
    /// Of the last.
    pub last: Date,
}

impl Trend {
    /// From surveys in any order.
    pub fn of(surveys: &[DatedTotal]) -> Self {
        let groups = season_matched(surveys);
        let matched: Vec<DatedTotal> = groups.iter().flatten().copied().collect();
        if let Some(bare) = matched.iter().find(|survey| survey.total.best <= 0.0) {
            return Self::Bare(bare.day);
        }
        match yearly_change(&groups, &matched) {
            Some(change) => Self::in_a_word(change),
            None => Self::TooFew { matched: matched.len(), surveys: surveys.len() },
        }
    }

    fn in_a_word(change: YearlyChange) -> Self {
        if change.high < 0.0 {
            Self::Declining(change)
        } else if change.low > 0.0 {
            Self::Rising(change)
        } else if change.low >= -STEADY && change.high <= STEADY {
            Self::Steady(change)
        } else {
            Self::Unclear(change)
        }
    }

    /// Whether it can be told.
    pub fn is_known(&self) -> bool {
        matches!(self, Self::Declining(_) | Self::Steady(_) | Self::Rising(_))
    }

    /// By how much; `None` where that cannot be told.
    pub fn change(&self) -> Option<&YearlyChange> {
        match self {
            Self::Declining(change)
            | Self::Steady(change)
            | Self::Rising(change)
            | Self::Unclear(change) => Some(change),
            Self::TooFew { .. } | Self::Bare(_) => None,
        }
    }
}

/// The surveys that can be held against one of another year, by part of the year. The part
/// whose surveys tell the most of the years is taken first.
fn season_matched(surveys: &[DatedTotal]) -> Vec<Vec<DatedTotal>> {
    let mut left = surveys.to_vec();
    left.sort_by_key(|survey| survey.day);
    let mut groups = Vec::new();
    while let Some(group) = most_telling_part(&left) {
        left.retain(|survey| !group.contains(survey));
        groups.push(group);
    }
    groups
}

fn most_telling_part(surveys: &[DatedTotal]) -> Option<Vec<DatedTotal>> {
    let parts = surveys.iter().map(|from| part_of_year(surveys, from.day));
    let of_years = parts.filter(|part| {
        let ends = part.first().zip(part.last());
        ends.is_some_and(|(first, last)| (last.day - first.day).get_days() > ONE_YEAR_ONLY_DAYS)
    });
    // Of equals, `max_by` would take the last: the earliest is wanted.
    of_years.fold(None, |best: Option<Vec<DatedTotal>>, part| match best {
        Some(best) if spread_in_years(&best) >= spread_in_years(&part) => Some(best),
        _ => Some(part),
    })
}

/// Surveys made from that day of the year on, up to the end of the part that it begins. Leap
/// days may shift it by one.
fn part_of_year(surveys: &[DatedTotal], from: Date) -> Vec<DatedTotal> {
    let after = |day: Date| (day.day_of_year() - from.day_of_year()).rem_euclid(365);
    surveys.iter().filter(|survey| after(survey.day) <= PART_OF_YEAR_DAYS).copied().collect()
}

/// Sum of squares about the mean.
fn spread_in_years(surveys: &[DatedTotal]) -> f64 {
    let years: Vec<f64> =
        surveys.iter().map(|survey| years_since(surveys[0].day, survey)).collect();
    let mean = years.iter().sum::<f64>() / years.len() as f64;
    years.iter().map(|year| (year - mean).powi(2)).sum()
}

fn years_since(origin: Date, survey: &DatedTotal) -> f64 {
    f64::from((survey.day - origin).get_days()) / YEAR_DAYS
}

/// `None` where the matched surveys are too few.
fn yearly_change(groups: &[Vec<DatedTotal>], matched: &[DatedTotal]) -> Option<YearlyChange> {
    let first = matched.iter().map(|survey| survey.day).min()?;
    let last = matched.iter().map(|survey| survey.day).max()?;
    if matched.len() < FEWEST_SURVEYS {
        return None;
    }
    let point = |survey: &DatedTotal| Point {
        x: years_since(first, survey),
        y: survey.total.best.ln(),
        variance: survey.total.log_variance(),
    };
    let points: Vec<Vec<Point>> =
        groups.iter().map(|group| group.iter().map(point).collect()).collect();
    let lines = parallel_lines(&points)?;
    let tail = 0.5 + CONFIDENCE / 2.0;
    let by_residuals =
        t_quantile(tail, lines.slope.degrees_of_freedom)? * lines.slope.standard_error;
    let by_own_errors = z_quantile(tail)? * lines.slope_error_of_points;
    let reach = by_residuals.max(by_own_errors);
    let slope = lines.slope.best;
    Some(YearlyChange {
        best: slope.exp_m1(),
        low: (slope - reach).exp_m1(),
        high: (slope + reach).exp_m1(),
        surveys: matched.len(),
        parts_of_year: groups.len(),
        first,
        last,
    })
}
