//! Colours, strokes and type.
//!
//! Blue against brown against near-black stays apart for every kind of colour vision; in a grey
//! print the lines still differ by weight and dash, and the marks by shape. Text has a contrast
//! of 7 to 1 or more on white.

use plotters::style::RGBColor;
use unicode_width::UnicodeWidthStr;

pub(super) const PAPER: RGBColor = RGBColor(255, 255, 255);
pub(super) const TEXT: RGBColor = RGBColor(26, 26, 26);
pub(super) const QUIET: RGBColor = RGBColor(84, 84, 84);
pub(super) const GRID: RGBColor = RGBColor(226, 226, 226);
pub(super) const AXIS: RGBColor = RGBColor(120, 120, 120);
pub(super) const CROP: RGBColor = RGBColor(11, 79, 118);
pub(super) const BAND: RGBColor = RGBColor(212, 228, 239);
pub(super) const STALE_BAND: RGBColor = RGBColor(238, 238, 238);
pub(super) const INNER_BAND: RGBColor = RGBColor(158, 194, 219);
pub(super) const FULL: RGBColor = RGBColor(128, 128, 128);
pub(super) const LIMIT: RGBColor = RGBColor(170, 76, 0);
pub(super) const CUT: RGBColor = RGBColor(26, 26, 26);
pub(super) const OVER: RGBColor = RGBColor(168, 0, 52);

/// A colour and a width in page units.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stroke {
    pub colour: RGBColor,
    pub width: f64,
}

const fn stroke(colour: RGBColor, width: f64) -> Stroke {
    Stroke { colour, width }
}

pub(super) const GRID_LINE: Stroke = stroke(GRID, 0.7);
pub(super) const AXIS_LINE: Stroke = stroke(AXIS, 0.8);
pub(super) const RULE: Stroke = stroke(TEXT, 0.8);
pub(super) const TODAY_LINE: Stroke = stroke(AXIS, 0.6);
pub(super) const FULL_LINE: Stroke = stroke(FULL, 0.9);
pub(super) const CROP_LINE: Stroke = stroke(CROP, 1.8);
pub(super) const STALE_LINE: Stroke = stroke(QUIET, 1.2);
pub(super) const SURVEY_RING: Stroke = stroke(CROP, 1.2);
pub(super) const MONTH_LINE: Stroke = stroke(PAPER, 1.0);
pub(super) const MARK: Stroke = stroke(TEXT, 1.0);
pub(super) const LIMIT_LINE: Stroke = stroke(LIMIT, 1.2);
pub(super) const CUT_STEM: Stroke = stroke(CUT, 1.2);
pub(super) const OVER_STEM: Stroke = stroke(OVER, 1.6);

/// Dash and gap, in page units.
pub(super) const LIMIT_DASH: (f64, f64) = (5.0, 3.0);
pub(super) const STALE_DASH: (f64, f64) = (1.6, 2.0);

/// From little to much, each step plainly darker than the one before: they keep their order in
/// a grey print. Blue and brown stay apart for every kind of colour vision.
pub(super) const MISSING: [RGBColor; 5] = [
    RGBColor(227, 238, 245),
    RGBColor(170, 203, 224),
    RGBColor(104, 159, 194),
    RGBColor(38, 107, 150),
    RGBColor(6, 54, 86),
];
pub(super) const FEET: [RGBColor; 5] = [
    RGBColor(246, 232, 208),
    RGBColor(229, 190, 133),
    RGBColor(199, 137, 62),
    RGBColor(148, 84, 14),
    RGBColor(88, 42, 0),
];

/// A size in page units, a weight and a colour. None is under 10.6: a page of 720 units prints
/// 180 mm wide, which makes 7.5 pt of them, the least that people read.
#[derive(Clone, Copy, Debug)]
pub(super) struct Type {
    pub size: f64,
    pub bold: bool,
    pub colour: RGBColor,
}

const fn lettering(size: f64, bold: bool, colour: RGBColor) -> Type {
    Type { size, bold, colour }
}

pub(super) const TITLE: Type = lettering(17.0, true, TEXT);
pub(super) const LEAD: Type = lettering(11.0, false, TEXT);
pub(super) const KEY: Type = lettering(10.7, false, TEXT);
pub(super) const HEADING: Type = lettering(11.0, true, TEXT);
pub(super) const PATCH: Type = lettering(10.7, true, TEXT);
pub(super) const FIGURES: Type = lettering(10.7, false, QUIET);
pub(super) const TICK: Type = lettering(10.7, false, QUIET);
pub(super) const EMPTY: Type = lettering(10.7, false, QUIET);
pub(super) const OVER_FIGURE: Type = lettering(10.7, true, OVER);

impl Type {
    /// How many columns of ordinary text a room of this width holds in a wide typeface.
    pub(super) fn columns_in(self, width: f64) -> usize {
        (width / self.column()).max(0.0) as usize
    }

    /// About how wide a text comes out.
    pub(super) fn width_of(self, text: &str) -> f64 {
        text.width() as f64 * self.column()
    }

    fn column(self) -> f64 {
        self.size * if self.bold { 0.60 } else { 0.50 }
    }
}
