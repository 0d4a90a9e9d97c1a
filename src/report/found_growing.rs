//! Look-alikes that were found growing on patches: they stand before all else.

use super::page::Section;
use super::stress::Stress;
use crate::assess::{Assessment, FoundGrowing};
use crate::records::{Crop, LookAlikeGrade, PatchName};
use crate::units::spoken_day;

const HEADING: &str = "Found growing there";

/// `FATAL: hemlock was found growing on wood/bank on 3 Mar 2027, by Ida; it is taken for … Cut
/// nothing there that …`, as sentences.
pub(super) fn sentence(found: &FoundGrowing, patch: &PatchName, crop: &Crop) -> String {
    let grade = match found.grade {
        Some(LookAlikeGrade::Fatal) => "FATAL: ",
        Some(_) => "",
        None => "HOW GRAVE IS NOT KNOWN: ",
    };
    let site;
    let place = if found.on_site {
        site = patch.site().to_string();
        site.as_str()
    } else {
        &patch.to_string()
    };
    format!(
        "{grade}{} was found growing on {place} on {}, by {}; it is taken for {}. It stands here \
         until someone has seen that it is gone (`stintbook visit \"{place}\" --cleared \"{}\"`).",
        found.name,
        spoken_day(found.found_on),
        found.by,
        crop.common_name,
        found.name
    )
}

/// Before the answer for one patch; `None` where nothing was found.
pub(super) fn before_all(patch: &Assessment) -> Option<Section> {
    let told = patch.found_growing.iter();
    let told = told.map(|found| sentence(found, &patch.patch, &patch.crop));
    Section::list("found", &Stress::Danger.on(HEADING), told.collect())
}

/// Before the week: what may kill, patch by patch; `None` where nothing was found.
pub(super) fn before_week<'a>(patches: impl Iterator<Item = &'a Assessment>) -> Option<Section> {
    let fatal = patches.flat_map(|patch| {
        let may_kill = patch.found_growing.iter().filter(|found| found.may_kill());
        may_kill.map(move |found| sentence(found, &patch.patch, &patch.crop))
    });
    let mut told: Vec<String> = fatal.collect();
    // What was found on a whole site is told once for each crop.
    told.sort();
    told.dedup();
    Section::list("found", &Stress::Danger.on(HEADING), told)
}
