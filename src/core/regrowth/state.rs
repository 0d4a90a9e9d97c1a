//! The state itself, and how days, surveys, glances and cuts change it.

use jiff::civil::Date;

use super::cuts_made::COUNTS_FROM;
use super::{CutsMade, Growth, Recovering, RecoveryTest, Share, Terms, regrow};
use crate::estimate::{Estimate, lower_bound, t_for_eight_in_ten};
use crate::records::Taken;

/// Growth of the log-variance over one recovery interval, and the most it comes to.
const DOUBT_PER_RECOVERY: f64 = 0.25;
const MOST_DOUBT: f64 = 1.0;
/// No cut is believed to leave less than this part of the full crop.
const LEAST_LEFT: f64 = 0.02;

/// Surveys that make the base.
const BASE_SURVEYS: u32 = 3;

/// What is believed of a patch at the end of a day. Crops in the crop's measure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct State {
    /// At whose end it is so.
    pub day: Date,
    /// Best estimate of the standing crop, B.
    pub standing: f64,
    /// Variance of its logarithm, v.
    pub log_variance: f64,
    /// Full crop K: the mean of all surveys; where the crop has a season, brought to the day.
    pub full: f64,
    /// Kbase: the mean of the first three surveys, or K if that is more; brought to the day too.
    pub base: f64,
    /// The mean of all surveys as they were found, whatever the season.
    pub mean_found: f64,
    /// phi: the share that may be cut, before what shrinks it; below 0 the patch is owed time.
    pub share_left: f64,
    /// What the sight index leaves of the share today, 0 to 1.
    pub thin: f64,
    /// The same from tomorrow on: a basket may lower it at once, but raise it only then, so
    /// that no cut allows more on its own day.
    pub(super) thin_tomorrow: f64,
    /// Where the sight index shuts the patch, how many surveys of the full crop would open it.
    pub surveys_to_reopen: u32,
    /// Earlier days since the first survey on which visitors took at least half of what they might.
    pub visits: u32,
    /// What visitors took today, as a part of what was allowed when each party came.
    used_today: f64,
    was_cut: bool,
    pub(super) cuts_made: CutsMade,
    /// When the last survey was made, and how many there have been.
    pub last_survey: SurveyMemory,
    /// Whether anyone has ever glanced at the patch.
    pub glanced: bool,
    /// What recovery tests say of its rate.
    pub recovering: Recovering,
    /// How much was ripe when somebody said so last, whatever the season.
    pub(super) ripe: Option<RipeTold>,
    /// The part of its former ground that the stand still covers, 1 where it never shrank.
    ground_left: f64,
    /// At the peak of the season.
    survey_sum: f64,
    base_sum: f64,
    /// How deep the season is here, and the logarithm of today's part of the peak: gamma·ln c.
    gamma: f64,
    log_season: f64,
}

/// What somebody said of how much was ripe.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RipeTold {
    /// When.
    pub day: Date,
    /// The part of what will ripen in the season, more than 0 and at most 1.
    pub part: f64,
}

/// What is remembered of the latest survey.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SurveyMemory {
    pub day: Date,
    pub estimate: Estimate,
    /// How many surveys there were in all.
    pub count: u32,
}

impl State {
    /// Whether anything was cut since the first survey, or before it in the same crop year.
    pub fn was_cut(&self) -> bool {
        self.was_cut
    }

    /// The low bound lies half a log-sd under the best estimate: about the 31st percentile.
    pub const LOW_BOUND_Z: f64 = 0.5;
    /// Log-variance of a glance: an ordinary eye errs by a log-sd of 0.4.
    pub const GLANCE_LOG_VARIANCE: f64 = 0.16;

    /// The state that a first survey makes. `cut_before` is what was cut earlier in the same
    /// crop year, which a once-a-year crop has already spent of its share.
    pub fn first(terms: &Terms, day: Date, survey: Estimate, cut_before: f64) -> Self {
        Self::first_of(terms, day, survey, cut_before, Recovering::UNTESTED, 1.0)
    }

