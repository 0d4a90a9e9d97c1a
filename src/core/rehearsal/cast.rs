//! The patches of a season made ready to be played: what their book says, and how far the truth
//! may lie from it.

use std::sync::Arc;

use jiff::ToSpan;
use jiff::civil::Date;

use super::marked::{Between, Marked};
use super::{Draws, Eye, EyeErrors, Nature, Plan, Quadrats, Stand, Tended};
use crate::assess::{DatedAmounts, Prepared};
use crate::records::PatchName;
use crate::regrowth::{Growth, Recovering, RecoveryTest, SeasonCurve, State, Terms};

/// Who looks, surveys and cuts in a rehearsal: an eye that the book does not know yet.
const PARTY: &str = "a party";

/// One patch before the first run.
#[derive(Debug)]
pub(super) struct Role<'a> {
    pub book: Tended<'a>,
    pub state: State,
    pub quadrats: Quadrats,
    pub nature: Nature,
    pub growth: &'a Growth,
    /// How the full crop swings, where it does, and how deep as a power of it, with its
    /// standard deviation.
    pub season: Option<(SeasonCurve, f64, f64)>,
    /// Whether parties glance at it, as they did before.
    pub glances: bool,
    /// The two days of the recovery test that is planned, if it ends within the season.
    pub test: Option<(Date, Date)>,
    /// Nobody has tested it, nor means to, and a test would end within the season.
    pub may_be_tested: bool,
    /// Patches of one crop share what is learnt of eyes; of one crop and site, their caps.
    pub crop: usize,
    pub site_and_crop: usize,
}

/// One patch in one run.
#[derive(Debug)]
pub(super) struct Player<'a> {
    pub book: Tended<'a>,
    pub stand: Stand,
    /// How deep the season really is.
    pub depth: f64,
    pub eye: Eye,
    pub weather: Draws,
    pub surveys: Draws,
    pub looks: Draws,
    /// The last day on which anyone looked.
    pub last_seen: Option<Date>,
    /// What the planned recovery test shows, and when, until the book has it.
    pub test: Option<(Date, RecoveryTest)>,
}

/// All the patches, with what they share.
#[derive(Debug)]
pub(super) struct Cast<'a> {
    pub roles: Vec<Role<'a>>,
    pub patches: Vec<&'a Prepared<'a>>,
    pub crops: usize,
    /// What was cut of each crop on each site before.
    pub site_cuts: Vec<DatedAmounts>,
}

mod stream {
    pub const TRUTH: u64 = 0;
    pub const SURVEYS: u64 = 1;
    pub const LOOKS: u64 = 2;
    pub const STREAMS: u64 = 3;
    /// Those of seasons lie beyond the patches' own.
    pub const SEASONS: u64 = 1 << 40;
    pub const TESTS: u64 = 1 << 41;
}

impl<'a> Cast<'a> {
    /// Patches that were never surveyed play no part: nobody knows what stands there.
    pub fn of(patches: &'a [Prepared<'a>], plan: &Plan) -> Self {
        let mut cast =
            Self { roles: Vec::new(), patches: Vec::new(), crops: 0, site_cuts: Vec::new() };
        let mut crops: Vec<Arc<str>> = Vec::new();
        let mut sites: Vec<(Arc<str>, PatchName)> = Vec::new();
        for patch in patches {
            let book = Tended::new(patch, plan.from, PARTY.into());
            let Some(state) = book.state_on(plan.from) else { continue };
            let name = &patch.facts.patch.record.name;
            let crop = place_of(
                &mut crops,
                |known| *known == patch.crop().name,
                || patch.crop().name.clone(),
            );
            let site_and_crop = place_of(
                &mut sites,
                |(crop, at)| *crop == patch.crop().name && at.site() == name.site(),
                || (patch.crop().name.clone(), name.clone()),
            );
            if site_and_crop == cast.site_cuts.len() {
                cast.site_cuts.push(patch.site_cuts.clone());
            }
            let season = patch
                .terms
                .season
                .map(|curve| (curve, book.play().season_depth(), book.play().season_depth_sd()));
            let last = plan.season.last_day();
            let test =
                test_ends(plan.from, &patch.terms, &patch.growth, last).map(|end| (plan.from, end));
            let is_untested = !state.recovering.is_tested() && !plan.is_tested(patch);
            let survey = state.last_survey.estimate;
            let cv = survey.relative_standard_error() * (survey.n as f64).sqrt();
            cast.roles.push(Role {
                book,
                state,
                quadrats: Quadrats { n: survey.n, cv, factor: 1.0 },
                nature: Nature::of(patch.crop().habit),
                growth: &patch.growth,
                season,
                glances: state.glanced,
                test: test.filter(|_| plan.is_tested(patch)),
                may_be_tested: is_untested && test.is_some(),
                crop,
                site_and_crop,
            });
            cast.patches.push(patch);
        }
        cast.crops = crops.len();
        cast
    }

    /// Draws one run's truth: the same for every plan that is played with the seed.
    pub fn players(&self, seed: u64, run: u64) -> Vec<Player<'a>> {
        let roles = self.roles.iter().zip(0..);
        roles.map(|(role, number)| role.player(seed, run, number)).collect()
    }
}

