//! One patch in full for machines: JSON, `stintbook.check/1`.

use jiff::civil::Date;

use super::cautions;
use super::column::Measured;
use super::comeback::ComebackData;
use super::evidence_data::{EvidenceData, TrendData};
use super::fall::FallData;
use super::full_season::FullSeasonData;
use super::granted::all_granted;
use super::reasons::shrinks;
use super::survey_advice_data::{Why, believed_until, doubt_costs, why};
use super::week_data::PatchData;
use crate::assess::{Assessment, Evidence, FoundGrowing, Granted, PatchAdvice};
use crate::ground::Harvestable;
use crate::json::{Declared, Exact, Flat, InUnit, Perhaps, Shape, object, written};
use crate::records::{Habit, LookAlikeGrade};
use crate::regrowth::{Share, State, Validity};
use crate::rules::Reduction;

/// The name and version of what [`check_json`] writes.
pub const CHECK_SCHEMA: &str = "stintbook.check/1";

object! {
    /// The whole answer.
    struct CheckData<'a> {
        on: Date,
        patch: Flat<PatchData<'a>>,
        closes_by_rule: Option<&'a str>,
        /// Look-alikes that somebody found there.
        found_growing: Vec<Found<'a>>,
        ground: Ground<'a>,
        state: Option<Standing>,
        /// How the share that may go now comes about.
        share: Option<ShareData>,
        terms: Terms<'a>,
        reductions: Vec<ReductionData<'a>>,
        /// Why less may go than on an earlier day though nothing was cut.
        limit_fell: Option<FallData<'a>>,
        /// What a further survey would change.
        quadrat_advice: Option<Advice>,
        evidence: EvidenceData<'a>,
        recovery: ComebackData<'a>,
        trend: TrendData,
        /// What is taken for granted, a sentence each.
        assumptions: Vec<String>,
        cautions: Vec<String>,
    }

    struct Found<'a> {
        look_alike: &'a str,
        grade: Option<LookAlikeGrade>,
        found_on: Date,
    }

    struct Ground<'a> {
        footprint_m2: f64,
        harvestable_m2: f64,
        outside_site_m2: f64,
        plants: Option<u32>,
        /// No-take ground that takes a part of it.
        lost_to: Vec<Lost<'a>>,
    }

    struct Lost<'a> {
        zone: &'a str,
        area_m2: f64,
    }

    struct Terms<'a> {
        habit: Habit,
        rate_per_day: Exact,
        recovery_days: f64,
        largest_share: f64,
        visit_part: f64,
        slack: f64,
        slack_with_glances: f64,
        survey_believed_days: Option<i32>,
        survey_believed_until: &'a str,
    }

    struct ReductionData<'a> {
        name: &'a str,
        factor: f64,
        reason: String,
    }

    /// What stands.
    struct Standing {
        day: Date,
        standing: InUnit<f64>,
        standing_low: InUnit<f64>,
        log_variance: f64,
        full: InUnit<f64>,
        base: InUnit<f64>,
        share_left: f64,
        /// What the sight index leaves of the share.
        thin: f64,
        visits: u32,
        glanced: bool,
        last_survey: LastSurvey,
        ripe: Perhaps<RipeData>,
        season: Perhaps<FullSeasonData>,
    }

    struct LastSurvey {
        day: Date,
        surveys: u32,
        best: InUnit<f64>,
        standard_error: InUnit<f64>,
        degrees_of_freedom: f64,
        quadrats: usize,
    }

    struct RipeData {
        part: f64,
        seen_on: Date,
    }

    struct ShareData {
        left: f64,
        visit_part: f64,
        taper: f64,
        thin: f64,
        start: f64,
        slack: f64,
        fraction: f64,
        one_in: Option<u32>,
        low: InUnit<f64>,
        most: InUnit<Option<f64>>,
    }

    struct Advice {
        why: Why,
        believed_until: Option<Date>,
        doubt_costs: Option<f64>,
        day: Date,
        quadrats: usize,
        quadrats_for_precision: Option<usize>,
        adds: InUnit<Option<f64>>,
    }
}

