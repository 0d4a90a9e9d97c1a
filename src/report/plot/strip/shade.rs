//! Five steps of shade for each of the two measures.

use plotters::style::RGBColor;

use crate::pressure::{PressureDay, PressureWeek};
use crate::report::plot::ink;
use crate::report::steps::{self, step};

/// The steps in words.
pub(super) const MISSING_WORDS: [&str; 5] =
    ["under 5 %", "5 to 10 %", "10 to 20 %", "20 to 40 %", "40 % or more"];
pub(super) const FEET_WORDS: [&str; 5] =
    ["under 5 %", "5 to 20 %", "20 to 50 %", "50 to 100 %", "at its limit"];

/// The look of one cell; neighbours of one look are drawn as one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Shade {
    pub colour: RGBColor,
    /// Half as high where it rests on a survey that was too old by then.
    pub full_height: bool,
}

/// By how much of the full crop was missing at the week's end; `None` where nobody knew.
pub(super) fn of_crop(week: &PressureWeek) -> Option<Shade> {
    let crop = week.end()?.crop?;
    let colour = ink::MISSING[step(crop.depletion, &steps::MISSING)];
    Some(Shade { colour, full_height: crop.survey_holds })
}

/// By the feet of the 365 days up to the week's end; `None` where there were none.
pub(super) fn of_feet(week: &PressureWeek) -> Option<Shade> {
    let part = week.end().and_then(|day: &PressureDay| day.feet.part_of_limit)?;
    let colour = ink::FEET[step(part, &steps::FEET)];
    (part > 0.0).then_some(Shade { colour, full_height: true })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance, WCAG 2.2.
    fn luminance(RGBColor(r, g, b): RGBColor) -> f64 {
        let linear = |channel: u8| {
            let part = f64::from(channel) / 255.0;
            if part <= 0.04045 { part / 12.92 } else { ((part + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b)
    }

    #[test]
    fn each_step_is_plainly_darker_than_the_one_before_also_in_grey() {
        for shades in [ink::MISSING, ink::FEET] {
            for pair in shades.windows(2) {
                let contrast = (luminance(pair[0]) + 0.05) / (luminance(pair[1]) + 0.05);
                assert!(contrast > 1.35, "{pair:?}: {contrast}");
            }
        }
    }
}
