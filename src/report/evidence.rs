//! What an answer rests on, how sure it is, and where the patch is heading, as text.

use jiff::civil::Date;

use super::page::{Block, Fact, Section};
use crate::assess::{Assessment, BearsOn, Evidence, Eye, How, Response, Sighting, Sureness};
use crate::crop::{Trend, YearlyChange};
use crate::json::one_of;
use crate::records::{CropField, CropOverride};
use crate::units::{counted, percent, spoken_day};

/// As many sightings as are shown; the JSON holds all.
const SIGHTINGS_SHOWN: usize = 8;
/// A gain over this is told as "over".
const MOST_TOLD: f64 = 9.99;

/// The evidence behind the standing crop; nothing before the first survey.
pub(super) fn how_sure(patch: &Assessment, evidence: &Evidence) -> Option<Section> {
    let sureness = evidence.sureness.as_ref()?;
    let mut facts = vec![Fact::of("in short", in_short(patch, sureness))];
    let shown = evidence.sightings.iter().take(SIGHTINGS_SHOWN);
    facts.extend(shown.map(|sighting| Fact::of(spoken_day(sighting.day), told(patch, sighting))));
    let older = evidence.sightings.len().saturating_sub(SIGHTINGS_SHOWN);
    if older > 0 {
        facts.push(Fact::of("", format!("and {older} older")));
    }
    facts.extend(eyes(&evidence.eyes).map(|eyes| Fact::of("eyes", eyes)));
    Some(Section::facts("how-sure", "How sure", facts))
}

/// `12 quadrats, 21 days old, ±21 %; ±24 % by now, 1 glance since`.
pub(super) fn in_short(patch: &Assessment, sureness: &Sureness) -> String {
    let glances = match sureness.glances_since {
        0 => String::new(),
        n => format!(", {} since", counted(n, "glance")),
    };
    newest(patch, sureness) + &glances
}

/// `12 quadrats, 21 days old, ±21 %; ±24 % by now`.
pub(super) fn newest(patch: &Assessment, sureness: &Sureness) -> String {
    format!(
        "{}, {}, ±{}; ±{} by now",
        sampled(patch, sureness.n),
        age(sureness.age_days),
        percent(sureness.survey_error),
        percent(sureness.error_now)
    )
}

fn sampled(patch: &Assessment, n: usize) -> String {
    if n == 0 {
        return "every piece counted".to_owned();
    }
    counted(n, if patch.ground.plants.is_some() { "plant" } else { "quadrat" })
}

fn age(days: i32) -> String {
    match days {
        0 => "of the same day".to_owned(),
        days => format!("{} old", counted(days.unsigned_abs(), "day")),
    }
}

/// `survey by Tomas, 16 days old: 15.7 kg ±21 %; sets what stands`.
fn told(patch: &Assessment, sighting: &Sighting) -> String {
    let written = patch.crop.show(sighting.amount);
    let (kind, found) = match sighting.how {
        How::Survey { .. } => ("survey", written),
        How::Glance { read_as } => ("glance", as_read(written, patch.crop.show(read_as))),
    };
    let does = match sighting.bears_on {
        BearsOn::StandingAndFull => "sets what stands",
        BearsOn::Full => "for full crop",
        BearsOn::Standing => "moved what stands",
        BearsOn::Looks => "how it looked",
    };
    let (by, age, error) = (&sighting.by, age(sighting.age_days), sighting.relative_error);
    format!("{kind} by {by}, {age}: {found} ±{}; {does}", percent(error))
}

fn as_read(written: String, read: String) -> String {
    if written == read { written } else { format!("{written}, read as {read}") }
}

/// `Ida's eye +12 %, from 5 visits with a survey`; those not measured yet come together.
fn eyes(all: &[Eye]) -> Option<String> {
    let (measured, unmeasured): (Vec<&Eye>, Vec<&Eye>) = all.iter().partition(|eye| eye.visits > 0);
    let mut parts: Vec<String> = measured.iter().map(|eye| measured_eye(eye)).collect();
    let names: Vec<&str> = unmeasured.iter().map(|eye| &*eye.observer).collect();
    if !names.is_empty() {
        parts.push(format!("{}: no visit with a survey yet, taken as said", names.join(", ")));
    }
    (!parts.is_empty()).then(|| parts.join("; "))
}

fn measured_eye(eye: &Eye) -> String {
    let visits = counted(eye.visits, "visit");
    format!("{}'s eye {}, from {visits} with a survey", eye.observer, signed(eye.bias))
}

/// What a patch's surveys say of it through the years, in a word or three.
pub fn trend_name(trend: &Trend) -> &'static str {
    trend_word(trend).name()
}

one_of! {
    /// Where a patch goes from survey to survey.
    pub(super) enum TrendWord {
        Declining = "declining",
        Steady = "steady",
        Rising = "rising",
        NotKnown = "not known yet",
    }
}

