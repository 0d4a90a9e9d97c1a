//! Facts of one patch that do not agree with each other.

use std::sync::Arc;

use jiff::civil::Date;

use super::day_ruling::day_with_reason;
use super::{DayFigures, Prepared};
use crate::records::{
    CountedSummary, Crop, CropField, Cut, Fact, FactId, MethodSummary, PatchName, StratumSummary,
    UnitSummary,
};
use crate::regrowth::{DayByDay, Event, Seen};
use crate::rules::Reason;

/// A glance this many times over or under the survey of the same day is a slip of the pen.
const GLANCE_RATIO: f64 = 4.0;
/// Strata that add up to this part more or less than the patch are not its strata.
const AREA_ERROR: f64 = 0.25;

/// What of one patch does not agree with what.
#[derive(Clone, Debug)]
pub struct Contradiction {
    /// Which patch.
    pub patch: PatchName,
    /// With the overrides of site and patch.
    pub crop: Arc<Crop>,
    /// What it is.
    pub what: Contradicts,
}

/// Facts that do not agree; amounts in the measure of the crop.
#[derive(Clone, Debug)]
pub enum Contradicts {
    /// More was cut on a day than was allowed that morning.
    Overcut {
        /// The cuts of the day.
        cuts: Vec<FactId>,
        /// How they stood to what was allowed.
        ruling: DayFigures,
        /// Why the patch was shut that morning; `None` where it was open.
        why_shut: Option<Box<Reason>>,
        /// What was said of the crop only after that day, each with the day from which.
        put_right: Vec<(CropField, Date)>,
    },
    /// More was cut on a day than can have stood there.
    CutMoreThanStood {
        /// The cuts of the day.
        cuts: Vec<FactId>,
        /// Which day.
        day: Date,
        /// All that was cut.
        taken: f64,
        /// The most that can have stood.
        most: f64,
    },
    /// A glance that is far from the survey of its day.
    Glance {
        /// Which day.
        day: Date,
        /// Who looked.
        by: Arc<str>,
        /// What the glance said.
        glanced: f64,
        /// What the survey found.
        surveyed: f64,
    },
    /// The parts of a survey come to another area than the patch has.
    Strata {
        /// Of the survey.
        survey: FactId,
        /// All parts together, in m².
        total: f64,
        /// What may be cut of the patch, in m².
        ground: f64,
    },
    /// An override whose value the crop cannot take.
    RefusedOverride {
        /// Of which value.
        field: CropField,
        /// Why.
        problem: Arc<str>,
    },
}

/// All of one patch.
pub fn contradictions(patch: &Prepared) -> Vec<Contradiction> {
    let by_day = patch.facts.cuts.chunk_by(|a, b| a.happened_on == b.happened_on);
    let mut played = patch.day_by_day();
    let cuts = by_day.flat_map(|cuts| of_day(patch, &mut played, cuts));
    let refused = patch.profile.refused();
    let refused = refused.map(|(field, problem)| Contradicts::RefusedOverride { field, problem });
    let all = cuts.chain(of_glances(patch)).chain(of_strata(patch)).chain(refused);
    let (name, crop) = (&patch.facts.patch.record.name, patch.crop());
    all.map(|what| Contradiction { patch: name.clone(), crop: crop.clone(), what }).collect()
}

fn of_day(patch: &Prepared, played: &mut DayByDay, cuts: &[Fact<Cut>]) -> Vec<Contradicts> {
    let (ruling, why_shut) = day_with_reason(patch, played, cuts);
    let (day, taken) = (ruling.day, ruling.take.taken);
    let cuts: Vec<FactId> = cuts.iter().map(|cut| cut.id).collect();
    let stood = played.before_cuts_of(day, &patch.history).map(|state| state.band(2.0).1);
    let impossible = stood.filter(|most| taken > *most).map(|most| Contradicts::CutMoreThanStood {
        cuts: cuts.clone(),
        day,
        taken,
        most,
    });
    let overcut = ruling.take.is_over().then(|| {
        let later = patch.profile.later_than(day);
        let put_right = later.map(|applied| (applied.change.field, applied.on)).collect();
        Contradicts::Overcut { cuts, ruling, why_shut, put_right }
    });
    overcut.into_iter().chain(impossible).collect()
}

fn of_glances(patch: &Prepared) -> Vec<Contradicts> {
    let mut found = Vec::new();
    for day in patch.history.events().chunk_by(|a, b| a.day == b.day) {
        let Some(surveyed) = day.iter().find_map(surveyed) else { continue };
        for event in day {
            if let Seen::Glance(glanced) = event.seen
                && !(surveyed / GLANCE_RATIO..=surveyed * GLANCE_RATIO).contains(&glanced)
            {
                let (day, by) = (event.day, event.by.clone());
                found.push(Contradicts::Glance { day, by, glanced, surveyed });
            }
        }
    }
    found
}

fn surveyed(event: &Event) -> Option<f64> {
    match &event.seen {
        Seen::Survey(estimate) => Some(estimate.best),
        _ => None,
    }
}

fn of_strata(patch: &Prepared) -> impl Iterator<Item = Contradicts> {
    let ground = patch.extent.area.0;
    patch.facts.surveys.iter().filter_map(move |survey| {
        let strata = strata_of(&survey.record.method)?;
        let areas: Vec<f64> = strata.iter().filter_map(|stratum| Some(stratum.area?.0)).collect();
        let total: f64 = areas.iter().sum();
        let far = !areas.is_empty() && (total / ground - 1.0).abs() > AREA_ERROR;
        far.then_some(Contradicts::Strata { survey: survey.id, total, ground })
    })
}

fn strata_of(method: &MethodSummary) -> Option<&[StratumSummary]> {
    match method {
        MethodSummary::Quadrats(strata)
        | MethodSummary::Units(UnitSummary { counted: CountedSummary::Sampled(strata), .. }) => {
            Some(strata)
        }
        _ => None,
    }
}
