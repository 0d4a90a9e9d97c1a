//! What the report takes for granted of each of its patches.

use std::sync::Arc;

use crate::assess::assumptions::{model_values, surveys_left_out};
use crate::assess::{Granted, Prepared};
use crate::crop::{Account, account};
use crate::records::{Placement, SurveySummary};

/// Stands where a user wrote a source in words of their own, which may name people.
const NOT_SHOWN: &str = "";

/// One thing that is taken for granted of a patch.
#[derive(Clone, Debug)]
pub enum GrantedOf {
    /// Of its crop, by the crop's common name.
    Crop(Arc<str>, Granted),
    /// Of how its newest survey came to its number, without the name of a plan.
    NewestSurvey(Account),
    /// Of a survey of it.
    Survey(Granted),
}

/// Patch by patch, so that what several share comes several times.
pub(super) fn granted(patches: &[&Prepared]) -> Vec<GrantedOf> {
    patches.iter().flat_map(|patch| of_patch(patch)).collect()
}

fn of_patch(patch: &Prepared) -> impl Iterator<Item = GrantedOf> {
    let crop = of_crop(patch).into_iter();
    let crop = crop.map(|granted| GrantedOf::Crop(patch.crop().common_name.clone(), granted));
    let newest = newest_survey(patch).map(GrantedOf::NewestSurvey);
    crop.chain(newest).chain(surveys_left_out(patch).map(GrantedOf::Survey))
}

fn of_crop(patch: &Prepared) -> Vec<Granted> {
    let mut shown = patch.clone();
    let crop = Arc::make_mut(&mut shown.profile.crop);
    if patch.profile.own_file.is_some() {
        crop.recovery.source = NOT_SHOWN.into();
        crop.kept_standing.source = NOT_SHOWN.into();
        for months in [&mut crop.growth_by_month, &mut crop.full_by_month].into_iter().flatten() {
            months.source = NOT_SHOWN.into();
        }
    }
    let mut changed = Vec::new();
    for applied in &patch.profile.overrides {
        let change = &applied.change;
        if crop.set(change.field, &change.value, NOT_SHOWN).is_ok() {
            changed.push(Granted::Override {
                field: change.field,
                value: change.value.clone(),
                of_patch: change.patch.is_some(),
                source: NOT_SHOWN.into(),
            });
        }
    }
    model_values(&shown).chain(changed).collect()
}

fn newest_survey(patch: &Prepared) -> impl Iterator<Item = Account> {
    let newest = patch.facts.surveys.iter().rfind(|fact| {
        patch.history.events().last().is_some_and(|event| fact.happened_on <= event.day)
    });
    let told = newest.map(|fact| {
        let placement = match &fact.record.placement {
            Placement::Drawn { .. } => Placement::Drawn { plan: None },
            other => other.clone(),
        };
        account(
            &SurveySummary { placement, ripe: None, method: fact.record.method.clone() },
            &patch.extent,
        )
    });
    told.into_iter().flatten()
}
