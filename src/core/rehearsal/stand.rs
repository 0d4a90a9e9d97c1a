//! What really grows on a patch, which no leader ever sees, and on a twin that nobody cuts.

use crate::regrowth::regrow;

/// Below this part of its twin a patch counts as harmed.
const DIP: f64 = 0.5;
/// Nobody finds the very last of a stand.
const MOST_FOUND: f64 = 0.95;

/// The hidden stand; amounts in the crop's measure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stand {
    /// What the ground carries this year.
    pub full: f64,
    /// True r, per day of full growth.
    pub rate_per_day: f64,
    /// What stands.
    pub standing: f64,
    /// What would stand if nobody had cut: same ground, same weather.
    pub undisturbed: f64,
    /// How much slower it grows from few than a logistic does: at this part of the full crop at
    /// about half the rate. 0 for a plain logistic.
    pub slow_from_few: f64,
    /// To what part of the full crop the plants' stores still bring them; the twin's to all of it.
    pub store: f64,
}

impl Stand {
    /// Grows for so many days of full growth; the weather's factor bears on both twins.
    pub fn grow(&mut self, growth_days: f64, weather: f64) {
        self.standing = self.grown(self.standing, self.store * self.full, growth_days) * weather;
        self.undisturbed = self.grown(self.undisturbed, self.full, growth_days) * weather;
    }

    /// The rate is that of the first day: steps are a week at most.
    fn grown(&self, standing: f64, full: f64, growth_days: f64) -> f64 {
        let mut grown = self.rate_per_day * growth_days;
        if self.slow_from_few > 0.0 && full > 0.0 {
            let part = standing / full;
            grown *= (1.0 + self.slow_from_few) * part / (self.slow_from_few + part);
        }
        regrow(standing, full, grown)
    }

    /// The same where the season makes all of it so much more or less.
    pub fn scaled(&self, by: f64) -> Self {
        Self {
            full: by * self.full,
            standing: by * self.standing,
            undisturbed: by * self.undisturbed,
            ..*self
        }
    }

    /// Takes up to `amount`, and says how much it came to.
    pub fn cut(&mut self, amount: f64) -> f64 {
        let taken = amount.clamp(0.0, MOST_FOUND * self.standing);
        self.standing -= taken;
        taken
    }

    /// The part of the undisturbed twin that stands.
    pub fn part(&self) -> f64 {
        if self.undisturbed > 0.0 { self.standing / self.undisturbed } else { 1.0 }
    }

    /// Whether less than half of the undisturbed twin stands.
    pub fn dips(&self) -> bool {
        self.part() < DIP
    }
}
