//! What a rule is asked about: one patch on one day, with the facts that bear on it.

use std::sync::Arc;

use jiff::ToSpan;
use jiff::civil::Date;

use super::Reason;
use crate::crop::Extent;
use crate::records::{
    Crop, Fact, Hold, Patch, PatchName, Purpose, SiteFacts, Status, Taken, Visit, WalkName,
};
use crate::regrowth::{Growth, History, Share, State, Terms};
use crate::units::Season;

/// How far ahead an opening day is looked for.
const HORIZON_DAYS: i64 = 800;
const STRIDE_DAYS: i64 = 7;

/// What another walk has set aside on a patch, on its day or on a later one.
#[derive(Clone, Debug, PartialEq)]
pub struct Promise {
    /// For which walk.
    pub walk: WalkName,
    /// Its day.
    pub day: Date,
    /// In the crop's measure.
    pub amount: f64,
    /// How much of what is allowed it will use.
    pub taken: Taken,
    /// How many people will cut there.
    pub people: Option<u32>,
}

impl From<&Hold> for Promise {
    fn from(hold: &Hold) -> Self {
        Self {
            walk: hold.walk.clone(),
            day: hold.day,
            amount: hold.amount.value,
            taken: hold.taken,
            people: hold.people,
        }
    }
}

/// What became of a patch that is one no longer.
#[derive(Clone, Debug, PartialEq)]
pub struct Retired {
    /// The first day on which it is none.
    pub since: Date,
    /// In whoever retired it's own words.
    pub why: Option<Arc<str>>,
    /// The patches that stand on its ground now.
    pub into: Vec<PatchName>,
}

/// One patch, one day, and who would come.
#[derive(Clone, Copy, Debug)]
pub struct Case<'a> {
    /// The day asked about.
    pub day: Date,
    /// `None` counts as one person.
    pub people: Option<u32>,
    /// They come in turns, no more at once than the ground has room for.
    pub in_turns: bool,
    /// How they would cut, where a permission asks.
    pub method: Option<&'a str>,
    /// What for, where a permission must say so; `None` for whatever it is for.
    pub purpose: Option<Purpose>,
    /// The site, with all that counts of it.
    pub site: &'a SiteFacts,
    /// What was seen and said on the site up to the day on which is asked, by day.
    pub visits: &'a [Fact<Visit>],
    /// As it is drawn that day.
    pub patch: &'a Patch,
    /// Its profile, as it holds on this patch.
    pub crop: &'a Crop,
    /// What a survey of it speaks for.
    pub extent: Extent,
    /// What its habit sets.
    pub terms: &'a Terms,
    /// How quickly it grows through the year, where it stands.
    pub growth: &'a Growth,
    /// `None` before a first survey.
    pub state: Option<State>,
    /// What was seen and done on the patch.
    pub history: &'a History,
    /// Every cut of this crop on this site, in the order of their days: day, and amount in the
    /// crop's measure.
    pub site_cuts: &'a [(Date, f64)],
    /// What is promised on this patch to other walks, in the order of their days: also what is
    /// promised for days before this one and was not yet cut when it was asked.
    pub promises: &'a [Promise],
    /// What is promised of this crop on this site: day, and amount in the crop's measure.
    pub site_promises: &'a [(Date, f64)],
    /// Another patch of the crop that claims the same ground.
    pub contested: Option<&'a PatchName>,
    /// That it is a patch no longer, from a day on.
    pub retired: Option<&'a Retired>,
    /// Whether anyone will read the reasons. A rehearsal asks millions of times and reads none.
    pub in_words: bool,
}

impl<'a> Case<'a> {
    /// The same case on a later day, if nothing happens till then but what is promised.
    pub fn on(&self, day: Date) -> Self {
        let coming = self.promises_coming();
        let kept = &coming[..coming.partition_point(|promise| promise.day < day)];
        let state = self.state_after(kept);
        let state = state.map(|state| state.advanced(self.terms, self.growth, day));
        Self { day, state, ..*self }
    }

