//! A patch's season, day by day: crop with its band, cuts, limit used, depletion, feet.

use jiff::civil::Date;

use super::{Footfall, TroddenGround};
use crate::regrowth::{Course, DayState, Share, Terms};
use crate::units::Season;

/// One patch over one season, up to a day; amounts in the crop's measure.
#[derive(Clone, Debug, PartialEq)]
pub struct PressureSeries {
    pub season: Season,
    pub days: Vec<PressureDay>,
}

/// The crop at the end of a day, as modelled from what was known by then.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PressureDay {
    pub day: Date,
    /// `None` before the first survey.
    pub crop: Option<ModelledCrop>,
    pub cut: f64,
    /// A survey was made that day.
    pub surveyed: bool,
    /// In the 365 days that end with this one.
    pub feet: Footfall,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ModelledCrop {
    pub standing: f64,
    pub low: f64,
    pub high: f64,
    pub full: f64,
    /// The kilo limit of the share that morning, before cuts.
    pub limit: f64,
    /// 1 − standing ÷ full crop, at least 0.
    pub depletion: f64,
    /// Whether the survey behind it is still believed that day.
    pub survey_holds: bool,
}

impl PressureSeries {
    /// The season's days up to `until`.
    pub fn of(course: &Course, ground: &TroddenGround, season: Season, until: Date) -> Self {
        let last = season.last_day().min(until);
        let days = course.days(season.first_day(), last);
        let pressed = days.iter().map(|day| PressureDay {
            day: day.day,
            crop: modelled(day, course.terms),
            cut: day.cut,
            surveyed: day.state.is_some_and(|state| state.last_survey.day == day.day),
            feet: Footfall::on(day.day, course.history, ground),
        });
        Self { season, days: pressed.collect() }
    }

    pub fn total_cut(&self) -> f64 {
        self.days.iter().map(|day| day.cut).sum()
    }

    /// Days with a cut, with what was cut.
    pub fn cuts(&self) -> impl Iterator<Item = &PressureDay> {
        self.days.iter().filter(|day| day.cut > 0.0)
    }

    /// The last day that has a modelled crop.
    pub fn latest(&self) -> Option<(Date, ModelledCrop)> {
        self.days.iter().rev().find_map(|day| Some((day.day, day.crop?)))
    }

    /// The deepest depletion of the season.
    pub fn deepest(&self) -> Option<f64> {
        self.days.iter().filter_map(|day| Some(day.crop?.depletion)).reduce(f64::max)
    }

    /// The largest part of a day's limit that was cut; over 1 where more was.
    /// `None` without cuts, infinite where something was cut and nothing allowed.
    pub fn hardest_cut(&self) -> Option<f64> {
        self.days.iter().filter_map(PressureDay::limit_used).reduce(f64::max)
    }

    /// Feet on the last day.
    pub fn feet(&self) -> Footfall {
        self.days.last().map(|day| day.feet).unwrap_or_default()
    }

    /// The highest value a plot of this patch must hold.
    pub fn peak(&self) -> f64 {
        let crops = self.days.iter().filter_map(|day| day.crop);
        crops.map(|crop| crop.high.max(crop.full)).fold(0.0, f64::max)
    }
}

impl PressureDay {
    /// The part of the day's limit that was cut: over 1 where more was, infinite where nothing
    /// was allowed. `None` where nothing was cut, or no crop is known.
    pub fn limit_used(&self) -> Option<f64> {
        let limit = self.crop?.limit;
        (self.cut > 0.0).then(|| self.cut / limit)
    }
}

fn modelled(day: &DayState, terms: &Terms) -> Option<ModelledCrop> {
    let state = day.state?;
    let (low, high) = state.eight_in_ten();
    let morning = day.before_cuts.unwrap_or(state);
    let depletion =
        if state.full > 0.0 { (1.0 - state.standing / state.full).max(0.0) } else { 0.0 };
    Some(ModelledCrop {
        standing: state.standing,
        low,
        high,
        full: state.full,
        limit: Share::of(&morning, terms).most(),
        depletion,
        survey_holds: day.day <= terms.valid_until(state.last_survey.day),
    })
}
