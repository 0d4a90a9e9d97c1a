//! What a rule is asked about: one patch on one day, with the facts that bear on it.

use std::borrow::Cow;

use jiff::ToSpan;
use jiff::civil::Date;

use crate::crop::Extent;
use crate::records::{Crop, Patch, SiteFacts, Status};
use crate::regrowth::{Growth, History, Share, State, Terms};
use crate::units::Season;

/// How far ahead an opening day is looked for.
const HORIZON_DAYS: i64 = 800;
const STRIDE_DAYS: i64 = 7;

/// One patch, one day, and who would come.
#[derive(Clone, Copy, Debug)]
pub struct Case<'a> {
    pub day: Date,
    /// `None` counts as one person.
    pub people: Option<u32>,
    /// How they would cut, where a permission asks.
    pub method: Option<&'a str>,
    pub site: &'a SiteFacts,
    pub patch: &'a Patch,
    pub crop: &'a Crop,
    pub extent: Extent,
    pub terms: &'a Terms,
    pub growth: &'a Growth,
    /// `None` before a first survey.
    pub state: Option<State>,
    pub history: &'a History,
    /// Every cut of this crop on this site: day, and amount in the crop's measure.
    pub site_cuts: &'a [(Date, f64)],
    /// Whether anyone will read the reasons. A rehearsal asks millions of times and reads none.
    pub in_words: bool,
}

impl<'a> Case<'a> {
    /// The same case on a later day, if nothing happens till then.
    pub fn on(&self, day: Date) -> Self {
        let state = self.state.map(|state| state.advanced(self.terms, self.growth, day));
        Self { day, state, ..*self }
    }

    /// The reason, where anyone reads it.
    pub(super) fn tell(&self, reason: impl FnOnce() -> String) -> Cow<'static, str> {
        if self.in_words { reason().into() } else { "".into() }
    }

    pub fn share(&self) -> Option<Share> {
        self.state.map(|state| Share::of(&state, self.terms))
    }

    /// An invasive crop needs no protection from being cut.
    pub fn is_invasive(&self) -> bool {
        matches!(self.crop.status, Status::Invasive(_))
    }

    pub fn people_or_one(&self) -> u32 {
        self.people.unwrap_or(1)
    }

    /// The least that is worth cutting, in the crop's measure.
    pub fn smallest_useful(&self) -> f64 {
        self.crop.smallest_useful.value.value
    }

    /// Cut from this patch on the day itself.
    pub fn cut_today(&self) -> f64 {
        self.history.cut_between(self.day, self.day)
    }

    pub fn cut_on_site_today(&self) -> f64 {
        self.cut_on_site(|day| day == self.day)
    }

    pub fn cut_on_site_this_season(&self) -> f64 {
        let season = Season::containing(self.day);
        self.cut_on_site(|day| season.contains(day) && day <= self.day)
    }

    fn cut_on_site(&self, counts: impl Fn(Date) -> bool) -> f64 {
        self.site_cuts.iter().filter(|(day, _)| counts(*day)).map(|(_, amount)| amount).sum()
    }

    /// The first later day on which `holds`, within some two years.
    ///
    /// Looks week by week, then day by day: what refills does so over weeks.
    pub fn first_later_day(&self, holds: impl Fn(&Self) -> bool) -> Option<Date> {
        let ahead = |days: i64| self.day.checked_add(days.days()).ok();
        let holds_on = |days: i64| ahead(days).is_some_and(|day| holds(&self.on(day)));
        let stride = (1..=HORIZON_DAYS / STRIDE_DAYS).find(|&n| holds_on(n * STRIDE_DAYS))?;
        let last = stride * STRIDE_DAYS;
        (last - STRIDE_DAYS + 1..=last).find(|&days| holds_on(days)).and_then(ahead)
    }
}
