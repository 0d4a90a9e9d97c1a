//! What a season on one site comes to, for those who own the land: plain data, no words.
//!
//! Nothing here names a person. What people wrote in words of their own (notes, reasons,
//! sources of overrides) stays out too, since it may.

mod agreed;
mod before;
mod figure;
mod fingerprint;
mod gaps;
mod granted;
mod patch;
mod proposal;
mod righted;
mod span;
mod trace;
mod visit;
mod walks;
mod years;

use super::{DayRuling, Prepared, SurveyAdvice};
use crate::records::{Fact, Ledger, SiteFacts, SiteName, Walk};
pub use agreed::{Agreement, AskedDays, Held, ShutSpell, WithoutLeave};
pub use before::{SeasonBefore, SeasonTold};
pub use figure::{FigureId, OfPatch, OfSite, UnknownFigure};
pub use gaps::Gaps;
pub use granted::GrantedOf;
pub use patch::PatchReport;
pub use proposal::{Proposal, Renewal};
pub use righted::Righted;
pub use span::{NothingTold, Span, last_day_told};
pub use trace::TracedFact;
pub use visit::Visit;
pub use walks::Walks;
pub use years::{PatchYear, PatchYears, SiteYear, SiteYears, Stood, site_years};

/// One site over one season, as far as it is told.
#[derive(Clone, Debug)]
pub struct SeasonReport<'a> {
    /// The site, with all that counts of it.
    pub site: &'a SiteFacts,
    /// The days that are told.
    pub span: Span,
    /// By the day on which each began.
    pub agreements: Vec<Agreement<'a>>,
    /// By the day on which each began.
    pub shut: Vec<ShutSpell<'a>>,
    /// By day.
    pub without_leave: Vec<WithoutLeave>,
    /// Where the occupier wants to be asked before each visit.
    pub asked: Option<AskedDays>,
    /// By name; numbered from 1.
    pub patches: Vec<PatchReport<'a>>,
    /// By day.
    pub visits: Vec<Visit<'a>>,
    /// Those that cut here, and those of which nothing is told yet.
    pub walks: Walks<'a>,
    /// What it comes to.
    pub told: SeasonTold,
    /// `None` where nothing is recorded of it.
    pub before: Option<SeasonBefore>,
    /// This season and those before it of which something is recorded, each to the same day.
    pub years: SiteYears,
    /// Corrections to records of the site, of the span.
    pub righted: Vec<&'a Righted>,
    /// What the records do not tell.
    pub gaps: Gaps,
    /// For the next season, patch by patch, then permissions and closures.
    pub proposals: Vec<Proposal<'a>>,
    /// Patch by patch.
    pub granted: Vec<GrantedOf>,
    /// Of the facts behind all this; the same facts always have the same.
    pub fingerprint: String,
    /// How many facts those are.
    pub facts: usize,
}

/// What the reports of all sites of a book rest on.
#[derive(Debug)]
pub struct Background<'a> {
    /// All of the book's, prepared up to the span's last day; or those of one site, with those on
    /// which the eyes that glanced there can be checked.
    pub patches: &'a [Prepared<'a>],
    /// Every patch of the crops of which some patch was never surveyed.
    pub peers: &'a [Prepared<'a>],
    /// All that was ever put right.
    pub righted: &'a [Righted],
    /// All that were ever recorded, wherever they start.
    pub walks: Vec<&'a Fact<Walk>>,
    /// What a survey would add, for every patch.
    pub advice: SurveyAdvice,
    /// The days that are told.
    pub span: Span,
}

impl<'a> Background<'a> {
    /// `patches` and `righted` are those of the ledger's book.
    pub fn new(
        ledger: &'a Ledger,
        patches: &'a [Prepared<'a>],
        righted: &'a [Righted],
        span: Span,
    ) -> Self {
        let advice = proposal::survey_advice(patches, patches, span);
        Self { patches, peers: patches, righted, walks: ledger.walks().collect(), advice, span }
    }

    /// For the report of a single site, whose own patches are among `patches`. `peers` has every
    /// patch of the crops of which the site has one that was never surveyed by the span's last
    /// day; `walks` are those of the whole book.
    pub fn of_site(
        patches: &'a [Prepared<'a>],
        peers: &'a [Prepared<'a>],
        walks: Vec<&'a Fact<Walk>>,
        righted: &'a [Righted],
        span: Span,
    ) -> Self {
        let advice = proposal::survey_advice(patches, peers, span);
        Self { patches, peers, righted, walks, advice, span }
    }
}

