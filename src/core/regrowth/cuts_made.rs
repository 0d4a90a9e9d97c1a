//! How many cuts a patch has borne in its crop year, where a pinch is none.

use jiff::civil::Date;

/// From this part of what was allowed on, what a day took is a cut.
pub const COUNTS_FROM: f64 = 0.5;

/// The cuts of a crop year: days on which at least half of what was allowed went.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CutsMade {
    crop_year: Date,
    /// Before `day`.
    made: u32,
    /// The last day on which anything was cut.
    day: Date,
    /// What that day took, as a part of what was allowed when each party came.
    used: f64,
}

impl CutsMade {
    /// Before anyone has cut anything.
    pub const NONE: Self = Self { crop_year: Date::MIN, made: 0, day: Date::MIN, used: 0.0 };

    /// A cut no earlier than all before it, in the crop year that begins on `crop_year`. `used` is
    /// what it took as a part of what was allowed; infinite where nothing was.
    pub fn add(&mut self, crop_year: Date, day: Date, used: f64) {
        if used <= 0.0 {
            return;
        }
        if (crop_year, day) != (self.crop_year, self.day) {
            *self = Self { crop_year, made: self.before(crop_year, day), day, used: 0.0 };
        }
        self.used += used;
    }

    /// Cuts made before `day`, in the crop year that begins on `crop_year`.
    pub fn before(&self, crop_year: Date, day: Date) -> u32 {
        match self.crop_year == crop_year {
            true => self.made + u32::from(self.day < day && self.used >= COUNTS_FROM),
            false => 0,
        }
    }
}