/// Everything the assessment holds, what it rests on, and what it takes for granted.
pub fn check_json(assessment: &Assessment, evidence: &Evidence, granted: &[Granted]) -> String {
    let data = CheckData {
        on: assessment.day,
        patch: Flat(PatchData::of(assessment)),
        closes_by_rule: assessment.closing.map(|closing| closing.rule),
        found_growing: assessment.found_growing.iter().map(found).collect(),
        ground: ground(&assessment.ground),
        state: assessment.state.map(|state| standing(assessment, &state)),
        share: assessment.share.map(|it| share(assessment, &it)),
        terms: terms(assessment),
        reductions: assessment.reductions.iter().map(reduction).collect(),
        limit_fell: evidence.fall.as_ref().map(|fall| FallData::of(assessment, fall)),
        quadrat_advice: evidence.survey.as_ref().map(|it| advice(assessment, it)),
        evidence: EvidenceData::of(assessment, evidence),
        recovery: ComebackData::of(assessment, &evidence.comeback),
        trend: TrendData::of(assessment, evidence),
        assumptions: all_granted(granted),
        cautions: cautions::full(&assessment.crop, assessment.site_cautions.as_deref()),
    };
    written(CHECK_SCHEMA, data)
}

pub(super) fn declared() -> Declared {
    (CHECK_SCHEMA, Shape::of_version::<CheckData>(CHECK_SCHEMA))
}

fn found(found: &FoundGrowing) -> Found<'_> {
    Found { look_alike: &found.name, grade: found.grade, found_on: found.found_on }
}

fn ground(ground: &Harvestable) -> Ground<'_> {
    let lost = ground.lost_to.iter();
    let lost = lost.map(|(zone, area)| Lost { zone, area_m2: area.0 });
    Ground {
        footprint_m2: ground.footprint.0,
        harvestable_m2: ground.harvestable.0,
        outside_site_m2: ground.outside_site.0,
        plants: ground.plants,
        lost_to: lost.collect(),
    }
}

fn terms(assessment: &Assessment) -> Terms<'static> {
    let terms = &assessment.terms;
    let (days, until) = match terms.validity {
        Validity::Days(days) => (Some(days), "days"),
        Validity::OneSeason => (None, "the crop's season ends"),
    };
    Terms {
        habit: terms.habit,
        rate_per_day: Exact(terms.rate_per_day),
        recovery_days: terms.recovery_days,
        largest_share: assessment
            .state
            .map_or(terms.largest_share, |state| state.largest_share(terms)),
        visit_part: terms.visit_part,
        slack: terms.slack,
        slack_with_glances: terms.slack_with_glances,
        survey_believed_days: days,
        survey_believed_until: until,
    }
}

fn reduction(reduction: &Reduction) -> ReductionData<'_> {
    ReductionData { name: reduction.name, factor: reduction.factor, reason: shrinks(reduction) }
}

fn standing(assessment: &Assessment, state: &State) -> Standing {
    let amount = |value| InUnit(assessment.measure(), value);
    let survey = state.last_survey;
    let ripe = state.ripe(&assessment.terms);
    Standing {
        day: state.day,
        standing: amount(state.standing),
        standing_low: amount(state.low()),
        log_variance: state.log_variance,
        full: amount(state.full_once()),
        base: amount(state.base),
        share_left: state.share_left,
        thin: state.thin,
        visits: state.visits,
        glanced: state.glanced,
        last_survey: LastSurvey {
            day: survey.day,
            surveys: survey.count,
            best: amount(survey.estimate.best),
            standard_error: amount(survey.estimate.standard_error),
            degrees_of_freedom: survey.estimate.degrees_of_freedom,
            quadrats: survey.estimate.n,
        },
        ripe: Perhaps(ripe.map(|ripe| RipeData { part: ripe.part, seen_on: ripe.day })),
        // Only of a crop that has one.
        season: Perhaps(FullSeasonData::of(assessment, state)),
    }
}

fn share(assessment: &Assessment, share: &Share) -> ShareData {
    ShareData {
        left: share.left,
        visit_part: share.visit_part,
        taper: share.taper,
        thin: share.thin,
        start: share.start,
        slack: share.slack,
        fraction: share.fraction(),
        one_in: share.one_in(),
        low: InUnit(assessment.measure(), share.low),
        most: InUnit(assessment.measure(), Some(share.most())),
    }
}

fn advice(assessment: &Assessment, advice: &PatchAdvice) -> Advice {
    Advice {
        why: why(advice.why),
        believed_until: believed_until(advice.why),
        doubt_costs: doubt_costs(advice.why),
        day: advice.day,
        quadrats: advice.quadrats,
        quadrats_for_precision: advice.for_precision,
        adds: InUnit(assessment.measure(), advice.at_stake),
    }
}