    /// The same for a patch that may have been tested before, with a season of that depth.
    pub(super) fn first_of(
        terms: &Terms,
        day: Date,
        survey: Estimate,
        cut_before: f64,
        recovering: Recovering,
        gamma: f64,
    ) -> Self {
        let spent = match cut_before + survey.best {
            stood if stood > 0.0 && !terms.tapers() => cut_before / stood,
            _ => 0.0,
        };
        let log_season = log_season(terms, gamma, day);
        let at_peak = survey.best * (-log_season).exp();
        let full = at_peak * log_season.exp();
        Self {
            day,
            standing: survey.best,
            log_variance: survey.log_variance(),
            full,
            base: full,
            mean_found: survey.best,
            share_left: terms.first_share(&recovering, day) - spent,
            thin: 1.0,
            thin_tomorrow: 1.0,
            surveys_to_reopen: 0,
            visits: 0,
            used_today: 0.0,
            was_cut: cut_before > 0.0,
            cuts_made: CutsMade::NONE,
            last_survey: SurveyMemory { day, estimate: survey, count: 1 },
            glanced: false,
            recovering,
            ripe: None,
            ground_left: 1.0,
            survey_sum: at_peak,
            base_sum: at_peak,
            gamma,
            log_season,
        }
    }

    /// The state on a later day if nothing happens till then.
    pub fn advanced(&self, terms: &Terms, growth: &Growth, to: Date) -> Self {
        // Hours are counted in no time, where a span of days is put together unit by unit.
        let days = (to.duration_since(self.day).as_hours() / 24) as f64;
        if days <= 0.0 {
            return *self;
        }
        let grown = terms.rate_per_day * growth.days_between(self.day, to);
        let log_season = log_season(terms, self.gamma, to);
        let swing = (log_season - self.log_season).exp();
        let doubt = DOUBT_PER_RECOVERY * days / terms.recovery_days;
        let most = self.largest_share(terms);
        let refilled = self.refilled_by(terms, growth, to);
        Self {
            day: to,
            standing: swing * regrow(self.standing, self.full, grown),
            full: swing * self.full,
            base: swing * self.base,
            log_season,
            log_variance: (self.log_variance + doubt).min(MOST_DOUBT.max(self.log_variance)),
            share_left: most - (most - self.share_left) * (-refilled).exp(),
            thin: self.thin_tomorrow,
            visits: self.visits + u32::from(self.used_today >= COUNTS_FROM),
            used_today: 0.0,
            ..*self
        }
    }

    /// m: the most that the share refills to.
    pub fn largest_share(&self, terms: &Terms) -> f64 {
        terms.largest_share_of(&self.recovering)
    }

    /// How far the share refills till a later day: r·∫g dt, at the rate that is believed where
    /// tests can tell it.
    pub fn refilled_by(&self, terms: &Terms, growth: &Growth, to: Date) -> f64 {
        let days = match terms.by_test {
            Some(_) => self.recovering.refilling_days(growth, self.day, to),
            None => growth.days_between(self.day, to),
        };
        terms.rate_per_day * days
    }

    /// Takes in a recovery test that ended today.
    pub(super) fn tested(&mut self, terms: &Terms, test: &RecoveryTest) {
        self.recovering = self.recovering.after(terms, self.day, test);
    }

    /// What a survey found takes the place of what was believed; the means of all surveys move
    /// along.
    pub fn survey(&mut self, survey: Estimate) {
        let count = self.last_survey.count + 1;
        let at_peak = survey.best * (-self.log_season).exp();
        let season = self.log_season.exp();
        self.standing = survey.best;
        self.log_variance = survey.log_variance();
        self.survey_sum += at_peak;
        if count <= BASE_SURVEYS {
            self.base_sum += at_peak;
        }
        let full = self.survey_sum / f64::from(count);
        self.full = season * full;
        self.base = season * full.max(self.base_sum / f64::from(count.min(BASE_SURVEYS)));
        self.mean_found += (survey.best - self.mean_found) / f64::from(count);
        self.last_survey = SurveyMemory { day: self.day, estimate: survey, count };
    }

    /// A judgement by eye, more than 0, from an observer whose eye errs by `bias` (log).
    pub fn glance(&mut self, amount: f64, bias: f64) {
        self.glanced = true;
        let seen = amount.ln() - bias;
        if self.standing <= 0.0 {
            self.standing = seen.exp();
            self.log_variance = Self::GLANCE_LOG_VARIANCE;
            return;
        }
        let weight = self.log_variance / (self.log_variance + Self::GLANCE_LOG_VARIANCE);
        let believed = self.standing.ln();
        self.standing = (believed + weight * (seen - believed)).exp();
        self.log_variance *= 1.0 - weight;
    }

    /// Others took of the crop, nobody knows how much: what stands is doubted by as much as an
    /// eye errs (common practice, no source).
    pub fn disturbed(&mut self) {
        let doubt = self.log_variance + Self::GLANCE_LOG_VARIANCE;
        self.log_variance = doubt.min(MOST_DOUBT.max(self.log_variance));
    }

