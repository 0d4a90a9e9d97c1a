//! What the report takes for granted, each thing once.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::assess::Prepared;
use crate::assess::assumptions::{model_values, surveys_left_out};
use crate::crop::account;
use crate::records::{Placement, SurveySummary};

/// Stands where a user wrote a source in words of their own, which may name people.
const NOT_SHOWN: &str = "set in the book, with its source there";

pub(super) fn granted(patches: &[&Prepared]) -> Vec<String> {
    let mut of_crops: BTreeMap<String, BTreeSet<&str>> = BTreeMap::new();
    let mut of_surveys: BTreeMap<String, usize> = BTreeMap::new();
    for patch in patches {
        for sentence in of_crop(patch) {
            of_crops.entry(sentence).or_default().insert(&patch.crop().common_name);
        }
        for sentence in newest_survey(patch).chain(surveys_left_out(patch)) {
            *of_surveys.entry(sentence).or_default() += 1;
        }
    }
    let crops = of_crops.into_iter().map(|(sentence, crops)| {
        format!("{}: {sentence}", crops.into_iter().collect::<Vec<_>>().join("; "))
    });
    let mut crops: Vec<String> = crops.collect();
    crops.sort();
    let surveys = of_surveys.into_iter().map(|(sentence, patches)| match patches {
        1 => format!("the newest survey of 1 patch: {sentence}"),
        n => format!("the newest survey of each of {n} patches: {sentence}"),
    });
    crops.into_iter().chain(surveys).collect()
}

fn of_crop(patch: &Prepared) -> Vec<String> {
    let mut shown = (*patch).clone();
    let crop = Arc::make_mut(&mut shown.profile.crop);
    if patch.profile.own_file.is_some() {
        crop.recovery.source = NOT_SHOWN.into();
        crop.kept_standing.source = NOT_SHOWN.into();
        if let Some(months) = &mut crop.growth_by_month {
            months.source = NOT_SHOWN.into();
        }
        if let Some(months) = &mut crop.full_by_month {
            months.source = NOT_SHOWN.into();
        }
    }
    let mut changed = Vec::new();
    for applied in &patch.profile.overrides {
        let change = &applied.change;
        if crop.set(change.field, &change.value, NOT_SHOWN).is_ok() {
            let scope = if change.patch.is_some() { "on one patch" } else { "on this site" };
            changed
                .push(format!("{} is {} {scope}, not the catalogue's", change.field, change.value));
        }
    }
    [model_values(&shown), changed].concat()
}

/// How the newest survey came to its number, without the name of a plan.
fn newest_survey(patch: &Prepared) -> impl Iterator<Item = String> {
    let newest = patch.facts.surveys.iter().rfind(|fact| {
        patch.history.events().last().is_some_and(|event| fact.happened_on <= event.day)
    });
    let told = newest.map(|fact| {
        let placement = match &fact.record.placement {
            Placement::Drawn { .. } => Placement::Drawn { plan: None },
            other => other.clone(),
        };
        account(&SurveySummary { placement, method: fact.record.method.clone() }, &patch.extent)
    });
    told.into_iter().flatten()
}
