//! The evidence and the trend for machines, as part of `stintbook.check/1`.

use serde_json::{Value, json};

use super::column::{Measured, in_unit, number};
use super::evidence::{because, in_short, proposed_override, trend_name};
use crate::assess::{Assessment, BearsOn, Evidence, Eye, How, Response, Sighting, Sureness};
use crate::crop::YearlyChange;
use crate::records::CropOverride;

/// Names amounts with the unit of the patch's crop.
pub(super) struct EvidenceData<'a> {
    pub assessment: &'a Assessment,
    pub evidence: &'a Evidence,
}

impl EvidenceData<'_> {
    pub fn value(&self) -> Value {
        let evidence = self.evidence;
        let sightings = evidence.sightings.iter().map(|sighting| self.sighting(sighting));
        json!({
            "how_sure": evidence.sureness.as_ref().map(|sureness| self.sureness(sureness)),
            "sightings": sightings.collect::<Vec<_>>(),
            "eyes": evidence.eyes.iter().map(eye).collect::<Vec<_>>(),
        })
    }

    fn named(&self, name: &str) -> String {
        in_unit(name, self.assessment.measure())
    }

    fn sureness(&self, sureness: &Sureness) -> Value {
        json!({
            "in_short": in_short(self.assessment, sureness),
            "sampling_units": sureness.n,
            "age_days": sureness.age_days,
            "survey_relative_error": number(sureness.survey_error),
            "glances_since": sureness.glances_since,
            "relative_error_now": number(sureness.error_now),
        })
    }

    fn sighting(&self, sighting: &Sighting) -> Value {
        let (kind, sampling_units, read_as) = match sighting.how {
            How::Survey { n } => ("survey", Some(n), None),
            How::Glance { read_as } => ("glance", None, Some(number(read_as))),
        };
        json!({
            "day": sighting.day.to_string(),
            "age_days": sighting.age_days,
            "by": &*sighting.by,
            "kind": kind,
            "sampling_units": sampling_units,
            (self.named("amount")): number(sighting.amount),
            (self.named("read_as")): read_as,
            "relative_error": number(sighting.relative_error),
            "bears_on": match sighting.bears_on {
                BearsOn::StandingAndFull => "standing and full crop",
                BearsOn::Full => "full crop",
                BearsOn::Standing => "standing crop",
                BearsOn::Looks => "looks",
            },
        })
    }
}

fn eye(eye: &Eye) -> Value {
    json!({
        "observer": &*eye.observer,
        "bias": number(eye.bias),
        "visits_with_survey": eye.visits,
    })
}

pub(super) fn trend(patch: &Assessment, evidence: &Evidence) -> Value {
    let trend = &evidence.trend;
    json!({
        "verdict": trend_name(trend),
        "because": because(trend),
        "change": trend.change().map(change),
        "next_season": evidence.response.as_ref().map(|found| response(patch, found)),
    })
}

fn change(change: &YearlyChange) -> Value {
    json!({
        "per_year": number(change.best),
        "per_year_low": number(change.low),
        "per_year_high": number(change.high),
        "confidence": 0.9,
        "surveys": change.surveys,
        "times_of_year": change.parts_of_year,
        "first": change.first.to_string(),
        "last": change.last.to_string(),
    })
}

fn response(patch: &Assessment, response: &Response) -> Value {
    match response {
        Response::Proposed { kept_standing_now, kept_standing, lost } => json!({
            "kept_standing_now": number(*kept_standing_now),
            "kept_standing_proposed": number(*kept_standing),
            "override": override_of(&proposed_override(patch, *kept_standing, lost)),
        }),
        Response::Made { on, kept_standing } => json!({
            "kept_standing_now": number(*kept_standing),
            "set_on": on.to_string(),
        }),
    }
}

fn override_of(change: &CropOverride) -> Value {
    json!({
        "site": change.site.to_string(),
        "patch": change.patch.as_deref(),
        "crop": &*change.crop,
        "field": change.field.to_string(),
        "value": &*change.value,
        "source": &*change.source,
    })
}
