//! What a part of a stand comes to when it is counted off.

/// Nobody counts off fewer than one in this many. Common practice, no source.
const MOST_COUNTED: u32 = 200;
/// Where nothing is counted, no share that holds whatever the survey believed stands before the
/// kilo limit, and so that has no slack.
const SLACK_BY_WEIGHT: f64 = 1.0;
/// Rounding that must not turn one in 20 into one in 21.
const COUNT_TOLERANCE: f64 = 1e-9;

/// How much of what is seen may go, as a count; the greater, the less.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Count {
    /// Count off one in so many.
    OneIn(u32),
    /// Fewer than anyone counts off, so that it goes by weight.
    TooFew,
}

impl Count {
    /// `ceil(1/fraction)`, as far as that is counted; `None` for nothing.
    pub fn of(fraction: f64) -> Option<Self> {
        let n = (1.0 / fraction - COUNT_TOLERANCE).ceil().max(1.0);
        (fraction > 0.0).then_some(Self::from(n as u32))
    }

    /// One in how many, where it is counted.
    pub fn one_in(self) -> Option<u32> {
        match self {
            Self::OneIn(n) => Some(n),
            Self::TooFew => None,
        }
    }

    /// How far a kilo limit may stand above this part of what stands, where it may stand `slack`
    /// above what is counted.
    pub fn slack(fraction: f64, slack: f64) -> f64 {
        match Self::of(fraction) {
            Some(Self::OneIn(_)) => slack,
            Some(Self::TooFew) | None => slack.min(SLACK_BY_WEIGHT),
        }
    }
}

impl From<u32> for Count {
    fn from(n: u32) -> Self {
        if n <= MOST_COUNTED { Self::OneIn(n) } else { Self::TooFew }
    }
}