/// The day of a test's second cut: a recovery interval of growth after the first. `None` where that
/// is after `last`, or where a test of the crop tells nothing.
fn test_ends(from: Date, terms: &Terms, growth: &Growth, last: Date) -> Option<Date> {
    terms.by_test.as_ref()?;
    let days = from.series(1.day()).take_while(|day| *day <= last);
    days.into_iter().find(|day| growth.days_between(from, *day) >= terms.recovery_days)
}

fn place_of<T>(all: &mut Vec<T>, is_it: impl Fn(&T) -> bool, new: impl FnOnce() -> T) -> usize {
    all.iter().position(is_it).unwrap_or_else(|| {
        all.push(new());
        all.len() - 1
    })
}

impl<'a> Role<'a> {
    fn player(&self, seed: u64, run: u64, number: u64) -> Player<'a> {
        let stream = |purpose| Draws::stream(seed, run, number * stream::STREAMS + purpose);
        let (mut truth, mut looks) = (stream(stream::TRUTH), stream(stream::LOOKS));
        let stand = self.stand(&mut truth);
        let eye = EyeErrors::ORDINARY.eye(&mut looks);
        let depth = self.season.map_or(0.0, |(_, depth, sd)| {
            (depth + sd * Draws::stream(seed, run, stream::SEASONS + number).normal()).max(0.0)
        });
        let (book, surveys) = (self.book.clone(), stream(stream::SURVEYS));
        let test = self.test(&stand, &mut Draws::stream(seed, run, stream::TESTS + number));
        let last_seen = None;
        Player { book, stand, depth, eye, weather: truth, surveys, looks, last_seen, test }
    }

    /// What the planned test shows of this run's patch. The few squares are not missed.
    fn test(&self, stand: &Stand, draws: &mut Draws) -> Option<(Date, RecoveryTest)> {
        let (from, end) = self.test?;
        let growth_days = self.growth.days_between(from, end);
        let between = Between {
            grown: stand.rate_per_day * growth_days,
            growth_days,
            test_log_sd: Recovering::COMMON_LOG_SD,
            year_log_sd: self.nature.year_log_sd,
            full_moves_log_sd: 0.0,
        };
        let terms = self.book.case().terms;
        Some((end, Marked::PAIRS.show(between, terms, draws)?))
    }

    /// What may really stand there, by the book's own doubt. One error of the surveys bears on
    /// the standing and the full crop alike.
    fn stand(&self, truth: &mut Draws) -> Stand {
        let State { day, standing, full, log_variance, last_survey, recovering, .. } = self.state;
        let error = truth.normal();
        let drawn = |best: f64, log_variance: f64| {
            best * (error * log_variance.sqrt() - log_variance / 2.0).exp()
        };
        let full_variance = last_survey.estimate.log_variance() / f64::from(last_survey.count);
        let standing = drawn(standing, log_variance);
        let Nature { rate_factor, rate_log_sd, year_log_sd, .. } = self.nature;
        // A test says how fast this patch comes back.
        let (rate_factor, rate_log_sd) = match recovering.is_tested() {
            true => (
                rate_factor * recovering.mean().exp(),
                rate_log_sd.min(recovering.variance_on(day).sqrt()),
            ),
            false => (rate_factor, rate_log_sd),
        };
        Stand {
            full: drawn(full, full_variance) * truth.factor(year_log_sd),
            rate_per_day: self.book.case().terms.rate_per_day
                * rate_factor
                * truth.factor(rate_log_sd),
            standing,
            undisturbed: standing,
            slow_from_few: 0.0,
            store: 1.0,
        }
    }
}
