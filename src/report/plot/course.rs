//! The course of one patch over a season: crop with its band, limit, cuts, surveys.

use jiff::civil::Date;

use super::CropScale;
use super::ink;
use super::layout::Frame;
use super::pen::{Anchor, Drawn, Pen, Place};
use crate::pressure::{ModelledCrop, PressureDay, PressureSeries};
use crate::units::{Season, percent};

/// A figure keeps this far from the middle of its mark, and its base line this far below it.
const MARK: f64 = 6.0;
const LEVEL: f64 = 3.0;
pub(super) const SURVEY_RADIUS: f64 = 2.6;

/// How far into the season a day lies, 0 to 1.
pub(super) fn part_of(season: Season, day: Date) -> f64 {
    let days = |until: Date| f64::from((until - season.first_day()).get_days());
    days(day) / days(season.last_day())
}

/// Draws amounts by day.
pub(super) struct Course<'a, 'p> {
    pub pen: &'a Pen<'p>,
    pub frame: &'a Frame,
    pub scale: &'a CropScale,
    pub season: Season,
}

impl Course<'_, '_> {
    pub(super) fn draw(&self, series: &PressureSeries) -> Drawn {
        let known = series.days.iter().filter_map(|day| Some((day.day, day.crop?)));
        let days: Vec<(Date, ModelledCrop)> = known.collect();
        if !days.is_empty() {
            self.draw_crop(&days)?;
            self.draw_surveys(series)?;
        }
        self.draw_cuts(series)
    }

    fn draw_crop(&self, days: &[(Date, ModelledCrop)]) -> Drawn {
        let spans = || spans(days);
        for span in spans() {
            let (low, high) =
                (self.curve(span, |crop| crop.low), self.curve(span, |crop| crop.high));
            let band: Vec<Place> = low.into_iter().chain(high.into_iter().rev()).collect();
            self.pen.fill(&band, if holds(span) { ink::BAND } else { ink::STALE_BAND })?;
        }
        self.pen.line(&self.curve(days, |crop| crop.full), ink::FULL_LINE)?;
        for span in spans() {
            let line = self.curve(span, |crop| crop.standing);
            if holds(span) {
                self.pen.line(&line, ink::CROP_LINE)?;
                let limit: Vec<Place> =
                    span.iter().map(|(day, crop)| self.hangs(*day, crop.share_limit)).collect();
                self.pen.dashes(&limit, ink::LIMIT_LINE, ink::LIMIT_DASH)?;
            } else {
                self.pen.dashes(&line, ink::STALE_LINE, ink::STALE_DASH)?;
            }
        }
        Ok(())
    }

    fn curve(&self, days: &[(Date, ModelledCrop)], of: fn(&ModelledCrop) -> f64) -> Vec<Place> {
        days.iter().map(|(day, crop)| self.stands(*day, of(crop))).collect()
    }

    fn draw_surveys(&self, series: &PressureSeries) -> Drawn {
        for day in series.days.iter().filter(|day| day.surveyed) {
            let standing = day.crop.map_or(0.0, |crop| crop.standing);
            self.pen.ring(self.stands(day.day, standing), SURVEY_RADIUS, ink::SURVEY_RING)?;
        }
        Ok(())
    }

    fn draw_cuts(&self, series: &PressureSeries) -> Drawn {
        let hardest = series
            .days
            .iter()
            .filter(|day| day.is_over())
            .max_by(|a, b| part_cut(a).total_cmp(&part_cut(b)));
        if let Some(day) = hardest {
            self.draw_overrun(day)?;
        }
        let stem = |day: &PressureDay| [self.hangs(day.day, 0.0), self.hangs(day.day, day.cut)];
        for day in series.cuts() {
            draw_stem(self.pen, stem(day), day.is_over())?;
        }
        for day in series.cuts() {
            draw_foot(self.pen, stem(day), day.is_over())?;
        }
        Ok(())
    }

    /// How much of what was allowed it was, beside its mark, on paper of its own.
    fn draw_overrun(&self, day: &PressureDay) -> Drawn {
        let part = part_cut(day);
        let figure = if part.is_finite() { percent(part) } else { "over".to_owned() };
        let (x, y) = self.hangs(day.day, day.cut);
        let width = ink::OVER_FIGURE.width_of(&figure);
        let is_late = x + MARK + width > self.frame.right;
        let left = if is_late { x - MARK - width } else { x + MARK };
        let (right, top, bottom) = (left + width, y - LEVEL - 2.0, y + LEVEL + 1.0);
        let paper = [(left, top), (right, top), (right, bottom), (left, bottom)];
        self.pen.fill(&paper, ink::PAPER)?;
        let (at, anchor) = if is_late { (right, Anchor::End) } else { (left, Anchor::Start) };
        self.pen.text(&figure, (at, y + LEVEL), ink::OVER_FIGURE, anchor)
    }

    fn stands(&self, day: Date, amount: f64) -> Place {
        (self.frame.across(part_of(self.season, day)), self.frame.up(self.scale.crop.part(amount)))
    }

    fn hangs(&self, day: Date, amount: f64) -> Place {
        (self.frame.across(part_of(self.season, day)), self.frame.down(self.scale.cut.part(amount)))
    }
}

/// A cut, from the floor down to its amount; one over what was allowed differs in shape too.
pub(super) fn draw_drop(pen: &Pen, stem: [Place; 2], is_over: bool) -> Drawn {
    draw_stem(pen, stem, is_over)?;
    draw_foot(pen, stem, is_over)
}

fn draw_stem(pen: &Pen, stem: [Place; 2], is_over: bool) -> Drawn {
    pen.line(&stem, if is_over { ink::OVER_STEM } else { ink::CUT_STEM })
}

fn draw_foot(pen: &Pen, [_, foot]: [Place; 2], is_over: bool) -> Drawn {
    if is_over { pen.diamond(foot, 3.0, ink::OVER_STEM) } else { pen.dot(foot, 2.2, ink::CUT) }
}

fn part_cut(day: &PressureDay) -> f64 {
    day.part_of_allowed().unwrap_or(0.0)
}

/// Stretches of days with a survey that holds, and of days with one that is too old. Each
/// begins where the one before ends, so that the curve has no gap.
fn spans(days: &[(Date, ModelledCrop)]) -> impl Iterator<Item = &[(Date, ModelledCrop)]> {
    let mut end = 0;
    let runs = days.chunk_by(|a, b| a.1.survey_holds == b.1.survey_holds);
    runs.map(move |run| {
        let start = end;
        end += run.len();
        &days[start.saturating_sub(1)..end]
    })
}

fn holds(span: &[(Date, ModelledCrop)]) -> bool {
    span.last().is_some_and(|(_, crop)| crop.survey_holds)
}