    /// The stand covers only this part of its former ground. What is believed of it is told for
    /// what is left already; what it once bore is not forgotten.
    pub(super) fn shrunk(&mut self, part: f64) {
        self.ground_left *= part;
        self.base_sum /= part;
        self.mean_found /= part;
        let first = self.base_sum / f64::from(self.last_survey.count.min(BASE_SURVEYS));
        self.base = self.base.max(self.log_season.exp() * first);
    }

    /// The full crop on all the ground that the stand once covered.
    pub fn full_once(&self) -> f64 {
        self.full / self.ground_left
    }

    /// What a cut of `amount` does, given the share that stood just before it; returns what it used
    /// as a part of what was allowed, infinite where nothing was.
    pub fn cut(&mut self, terms: &Terms, amount: f64, taken: Taken, share: &Share) -> f64 {
        self.share_left -= share.spent_by(amount, taken);
        let used = share.used_by(amount, taken);
        self.cuts_made.add(terms.crop_year_start(self.day), self.day, used);
        self.standing = (self.standing - amount).max(LEAST_LEFT * self.full).min(self.standing);
        self.was_cut |= amount > 0.0;
        used
    }

    /// Somebody came and used so much of what was allowed: with half of it, one visit more from
    /// tomorrow on. A pinch shows nothing of what the patch bears. What a test clips from its
    /// squares is no visit.
    pub fn visited(&mut self, used: f64) {
        self.used_today += used;
    }

    /// How many cuts the patch bore in the crop year of `day`, before it.
    pub fn cuts_made_before(&self, terms: &Terms, day: Date) -> u32 {
        self.cuts_made.before(terms.crop_year_start(day), day)
    }

    /// How deep the season of the full crop is here, as a power of the curve of the crop.
    pub fn season_depth(&self) -> f64 {
        self.gamma
    }

    /// The part of its peak that a full crop comes to on this day; 1 for a crop without a season.
    pub fn season_part(&self) -> f64 {
        self.log_season.exp()
    }

    /// What the last survey found, brought to this day by the season of the full crop.
    pub fn found_brought_here(&self, terms: &Terms) -> f64 {
        let SurveyMemory { day, estimate, .. } = self.last_survey;
        let since = self.log_season - log_season(terms, self.gamma, day);
        estimate.best * since.exp()
    }

    /// What a survey is held against where the season is left out of it.
    pub(super) fn mean_or_base(&self, terms: &Terms) -> f64 {
        if terms.season.is_some() { self.mean_found } else { self.base }
    }

    /// The base that a reserve is a part of: where the crop has a season, the laxer of what the
    /// time of year lets expect and what was found on average.
    pub fn reserve_base(&self, terms: &Terms) -> f64 {
        self.base.min(self.mean_or_base(terms))
    }

    /// What was said last this season of how much is ripe, of a crop that comes once a year.
    ///
    /// Fruit only gets riper, so that what was said counts until somebody says more. Where nobody
    /// said anything, what stands is taken to be ripe.
    pub fn ripe(&self, terms: &Terms) -> Option<RipeTold> {
        let this_season = |told: &RipeTold| told.day >= terms.crop_year_start(self.day);
        self.ripe.filter(|told| !terms.tapers() && this_season(told))
    }

    /// The low bound of the standing crop.
    pub fn low(&self) -> f64 {
        lower_bound(self.standing, self.log_variance, Self::LOW_BOUND_Z)
    }

    /// Bounds between which the standing crop lies in some eight cases of ten, in the crop's
    /// measure.
    ///
    /// What is left of the last survey's own doubt counts by Student t, and upwards by its
    /// variance more: quadrats are skewed, and a mean of a few that missed the dense spots is too
    /// low more often than too high. `tests/core/bands.rs` simulates what the bounds hold.
    pub fn eight_in_ten(&self) -> (f64, f64) {
        let survey = &self.last_survey.estimate;
        let measured = survey.log_variance().min(self.log_variance);
        let grown = self.log_variance - measured;
        let t = t_for_eight_in_ten(survey.degrees_of_freedom);
        let z = t_for_eight_in_ten(f64::INFINITY);
        let spread = (t * t * measured + z * z * grown).sqrt();
        (self.standing * (-spread).exp(), self.standing * (spread + measured).exp())
    }

    /// Bounds of the standing crop, `z` log-standard-deviations each way.
    pub fn band(&self, z: f64) -> (f64, f64) {
        let low = lower_bound(self.standing, self.log_variance, z);
        (low, lower_bound(self.standing, self.log_variance, -z))
    }
}

/// gamma·ln c of a day; 0 for a crop without a season.
fn log_season(terms: &Terms, gamma: f64, day: Date) -> f64 {
    terms.season.map_or(0.0, |curve| gamma * curve.log_on(day))
}
