//! What an answer takes for granted, said with it.

use super::Prepared;
use crate::catalogue::Catalogue;
use crate::crop::{account, standing_crop};
use crate::pressure::{Resistance, TroddenGround};
use crate::records::Sourced;
use crate::regrowth::{Event, Seen};
use crate::units::percent;

/// One sentence each, without its full stop.
pub fn assumptions(patch: &Prepared, people: Option<u32>) -> Vec<String> {
    let mut all: Vec<String> = own_profile(patch).into_iter().collect();
    all.extend(model_values(patch));
    all.extend(overrides(patch));
    all.extend(last_survey(patch));
    all.extend(surveys_left_out(patch));
    all.push(feet(patch));
    if people.is_none() {
        all.push("one person comes; say how many with --people".to_owned());
    }
    all
}

fn own_profile(patch: &Prepared) -> Option<String> {
    let (file, crop) = (patch.profile.own_file.as_ref()?, &patch.crop().name);
    let place = match Catalogue::built_in().crop(crop) {
        Some(_) => ", in the place of the catalogue's",
        None => ", since the catalogue has none",
    };
    Some(format!("the profile of {crop} is your own, from `{file}`{place}"))
}

pub(super) fn model_values(patch: &Prepared) -> Vec<String> {
    let crop = patch.crop();
    let recovery = crop.recovery.value;
    let mut all = vec![
        sourced(
            &crop.recovery,
            format!(
                "cut by {}, the crop is back to 95 % of full in {} days",
                percent(recovery.take_fraction),
                recovery.days
            ),
        ),
        sourced(&crop.kept_standing, kept_standing(patch)),
    ];
    all.push(match &crop.growth_by_month {
        _ if patch.terms.counts_whole_years() => {
            "recovery is counted in whole years, winters included".to_owned()
        }
        Some(months) => sourced(months, "the growing months are given for this crop".to_owned()),
        None => "no growing months are given: growth is taken to follow day length, and spring \
                 to come four weeks late"
            .to_owned(),
    });
    all.extend(full_swings(patch));
    all
}

/// The curve itself is long, and so are its sources.
fn full_swings(patch: &Prepared) -> Option<String> {
    let said = "a full crop swings through the year, as `stintbook crops` shows";
    patch.terms.season.map(|_| said.to_owned())
}

fn kept_standing(patch: &Prepared) -> String {
    let kept = percent(patch.crop().kept_standing.value);
    let terms = &patch.terms;
    let most = percent(terms.largest_share);
    let is_test = |event: &Event| matches!(event.seen, Seen::Tested(_));
    match terms.by_test.filter(|_| patch.history.events().iter().any(is_test)) {
        Some(by_test) => format!(
            "{kept} is kept standing until a first recovery test, so the share is never over \
             {most}, and then never over {}, refilled at what the test makes believable",
            percent(by_test.tested_share)
        ),
        None => format!("{kept} is always kept standing, so the share is never over {most}"),
    }
}

fn overrides(patch: &Prepared) -> impl Iterator<Item = String> {
    let used = patch.profile.overrides.iter().filter(|applied| applied.refused.is_none());
    let used = used.map(|applied| {
        let change = &applied.change;
        let scope = if change.patch.is_some() { "patch" } else { "site" };
        let (field, value, source) = (change.field, &change.value, &change.source);
        format!("{field} is {value} on this {scope}, not the catalogue's ({source})")
    });
    used.chain(patch.refused_overrides())
}

impl Prepared<'_> {
    pub(super) fn refused_overrides(&self) -> impl Iterator<Item = String> {
        self.profile.overrides.iter().filter_map(|applied| {
            let problem = applied.refused.as_ref()?;
            Some(format!("an override of {} is not used: {problem}", applied.change.field))
        })
    }
}

/// How the newest survey that fits came to its number.
fn last_survey(patch: &Prepared) -> impl Iterator<Item = String> {
    let mut fitting = patch.facts.surveys.iter().rev();
    let until = patch.history.events().last().map(|event| event.day);
    let newest = fitting.find(|fact| {
        Some(fact.happened_on) <= until && standing_crop(&fact.record, &patch.extent).is_some()
    });
    newest.into_iter().flat_map(|fact| {
        let said = account(&fact.record, &patch.extent).into_iter();
        said.map(move |how| format!("survey of {}: {how}", fact.happened_on))
    })
}

pub(super) fn surveys_left_out(patch: &Prepared) -> impl Iterator<Item = String> {
    let unfit = patch
        .facts
        .surveys
        .iter()
        .filter(|fact| standing_crop(&fact.record, &patch.extent).is_none());
    unfit.map(|fact| {
        format!(
            "the survey of {} does not fit this patch's ground or plants and is left out",
            fact.happened_on
        )
    })
}

/// What the count of feet rests on, and how little that is.
fn feet(patch: &Prepared) -> String {
    let ground = TroddenGround::of(&patch.facts.patch.record, &patch.extent);
    let Resistance { passes, source } = ground.resistance();
    match passes {
        None => format!("feet do not wear bare ground ({source})"),
        Some(passes) => format!(
            "feet are counted on {} ({}), two passes for each person who came, and {passes:.0} \
             passes on 100 m² are all that it bears in a year: a rough measure of use, not of wear \
             ({source})",
            ground.area, ground.measured_on
        ),
    }
}

fn sourced<T>(value: &Sourced<T>, sentence: String) -> String {
    format!("{sentence} ({})", value.source)
}