pub(super) fn trend_word(trend: &Trend) -> TrendWord {
    match trend {
        Trend::Declining(_) => TrendWord::Declining,
        Trend::Steady(_) => TrendWord::Steady,
        Trend::Rising(_) => TrendWord::Rising,
        Trend::Unclear(_) | Trend::TooFew { .. } | Trend::Bare(_) => TrendWord::NotKnown,
    }
}

pub(super) fn trend(patch: &Assessment, evidence: &Evidence) -> Section {
    let trend = &evidence.trend;
    let mut facts = vec![Fact::of(trend_name(trend), because(trend))];
    facts.extend(evidence.response.iter().map(|found| Fact::of("next season", asks(found))));
    let mut section = Section::facts("trend", "Trend", facts);
    if let Some(Response::Proposed { kept_standing, lost, .. }) = &evidence.response {
        let change = proposed_override(patch, *kept_standing, lost);
        section.blocks.push(Block::Copied(override_file(&change, patch.day)));
    }
    section
}

/// The numbers behind the word, or why there is none.
pub(super) fn because(trend: &Trend) -> String {
    match trend {
        Trend::Declining(change) | Trend::Steady(change) | Trend::Rising(change) => format!(
            "{} a year, 90 % interval {}; {}",
            signed(change.best),
            interval(change),
            surveys(change)
        ),
        Trend::Unclear(change) => format!(
            "{} a year is the best guess, but the 90 % interval, {}, is too wide to tell; {}",
            signed(change.best),
            interval(change),
            surveys(change)
        ),
        Trend::TooFew { surveys: 0, .. } => "never surveyed".to_owned(),
        Trend::TooFew { matched, surveys } => format!(
            "it takes 3 surveys within 45 days of the same day of the year, in two years or \
             more; of {}, {matched} can be paired so",
            counted(*surveys as u32, "survey")
        ),
        Trend::Bare(day) => format!(
            "the survey of {} found nothing, so that no yearly change can be told",
            spoken_day(*day)
        ),
    }
}

/// A clear decline is a reason of its own, whatever the rules allow.
pub(super) fn decline_sentence(evidence: &Evidence) -> String {
    match &evidence.trend {
        Trend::Declining(change) => {
            format!(" The patch is declining, by some {} a year.", percent(-change.best))
        }
        _ => String::new(),
    }
}

fn surveys(change: &YearlyChange) -> String {
    let parts = match change.parts_of_year {
        1 => "at one time of the year".to_owned(),
        parts => format!("at {parts} times of the year, told apart"),
    };
    format!(
        "{} from {} to {}, {parts}",
        counted(change.surveys, "survey"),
        spoken_day(change.first),
        spoken_day(change.last)
    )
}

fn interval(change: &YearlyChange) -> String {
    format!("{} to {}", signed(change.low), signed(change.high))
}

/// `−18 %`, `+12 %`.
fn signed(part: f64) -> String {
    let sign = if part < 0.0 { "−" } else { "+" };
    if part > MOST_TOLD {
        format!("over +{}", percent(MOST_TOLD))
    } else {
        format!("{sign}{}", percent(part.abs()))
    }
}

fn asks(response: &Response) -> String {
    match response {
        Response::Proposed { kept_standing_now, kept_standing, .. } => format!(
            "nothing is lowered by itself. To match the loss, keep {:.1} % standing instead of \
             {:.1} %: the share is then never over {:.1} %, not {:.1} %. To do so, save these two \
             lines as a file, with your name for NAME, and load it:",
            100.0 * kept_standing,
            100.0 * kept_standing_now,
            100.0 * (1.0 - kept_standing),
            100.0 * (1.0 - kept_standing_now)
        ),
        Response::Made { on, kept_standing } => format!(
            "`kept_standing` was set to {kept_standing} for this patch on {}, after the last of \
             these surveys",
            spoken_day(*on)
        ),
    }
}

/// What would have to be loaded, so that next season's share falls by what the patch loses.
pub(super) fn proposed_override(
    patch: &Assessment,
    kept_standing: f64,
    lost: &YearlyChange,
) -> CropOverride {
    let YearlyChange { best, surveys, last, .. } = lost;
    let lost = format!("lost {} a year in {surveys} surveys up to {last}", percent(-best));
    CropOverride {
        site: patch.patch.site().clone(),
        patch: Some(patch.patch.patch().into()),
        crop: patch.crop.name.clone(),
        field: CropField::KeptStanding,
        value: kept_standing.to_string().into(),
        source: lost.into(),
    }
}

/// A CSV of one override, to be signed. No name or source of ours holds a comma.
fn override_file(change: &CropOverride, day: Date) -> String {
    let patch = change.patch.as_deref().unwrap_or_default();
    let CropOverride { site, crop, field, value, source, .. } = change;
    format!(
        "site,patch,crop,field,value,source,date,by\n\
         {site},{patch},{crop},{field},{value},{source},{day},NAME\n"
    )
}
