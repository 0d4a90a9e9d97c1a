//! The evidence and the trend for machines, as part of `stintbook.check/1`.

use jiff::civil::Date;

use super::column::Measured;
use super::evidence::{TrendWord, because, in_short, proposed_override, trend_word};
use crate::assess::{Assessment, BearsOn, Evidence, Eye, How, Response, Sighting, Sureness};
use crate::crop::YearlyChange;
use crate::json::{InUnit, Perhaps, object, one_of};
use crate::records::CropOverride;

one_of! {
    enum Seen {
        Survey = "survey",
        Glance = "glance",
    }

    enum Bears {
        StandingAndFull = "standing and full crop",
        Full = "full crop",
        Standing = "standing crop",
        Looks = "looks",
    }
}

object! {
    /// What an answer rests on.
    pub(super) struct EvidenceData<'a> {
        how_sure: Option<SurenessData>,
        sightings: Vec<SightingData<'a>>,
        /// How those who judged by eye have erred where a survey told.
        eyes: Vec<EyeData<'a>>,
    }

    struct SurenessData {
        in_short: String,
        sampling_units: usize,
        age_days: i32,
        survey_relative_error: f64,
        glances_since: usize,
        relative_error_now: f64,
    }

    struct SightingData<'a> {
        day: Date,
        age_days: i32,
        by: &'a str,
        kind: Seen,
        sampling_units: Option<usize>,
        amount: InUnit<f64>,
        /// Less the bias of the eye.
        read_as: InUnit<Option<f64>>,
        relative_error: f64,
        bears_on: Bears,
    }

    struct EyeData<'a> {
        observer: &'a str,
        /// Of the logarithm of what is seen.
        bias: f64,
        visits_with_survey: usize,
    }

    /// Whether the patch declines.
    pub(super) struct TrendData {
        verdict: TrendWord,
        because: String,
        change: Option<Change>,
        next_season: Option<ResponseData>,
    }

    struct Change {
        per_year: f64,
        per_year_low: f64,
        per_year_high: f64,
        /// Of the bounds.
        confidence: f64,
        surveys: usize,
        times_of_year: usize,
        first: Date,
        last: Date,
    }

    /// What is proposed, or was decided.
    struct ResponseData {
        kept_standing_now: f64,
        kept_standing_proposed: Perhaps<f64>,
        r#override: Perhaps<OverrideData>,
        set_on: Perhaps<Date>,
    }

    struct OverrideData {
        site: String,
        patch: Option<String>,
        crop: String,
        field: String,
        value: String,
        source: String,
    }
}

impl<'a> EvidenceData<'a> {
    pub fn of(patch: &Assessment, evidence: &'a Evidence) -> Self {
        Self {
            how_sure: evidence.sureness.as_ref().map(|it| sureness(patch, it)),
            sightings: evidence.sightings.iter().map(|it| sighting(patch, it)).collect(),
            eyes: evidence.eyes.iter().map(eye).collect(),
        }
    }
}

fn sureness(patch: &Assessment, sureness: &Sureness) -> SurenessData {
    SurenessData {
        in_short: in_short(patch, sureness),
        sampling_units: sureness.n,
        age_days: sureness.age_days,
        survey_relative_error: sureness.survey_error,
        glances_since: sureness.glances_since,
        relative_error_now: sureness.error_now,
    }
}

fn sighting<'a>(patch: &Assessment, sighting: &'a Sighting) -> SightingData<'a> {
    let (kind, sampling_units, read_as) = match sighting.how {
        How::Survey { n } => (Seen::Survey, Some(n), None),
        How::Glance { read_as } => (Seen::Glance, None, Some(read_as)),
    };
    SightingData {
        day: sighting.day,
        age_days: sighting.age_days,
        by: &sighting.by,
        kind,
        sampling_units,
        amount: InUnit(patch.measure(), sighting.amount),
        read_as: InUnit(patch.measure(), read_as),
        relative_error: sighting.relative_error,
        bears_on: match sighting.bears_on {
            BearsOn::StandingAndFull => Bears::StandingAndFull,
            BearsOn::Full => Bears::Full,
            BearsOn::Standing => Bears::Standing,
            BearsOn::Looks => Bears::Looks,
        },
    }
}

fn eye(eye: &Eye) -> EyeData<'_> {
    EyeData { observer: &eye.observer, bias: eye.bias, visits_with_survey: eye.visits }
}

impl TrendData {
    pub(super) fn of(patch: &Assessment, evidence: &Evidence) -> Self {
        let trend = &evidence.trend;
        Self {
            verdict: trend_word(trend),
            because: because(trend),
            change: trend.change().map(change),
            next_season: evidence.response.as_ref().map(|found| response(patch, found)),
        }
    }
}

fn change(change: &YearlyChange) -> Change {
    Change {
        per_year: change.best,
        per_year_low: change.low,
        per_year_high: change.high,
        confidence: 0.9,
        surveys: change.surveys,
        times_of_year: change.parts_of_year,
        first: change.first,
        last: change.last,
    }
}

fn response(patch: &Assessment, response: &Response) -> ResponseData {
    match response {
        Response::Proposed { kept_standing_now, kept_standing, lost } => ResponseData {
            kept_standing_now: *kept_standing_now,
            kept_standing_proposed: Perhaps(Some(*kept_standing)),
            r#override: Perhaps(Some(override_of(&proposed_override(patch, *kept_standing, lost)))),
            set_on: Perhaps(None),
        },
        Response::Made { on, kept_standing } => ResponseData {
            kept_standing_now: *kept_standing,
            kept_standing_proposed: Perhaps(None),
            r#override: Perhaps(None),
            set_on: Perhaps(Some(*on)),
        },
    }
}

fn override_of(change: &CropOverride) -> OverrideData {
    OverrideData {
        site: change.site.to_string(),
        patch: change.patch.as_deref().map(str::to_owned),
        crop: change.crop.to_string(),
        field: change.field.to_string(),
        value: change.value.to_string(),
        source: change.source.to_string(),
    }
}
