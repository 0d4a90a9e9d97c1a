//! What an answer takes for granted.

use std::sync::Arc;

use jiff::civil::Date;

use super::Prepared;
use crate::catalogue::Catalogue;
use crate::crop::{Account, account, standing_crop};
use crate::pressure::{Resistance, TroddenGround};
use crate::records::{CropField, Recovery};
use crate::regrowth::{Event, Seen};

/// One thing that is taken for granted. A `source` is a citation, or `common practice, no source`;
/// it is empty where a user wrote it and the answer goes to others, since it may name people.
#[derive(Clone, Debug)]
pub enum Granted {
    /// The crop's profile is of the user's own making.
    OwnProfile {
        /// The crop's name.
        crop: Arc<str>,
        /// Where it stands.
        file: Arc<str>,
        /// Whether the catalogue has one too, which it takes the place of.
        is_in_catalogue: bool,
    },
    /// How fast the crop comes back.
    Recovery(Recovery, Arc<str>),
    /// A part of the crop that is always kept standing.
    KeptStanding {
        /// The part, 0 to 1.
        kept: f64,
        /// The largest share there is for it.
        most: f64,
        /// The largest share once a recovery test is known, where one is waited for.
        most_once_tested: Option<f64>,
        /// Where the part comes from.
        source: Arc<str>,
    },
    /// Recovery counts winters too.
    WholeYears,
    /// Months in which the crop grows are given.
    GrowingMonths(Arc<str>),
    /// None are given: growth follows day length, four weeks late in spring.
    DayLength,
    /// A full crop swings through the year.
    FullSwings,
    /// The user replaced a value of the crop.
    Override {
        /// Which value.
        field: CropField,
        /// What it is now, as it was written.
        value: Arc<str>,
        /// Whether it holds on this patch alone, and not on its site.
        of_patch: bool,
        /// How the user knows.
        source: Arc<str>,
    },
    /// An override whose value the crop cannot take.
    RefusedOverride {
        /// Of which value.
        field: CropField,
        /// Why.
        problem: Arc<str>,
    },
    /// How the newest survey that fits came to its number.
    Survey {
        /// Its day.
        day: Date,
        /// What there is to say of it.
        how: Account,
    },
    /// A survey that does not fit the patch's ground or plants.
    SurveyLeftOut(Date),
    /// How feet are counted.
    Feet {
        /// On what ground.
        ground: TroddenGround,
        /// What it bears.
        resistance: Resistance,
    },
    /// Nobody said how many come.
    OnePerson,
}

/// All that the answer for a patch takes for granted, for so many people.
pub fn assumptions(patch: &Prepared, people: Option<u32>) -> Vec<Granted> {
    let mut all: Vec<Granted> = own_profile(patch).into_iter().collect();
    all.extend(model_values(patch));
    all.extend(overrides(patch));
    all.extend(last_survey(patch));
    all.extend(surveys_left_out(patch));
    let ground = TroddenGround::of(&patch.facts.patch.record, &patch.extent);
    all.push(Granted::Feet { ground, resistance: ground.resistance() });
    all.extend(people.is_none().then_some(Granted::OnePerson));
    all
}

fn own_profile(patch: &Prepared) -> Option<Granted> {
    let (file, crop) = (patch.profile.own_file.clone()?, patch.crop().name.clone());
    let is_in_catalogue = Catalogue::built_in().crop(&crop).is_some();
    Some(Granted::OwnProfile { crop, file, is_in_catalogue })
}

pub(super) fn model_values(patch: &Prepared) -> impl Iterator<Item = Granted> {
    let crop = patch.crop();
    let growth = match &crop.growth_by_month {
        _ if patch.terms.counts_whole_years() => Granted::WholeYears,
        Some(months) => Granted::GrowingMonths(months.source.clone()),
        None => Granted::DayLength,
    };
    let recovery = Granted::Recovery(crop.recovery.value, crop.recovery.source.clone());
    let swings = patch.terms.season.map(|_| Granted::FullSwings);
    [recovery, kept_standing(patch), growth].into_iter().chain(swings)
}

fn kept_standing(patch: &Prepared) -> Granted {
    let is_test = |event: &Event| matches!(event.seen, Seen::Tested(_));
    let by_test = patch.terms.by_test.filter(|_| patch.history.events().iter().any(is_test));
    let kept = &patch.crop().kept_standing;
    Granted::KeptStanding {
        kept: kept.value,
        most: patch.terms.largest_share,
        most_once_tested: by_test.map(|by_test| by_test.tested_share),
        source: kept.source.clone(),
    }
}

fn overrides(patch: &Prepared) -> impl Iterator<Item = Granted> {
    let used = patch.profile.overrides.iter().filter(|applied| applied.refused.is_none());
    let used = used.map(|applied| Granted::Override {
        field: applied.change.field,
        value: applied.change.value.clone(),
        of_patch: applied.change.patch.is_some(),
        source: applied.change.source.clone(),
    });
    let refused = patch.profile.refused();
    used.chain(refused.map(|(field, problem)| Granted::RefusedOverride { field, problem }))
}

/// How the newest survey that fits came to its number.
fn last_survey(patch: &Prepared) -> impl Iterator<Item = Granted> {
    let mut fitting = patch.facts.surveys.iter().rev();
    let until = patch.history.events().last().map(|event| event.day);
    let newest = fitting.find(|fact| {
        Some(fact.happened_on) <= until && standing_crop(&fact.record, &patch.extent).is_some()
    });
    newest.into_iter().flat_map(|fact| {
        let said = account(&fact.record, &patch.extent).into_iter();
        said.map(move |how| Granted::Survey { day: fact.happened_on, how })
    })
}

pub(super) fn surveys_left_out(patch: &Prepared) -> impl Iterator<Item = Granted> {
    let all = patch.facts.surveys.iter();
    let unfit = all.filter(|fact| standing_crop(&fact.record, &patch.extent).is_none());
    unfit.map(|fact| Granted::SurveyLeftOut(fact.happened_on))
}
