//! Where rows and weeks stand on the page.

use jiff::civil::Date;

use crate::assess::PatchSeason;
use crate::report::plot::layout::{MARGIN, PAGE_WIDTH, in_crop_order};
use crate::units::{Season, Week};

const HEAD_HEIGHT: f64 = 122.0;
const FOOT_HEIGHT: f64 = 24.0;
/// Rows on a printed page, under the head and over a caption.
pub(super) const ROWS_ON_SHEET: usize = 24;
/// Room for the names, and for the figures at the other end.
const NAMES: f64 = 164.0;
const FIGURES: f64 = 96.0;
pub(super) const ROW_HEIGHT: f64 = 31.0;
/// Of the crop's cells, of the feet's, and between the two.
const CROP_HEIGHT: f64 = 15.0;
const FEET_HEIGHT: f64 = 5.0;
const GAP: f64 = 1.5;

pub(super) struct Sheet<'a> {
    pub width: f64,
    pub height: f64,
    pub left: f64,
    pub right: f64,
    pub top: f64,
    /// Below the last row.
    pub bottom: f64,
    pub rows: Vec<StripRow<'a>>,
    /// Of the first column.
    monday: Date,
    weeks: f64,
}

pub(super) struct StripRow<'a> {
    pub patch: &'a PatchSeason,
    pub crop: Band,
    pub feet: Band,
}

/// From top to bottom, in page units.
#[derive(Clone, Copy)]
pub(super) struct Band {
    pub top: f64,
    pub bottom: f64,
}

impl<'a> Sheet<'a> {
    pub(super) fn of(patches: &[&'a PatchSeason], season: Season) -> Self {
        let rows: Vec<StripRow> =
            in_crop_order(patches).into_iter().zip(0..).map(StripRow::at).collect();
        let bottom = rows.last().map_or(HEAD_HEIGHT, |row| row.feet.bottom);
        Self {
            width: PAGE_WIDTH,
            height: bottom + FOOT_HEIGHT,
            left: MARGIN + NAMES,
            right: PAGE_WIDTH - MARGIN - FIGURES,
            top: HEAD_HEIGHT,
            bottom,
            rows,
            monday: Week::containing(season.first_day()).first_day(),
            weeks: season.weeks().count() as f64,
        }
    }

    /// Where a day begins.
    pub(super) fn across(&self, day: Date) -> f64 {
        let weeks = f64::from((day - self.monday).get_days()) / 7.0;
        self.left + weeks / self.weeks * (self.right - self.left)
    }
}

impl<'a> StripRow<'a> {
    fn at((patch, n): (&'a PatchSeason, u32)) -> Self {
        let top = HEAD_HEIGHT + f64::from(n) * ROW_HEIGHT;
        let crop = Band { top, bottom: top + CROP_HEIGHT };
        let feet = Band { top: crop.bottom + GAP, bottom: crop.bottom + GAP + FEET_HEIGHT };
        Self { patch, crop, feet }
    }
}

impl Band {
    pub(super) fn middle(self) -> f64 {
        (self.top + self.bottom) / 2.0
    }

    /// The middle half of it.
    pub(super) fn half(self) -> Self {
        let quarter = (self.bottom - self.top) / 4.0;
        Self { top: self.top + quarter, bottom: self.bottom - quarter }
    }
}
