//! What is proposed for the next season, and why.

use jiff::civil::Date;

use super::{PatchReport, Span};
use crate::assess::{Opening, PatchAdvice, Prepared, Response, SurveyAdvice, advise_beside};
use crate::records::{Closure, Fact, Permission, SiteFacts};
use crate::rules::Verdict;

/// Surveys are asked for to this part of the mean, as `survey advise` does.
const PRECISION: f64 = 0.2;

/// One thing that is proposed.
#[derive(Clone, Debug)]
pub enum Proposal<'a> {
    /// The patch declines, and so should its share.
    LowerShare {
        /// Its number.
        patch: usize,
        /// By how much, and what would have to be loaded.
        response: Response,
    },
    /// The patch has not refilled.
    Rest {
        /// Its number.
        patch: usize,
        /// When it opens; `None` where that is not known.
        opening: Option<Opening>,
    },
    /// A survey would add to what may be cut.
    Survey {
        /// Its number.
        patch: usize,
        /// What it would add.
        advice: Box<PatchAdvice>,
    },
    /// A permission has run out, or soon will.
    Renew {
        /// As it is recorded.
        permission: &'a Fact<Permission>,
        /// Why.
        renewal: Renewal,
    },
    /// It was shut this season: whether it shall be again is for the occupier to say.
    CloseAgain {
        /// As it is recorded.
        closure: &'a Fact<Closure>,
    },
}

/// Why a permission wants renewing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Renewal {
    /// It ended on that day.
    Lapsed(Date),
    /// It ends on that day, before the next season does.
    EndsWithin(Date),
}

/// Which of the patches to survey next; the peers help to guess what stands where nobody surveyed.
pub(super) fn survey_advice(patches: &[Prepared], peers: &[Prepared], span: Span) -> SurveyAdvice {
    advise_beside(peers, patches, |_| true, span.to, PRECISION)
}

pub(super) fn proposals<'a>(
    site: &'a SiteFacts,
    advice: &SurveyAdvice,
    patches: &[PatchReport],
    span: Span,
) -> Vec<Proposal<'a>> {
    let kept = |patch: &&PatchReport| patch.facts.retired_by(span.to).is_none();
    let shares = patches.iter().filter(kept).filter_map(|patch| {
        let response = patch.evidence.response.clone()?;
        Some(Proposal::LowerShare { patch: patch.number, response })
    });
    let rests = patches.iter().filter(|patch| patch.now.ruling.verdict == Verdict::Resting);
    let rests =
        rests.map(|patch| Proposal::Rest { patch: patch.number, opening: patch.now.opening });
    let number = |advice: &PatchAdvice| {
        let of_patch = patches.iter().find(|patch| patch.patch().name == advice.patch);
        of_patch.map(|patch| patch.number)
    };
    let surveys = advice.patches.iter().filter_map(|advice| {
        Some(Proposal::Survey { patch: number(advice)?, advice: Box::new(advice.clone()) })
    });
    shares
        .chain(rests)
        .chain(surveys)
        .chain(renewals(site, span))
        .chain(closures(site, span))
        .collect()
}

/// Permissions of this season that do not hold through the next, unless another takes over.
fn renewals(site: &SiteFacts, span: Span) -> impl Iterator<Item = Proposal<'_>> {
    let next = span.season.following();
    let ends = move |permission: &Permission| permission.to.filter(|last| *last < next.last_day());
    let taken_over = move |fact: &Fact<Permission>| {
        site.permissions.iter().any(|other| {
            let (old, new) = (&fact.record, &other.record);
            other.id != fact.id
                && new.to.is_none_or(|last| Some(last) > old.to && last >= next.last_day())
                && new.crops == old.crops
        })
    };
    let of_season =
        site.permissions.iter().filter(move |fact| span.meets(fact.record.from, fact.record.to));
    of_season.filter(move |fact| !taken_over(fact)).filter_map(move |fact| {
        let last = ends(&fact.record)?;
        let renewal =
            if last <= span.to { Renewal::Lapsed(last) } else { Renewal::EndsWithin(last) };
        Some(Proposal::Renew { permission: fact, renewal })
    })
}

/// Closures of more than a week (our own choice, no source): a shoot day is no rule for next
/// year.
fn closures(site: &SiteFacts, span: Span) -> impl Iterator<Item = Proposal<'_>> {
    const A_WEEK: i32 = 7;
    let long = |closure: &Closure| {
        closure.to.is_none_or(|last| (last - closure.from).get_days() >= A_WEEK)
    };
    let met = site.closures.iter().filter(move |fact| span.meets(fact.record.from, fact.record.to));
    met.filter(move |fact| long(&fact.record)).map(|closure| Proposal::CloseAgain { closure })
}
