//! One patch in full for machines: JSON, `stintbook.check/1`.

use serde_json::{Map, Value, json};

use super::column::{Measured, document, in_unit, number, optional};
use super::evidence_data::{EvidenceData, trend};
use super::granted::all_granted;
use super::survey_advice_data::{believed_until, doubt_costs, name};
use super::week_data::patch_with_ceilings;
use super::{cautions, comeback, fall, full_season};
use crate::assess::{Assessment, Evidence, FoundGrowing, Granted, PatchAdvice};
use crate::ground::Harvestable;
use crate::regrowth::{RipeTold, Share, State, Validity};
use crate::rules::Reduction;

/// The name and version of what [`check_json`] writes.
pub const CHECK_SCHEMA: &str = "stintbook.check/1";

/// Everything the assessment holds, what it rests on, and what it takes for granted.
pub fn check_json(assessment: &Assessment, evidence: &Evidence, granted: &[Granted]) -> String {
    let mut fields = Map::new();
    fields.insert("schema".to_owned(), CHECK_SCHEMA.into());
    fields.insert("on".to_owned(), assessment.day.to_string().into());
    if let Value::Object(patch) = patch_with_ceilings(assessment) {
        fields.extend(patch);
    }
    let amounts = Amounts { assessment };
    let closes_by = assessment.closing.map(|closing| closing.rule);
    let rest = [
        ("closes_by_rule", json!(closes_by)),
        ("found_growing", assessment.found_growing.iter().map(found).collect()),
        ("ground", ground(&assessment.ground)),
        ("state", assessment.state.map_or(Value::Null, |state| amounts.state(&state))),
        ("share", assessment.share.map_or(Value::Null, |share| amounts.share(&share))),
        ("terms", terms(assessment)),
        ("reductions", assessment.reductions.iter().map(reduction).collect()),
        ("limit_fell", json!(evidence.fall.as_ref().map(|fall| fall::value(assessment, fall)))),
        ("quadrat_advice", json!(evidence.survey.as_ref().map(|it| amounts.advice(it)))),
        ("evidence", EvidenceData { assessment, evidence }.value()),
        ("recovery", comeback::value(assessment, &evidence.comeback)),
        ("trend", trend(assessment, evidence)),
        ("assumptions", json!(all_granted(granted))),
        ("cautions", json!(cautions::full(&assessment.crop, assessment.site_cautions.as_deref()))),
    ];
    fields.extend(rest.map(|(name, value)| (name.to_owned(), value)));
    document(&Value::Object(fields))
}

fn found(found: &FoundGrowing) -> Value {
    json!({
        "look_alike": &*found.name,
        "grade": found.grade.map(|grade| grade.name()),
        "found_on": found.found_on.to_string(),
    })
}

fn ground(ground: &Harvestable) -> Value {
    let lost = ground.lost_to.iter();
    let lost = lost.map(|(zone, area)| json!({ "zone": &**zone, "area_m2": number(area.0) }));
    json!({
        "footprint_m2": number(ground.footprint.0),
        "harvestable_m2": number(ground.harvestable.0),
        "outside_site_m2": number(ground.outside_site.0),
        "plants": ground.plants,
        "lost_to": lost.collect::<Vec<_>>(),
    })
}

fn terms(assessment: &Assessment) -> Value {
    let terms = &assessment.terms;
    let largest_share =
        assessment.state.map_or(terms.largest_share, |state| state.largest_share(terms));
    let (days, until) = match terms.validity {
        Validity::Days(days) => (Some(days), "days"),
        Validity::OneSeason => (None, "the crop's season ends"),
    };
    json!({
        "habit": terms.habit.name(),
        "rate_per_day": terms.rate_per_day,
        "recovery_days": number(terms.recovery_days),
        "largest_share": number(largest_share),
        "visit_part": number(terms.visit_part),
        "slack": number(terms.slack),
        "slack_with_glances": number(terms.slack_with_glances),
        "survey_believed_days": days,
        "survey_believed_until": until,
    })
}

fn reduction(reduction: &Reduction) -> Value {
    json!({
        "name": reduction.name,
        "factor": number(reduction.factor),
        "reason": reduction.reason,
    })
}

/// Names each amount with the unit of the patch's crop.
struct Amounts<'a> {
    assessment: &'a Assessment,
}

impl Amounts<'_> {
    fn named(&self, name: &str) -> String {
        in_unit(name, self.assessment.measure())
    }

    fn state(&self, state: &State) -> Value {
        let survey = state.last_survey;
        let mut told = json!({
            "day": state.day.to_string(),
            (self.named("standing")): number(state.standing),
            (self.named("standing_low")): number(state.low()),
            "log_variance": number(state.log_variance),
            (self.named("full")): number(state.full_once()),
            (self.named("base")): number(state.base),
            "share_left": number(state.share_left),
            "thin": number(state.thin),
            "visits": state.visits,
            "glanced": state.glanced,
            "last_survey": {
                "day": survey.day.to_string(),
                "surveys": survey.count,
                (self.named("best")): number(survey.estimate.best),
                (self.named("standard_error")): number(survey.estimate.standard_error),
                "degrees_of_freedom": number(survey.estimate.degrees_of_freedom),
                "quadrats": survey.estimate.n,
            },
        });
        if let Some(RipeTold { day, part }) = state.ripe(&self.assessment.terms) {
            told["ripe"] = json!({ "part": number(part), "seen_on": day.to_string() });
        }
        // Only of a crop that has one.
        if let Some(season) = full_season::value(self.assessment, state) {
            told["season"] = season;
        }
        told
    }

    fn share(&self, share: &Share) -> Value {
        json!({
            "left": number(share.left),
            "visit_part": number(share.visit_part),
            "taper": number(share.taper),
            "thin": number(share.thin),
            "start": number(share.start),
            "slack": number(share.slack),
            "fraction": number(share.fraction()),
            "one_in": share.one_in(),
            (self.named("low")): number(share.low),
            (self.named("most")): optional(Some(share.most())),
        })
    }

    fn advice(&self, advice: &PatchAdvice) -> Value {
        json!({
            "why": name(advice.why),
            "believed_until": believed_until(advice.why).map(|day| day.to_string()),
            "doubt_costs": doubt_costs(advice.why).map(number),
            "day": advice.day.to_string(),
            "quadrats": advice.quadrats,
            "quadrats_for_precision": advice.for_precision,
            (self.named("adds")): optional(advice.at_stake),
        })
    }
}
