//! One scale for all patches of a crop, so that they can be compared.

use crate::assess::PatchSeason;
use crate::pressure::PressureDay;

/// The band is drawn up to this many times the highest crop or cut; a doubt beyond it would
/// press everything else to the floor.
const BAND_ROOM: f64 = 1.6;
/// Air above the highest thing drawn.
const AIR: f64 = 1.04;
const CROP_STEPS: f64 = 3.0;
const CUT_STEPS: f64 = 2.0;

/// The two scales of a crop, each for all of its patches; in the crop's measure.
///
/// Cuts and limits are small beside the crop they come from, so they have their own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CropScale {
    /// For what stands.
    pub crop: Scale,
    /// For what is cut and what may be.
    pub cut: Scale,
}

/// From 0 to `top`, with a grid line each `step`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    /// In the crop's measure.
    pub top: f64,
    /// In the crop's measure.
    pub step: f64,
}

impl CropScale {
    /// Holds the crop, full crop, limit and cuts of every patch, and their bands as far as that
    /// is within reason.
    pub fn of<'a>(patches: impl IntoIterator<Item = &'a PatchSeason>) -> Self {
        let days: Vec<&PressureDay> =
            patches.into_iter().flat_map(|patch| &patch.series.days).collect();
        let crops = || days.iter().filter_map(|day| day.crop);
        let solid = highest(crops().map(|crop| crop.standing.max(crop.full)));
        let band = highest(crops().map(|crop| crop.high));
        let limits = highest(crops().map(|crop| crop.share_limit));
        let cuts = highest(days.iter().map(|day| day.cut));
        Self {
            crop: Scale::up_to(band.min(BAND_ROOM * solid).max(solid), CROP_STEPS),
            cut: Scale::up_to(limits.max(cuts), CUT_STEPS),
        }
    }
}

fn highest(values: impl Iterator<Item = f64>) -> f64 {
    values.filter(|value| value.is_finite()).fold(0.0, f64::max)
}

impl Scale {
    /// `highest` may be 0, for nothing to draw.
    fn up_to(highest: f64, most_steps: f64) -> Self {
        let top = highest * AIR;
        Self { top, step: round_step(top / most_steps) }
    }

    /// The grid lines, 0 left out; none where there is nothing to draw.
    pub fn ticks(&self) -> impl Iterator<Item = f64> {
        let Self { top, step } = *self;
        let ticks = (1_u8..).map(move |n| f64::from(n) * step);
        ticks.take_while(move |value| *value <= top && top > 0.0)
    }

    /// 0 at the floor, 1 at the top; nothing is higher than that.
    pub(super) fn part(&self, amount: f64) -> f64 {
        if self.top > 0.0 { (amount / self.top).clamp(0.0, 1.0) } else { 0.0 }
    }
}

/// 1, 2 or 5 times a power of ten, `least` or just over it.
fn round_step(least: f64) -> f64 {
    if least <= 0.0 {
        return 0.0;
    }
    let power = 10_f64.powf(least.log10().floor());
    let rounds = [1.0, 2.0, 5.0, 10.0].map(|digit| digit * power);
    rounds.into_iter().find(|step| *step >= least).unwrap_or(least)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn grid_lines_are_round_numbers_and_three_at_most() {
        for (top, expected) in [
            (2500.0, vec![1000.0, 2000.0]),
            (31.0, vec![20.0]),
            (0.9, vec![0.5]),
            (6.0, vec![2.0, 4.0, 6.0]),
            (10_500.0, vec![5000.0, 10_000.0]),
        ] {
            let scale = Scale { top, step: round_step(top / CROP_STEPS) };
            assert_eq!(scale.ticks().collect::<Vec<_>>(), expected, "up to {top}");
        }
        assert_eq!(Scale::up_to(0.0, CROP_STEPS).ticks().count(), 0);
    }
}