    /// What is promised for this day and later ones.
    pub fn promises_coming(&self) -> &'a [Promise] {
        &self.promises[self.promises.partition_point(|promise| promise.day < self.day)..]
    }

    /// What is promised from `since` to the day before this one.
    pub(super) fn promises_kept(&self, since: Date) -> impl Iterator<Item = &'a Promise> {
        let until = self.promises.partition_point(|promise| promise.day < self.day);
        self.promises[..until].iter().filter(move |promise| since <= promise.day)
    }

    /// The state once these promises have been kept, in the order of their days.
    pub(super) fn state_after(&self, kept: &[Promise]) -> Option<State> {
        let mut state = self.state?;
        for promise in kept {
            state = state.advanced(self.terms, self.growth, promise.day);
            let share = Share::of(&state, self.terms);
            let used = state.cut(self.terms, promise.amount, promise.taken, &share);
            state.visited(used);
        }
        Some(state)
    }

    /// The reason, where anyone reads it.
    pub(super) fn tell(&self, reason: impl FnOnce() -> Reason) -> Reason {
        if self.in_words { reason() } else { Reason::Untold }
    }

    /// The share that may be cut; `None` before a first survey.
    pub fn share(&self) -> Option<Share> {
        self.state.as_ref().map(|state| Share::of(state, self.terms))
    }

    /// An invasive crop needs no protection from being cut.
    pub fn is_invasive(&self) -> bool {
        matches!(self.crop.status, Status::Invasive(_))
    }

    /// How many come, one where nobody said.
    pub fn people_or_one(&self) -> u32 {
        self.people.unwrap_or(1)
    }

    /// The least that is worth cutting, in the crop's measure.
    pub fn smallest_useful(&self) -> f64 {
        self.crop.smallest_useful.value.value
    }

    /// What was cut of this crop on this site that day, in its measure.
    pub fn cut_on_site_today(&self) -> f64 {
        self.cut_on_site(self.day)
    }

    /// The same of the season so far, that day too.
    pub fn cut_on_site_this_season(&self) -> f64 {
        self.cut_on_site(Season::containing(self.day).first_day())
    }

    /// What is promised of this crop on this site for the day itself.
    pub fn promised_on_site_today(&self) -> f64 {
        self.promised_on_site(|day| day == self.day)
    }

    /// The same for its whole season.
    pub fn promised_on_site_this_season(&self) -> f64 {
        let season = Season::containing(self.day);
        self.promised_on_site(|day| season.contains(day))
    }

    fn promised_on_site(&self, counts: impl Fn(Date) -> bool) -> f64 {
        self.site_promises.iter().filter(|(day, _)| counts(*day)).map(|(_, amount)| amount).sum()
    }

    /// From `since` to the day itself.
    fn cut_on_site(&self, since: Date) -> f64 {
        let until = &self.site_cuts[..self.site_cuts.partition_point(|(day, _)| *day <= self.day)];
        let cuts = &until[until.partition_point(|(day, _)| *day < since)..];
        cuts.iter().map(|(_, amount)| amount).sum()
    }

    /// The first later day on which `holds`, within some two years.
    ///
    /// Looks week by week, then day by day: what refills does so over weeks.
    pub fn first_later_day(&self, holds: impl Fn(&Self) -> bool) -> Option<Date> {
        self.first_later_day_if(|_| true, holds)
    }

    /// The same, where a day can be seen not to hold before it is known how the patch stands then.
    pub(super) fn first_later_day_if(
        &self,
        may_hold: impl Fn(Date) -> bool,
        holds: impl Fn(&Self) -> bool,
    ) -> Option<Date> {
        let ahead = |days: i64| self.day.checked_add(days.days()).ok();
        let holds_on =
            |days: i64| ahead(days).is_some_and(|day| may_hold(day) && holds(&self.on(day)));
        let stride = (1..=HORIZON_DAYS / STRIDE_DAYS).find(|&n| holds_on(n * STRIDE_DAYS))?;
        let last = stride * STRIDE_DAYS;
        (last - STRIDE_DAYS + 1..=last).find(|&days| holds_on(days)).and_then(ahead)
    }
}
