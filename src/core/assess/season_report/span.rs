//! The days that a report tells of.

use jiff::civil::Date;

use crate::records::Ledger;
use crate::units::{Season, spoken_day};

/// From a season's first day to the last day that is told, both included.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Span {
    /// Which season.
    pub season: Season,
    /// The last day that is told.
    pub to: Date,
}

/// Why there is no season to tell of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NothingTold {
    /// The book holds nothing that was seen or done.
    #[error("no survey, glance or cut is recorded yet, so there is no season to report")]
    NoRecords,
    /// The season lies ahead.
    #[error(
        "the season {season} has not begun by {}; name an earlier season, or a later day with --on",
        spoken_day(*to)
    )]
    NotBegun {
        /// The season asked for.
        season: Season,
        /// The last day that might be told.
        to: Date,
    },
}

impl Span {
    /// Ends on the season's last day or on `to`, whichever is earlier.
    ///
    /// # Errors
    /// A season that begins after `to`.
    pub fn new(season: Season, to: Date) -> Result<Self, NothingTold> {
        if to < season.first_day() {
            return Err(NothingTold::NotBegun { season, to });
        }
        Ok(Self { season, to: to.min(season.last_day()) })
    }

    /// The season's first day.
    pub fn from(self) -> Date {
        self.season.first_day()
    }

    /// Whether that day is among them.
    pub fn holds(self, day: Date) -> bool {
        self.from() <= day && day <= self.to
    }

    /// Whether days from `first` to `last`, `None` for without an end, touch the span.
    pub fn meets(self, first: Date, last: Option<Date>) -> bool {
        first <= self.to && last.is_none_or(|last| self.from() <= last)
    }

    /// Days of it, both ends included.
    pub fn days(self) -> u32 {
        ((self.to - self.from()).get_days() + 1).unsigned_abs()
    }

    /// Days of the season after it.
    pub fn days_left(self) -> u32 {
        (self.season.last_day() - self.to).get_days().unsigned_abs()
    }
}

/// The last day on which anything was seen or cut, anywhere in the book.
pub fn last_day_told(ledger: &Ledger) -> Option<Date> {
    ledger.patches().flat_map(|(_, patch)| patch.days_told()).max()
}