/// As many seasons as a reader holds side by side.
const MOST_YEARS: usize = 4;

/// The report of one site.
pub fn season_report<'a>(site: &'a SiteFacts, background: &Background<'a>) -> SeasonReport<'a> {
    let Background { patches, peers, righted, span, .. } = *background;
    let name = &site.site.record.name;
    let ever: Vec<&Prepared> = patches.iter().filter(|patch| is_on(patch, name)).collect();
    let mut own = ever.clone();
    own.retain(|patch| patch.is_kept_on(span.season.first_day()));
    let reports: Vec<PatchReport> =
        own.iter().zip(1..).map(|(patch, number)| PatchReport::of(patch, number, span)).collect();
    let all_righted = righted;
    let righted: Vec<&Righted> =
        righted.iter().filter(|righted| righted.concerns(name, span)).collect();
    let visits = visit::visits(&reports, &background.walks, span);
    let walks = Walks::of(name, &background.walks, &visits, span);
    let of_walks = walks.all().map(|walk| walk.id);
    let elsewhere = fingerprint::Elsewhere { patches, peers };
    let facts = fingerprint::facts_behind(site, elsewhere, &righted, of_walks, span);
    SeasonReport {
        site,
        span,
        told: SeasonTold::of(&reports, &visits, righted.len(), span),
        before: before::season_before(site, &ever, &background.walks, all_righted, span),
        years: years::site_years(
            site,
            &ever,
            &background.walks,
            &years::spans_told(site, span, MOST_YEARS),
        ),
        agreements: agreed::agreements(site, &reports, &background.walks, span),
        shut: agreed::shut_spells(site, &reports, span),
        asked: agreed::asked_days(site, &reports, span),
        without_leave: agreed::without_leave(site, &reports),
        visits,
        walks,
        gaps: gaps::gaps(site, &own, &reports, span),
        proposals: proposal::proposals(site, &background.advice, &reports, span),
        granted: granted::granted(&own),
        fingerprint: fingerprint::fingerprint(&facts),
        facts: facts.len(),
        patches: reports,
        righted,
    }
}

fn is_on(patch: &Prepared, site: &SiteName) -> bool {
    patch.site.site.record.name == *site
}

impl SeasonReport<'_> {
    /// What the site is called now.
    pub fn site_name(&self) -> &SiteName {
        &self.site.site.record.name
    }

    /// Every cut over its limit, with its patch, by day.
    pub fn overruns(&self) -> Vec<(&PatchReport<'_>, &DayRuling)> {
        let mut all: Vec<(&PatchReport, &DayRuling)> = self
            .patches
            .iter()
            .flat_map(|patch| patch.overruns().map(move |cut| (patch, cut)))
            .collect();
        all.sort_by_key(|(patch, cut)| (cut.day, patch.number));
        all
    }

    /// Every day on which a patch gave more than it could bear, with the patch, by day.
    pub fn past_bearing(&self) -> Vec<(&PatchReport<'_>, &DayRuling)> {
        self.overruns().into_iter().filter(|(_, cut)| cut.is_past_bearing()).collect()
    }

    /// Where feet came nearest to what the ground bears in a year, and that part of it.
    pub fn most_trodden(&self) -> Option<(&PatchReport<'_>, f64)> {
        let parts = self.patches.iter().filter_map(|patch| {
            Some((patch, patch.feet().part_of_limit.filter(|part| *part > 0.0)?))
        });
        parts.max_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// Whether every term that was agreed was kept, as far as the book can tell.
    pub fn kept_terms(&self) -> bool {
        self.without_leave.is_empty()
            && self.shut.iter().all(|spell| spell.cuts.is_empty())
            && self.agreements.iter().all(Agreement::was_kept)
    }
}
