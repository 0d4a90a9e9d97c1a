//! A patch's season, day by day: crop with its band, cuts, what was allowed, depletion, feet.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::{DayTake, Footfall, TroddenGround};
use crate::regrowth::{Course, DayState, Share, Terms};
use crate::units::Season;

/// One patch over one season, up to a day; amounts in the crop's measure.
#[derive(Clone, Debug, PartialEq)]
pub struct PressureSeries {
    /// Whose days they are.
    pub season: Season,
    /// In order, from the season's first on.
    pub days: Vec<PressureDay>,
}

/// The crop at the end of a day, as modelled from what was known by then.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PressureDay {
    /// The day.
    pub day: Date,
    /// `None` before the first survey.
    pub crop: Option<ModelledCrop>,
    /// All that was cut that day, in the crop's measure.
    pub cut: f64,
    /// How it stood to what was allowed; `None` where nobody came to cut.
    pub take: Option<DayTake>,
    /// A survey was made that day.
    pub surveyed: bool,
    /// In the 365 days that end with this one.
    pub feet: Footfall,
}

/// What the model has for the end of a day; amounts in the crop's measure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ModelledCrop {
    /// The best estimate of what stands.
    pub standing: f64,
    /// The lower end of the range that holds it in some eight cases of ten.
    pub low: f64,
    /// The upper end.
    pub high: f64,
    /// The full crop, as it is on that day of the year.
    pub full: f64,
    /// The kilo limit of the share that morning, before cuts; other rules may allow less.
    pub share_limit: f64,
    /// 1 − standing ÷ full crop, at least 0.
    pub depletion: f64,
    /// Whether the survey behind it is still believed that day.
    pub survey_holds: bool,
}

impl PressureSeries {
    /// The season's days up to `until`; `takes` are those of its days with a cut.
    pub fn of(
        course: &Course,
        ground: &TroddenGround,
        season: Season,
        until: Date,
        takes: &BTreeMap<Date, DayTake>,
    ) -> Self {
        let last = season.last_day().min(until);
        let days = course.days(season.first_day(), last);
        let pressed = days.iter().map(|day| PressureDay {
            day: day.day,
            crop: modelled(day, course.terms),
            cut: day.cut,
            take: takes.get(&day.day).copied(),
            surveyed: day.state.is_some_and(|state| state.last_survey.day == day.day),
            feet: Footfall::on(day.day, course.history, ground),
        });
        Self { season, days: pressed.collect() }
    }

    /// All that was cut in it, in the crop's measure.
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

    /// Feet on the last day.
    pub fn feet(&self) -> Footfall {
        self.days.last().map(|day| day.feet).unwrap_or_default()
    }
}

impl PressureDay {
    /// Whether more was cut than was allowed, by more than a scale may err.
    pub fn is_over(&self) -> bool {
        self.take.is_some_and(|take| take.is_over())
    }

    /// The part of what was allowed that was cut; see `DayTake::part_of_allowed`.
    pub fn part_of_allowed(&self) -> Option<f64> {
        self.take?.part_of_allowed()
    }
}

fn modelled(day: &DayState, terms: &Terms) -> Option<ModelledCrop> {
    let state = day.state?;
    let (low, high) = state.eight_in_ten();
    let morning = day.before_cuts.unwrap_or(state);
    let full = state.full_once();
    let depletion = if full > 0.0 { (1.0 - state.standing / full).max(0.0) } else { 0.0 };
    Some(ModelledCrop {
        standing: state.standing,
        low,
        high,
        full,
        share_limit: Share::of(&morning, terms).most(),
        depletion,
        survey_holds: day.day <= terms.valid_until(state.last_survey.day),
    })
}
