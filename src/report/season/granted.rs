//! What the report takes for granted, each thing once, with where it comes from.

use std::collections::{BTreeMap, BTreeSet};

use super::words::sentence;
use crate::assess::season_report::{GrantedOf, SeasonReport};
use crate::report::accounts::accounted;
use crate::report::granted::granted;

/// A sentence each: of the crops by their names, then of surveys.
pub(super) fn all_granted(report: &SeasonReport) -> Vec<String> {
    let mut of_crops: BTreeMap<String, BTreeSet<&str>> = BTreeMap::new();
    let mut of_surveys: BTreeMap<String, usize> = BTreeMap::new();
    for found in &report.granted {
        let of_survey = match found {
            GrantedOf::Crop(crop, what) => {
                of_crops.entry(granted(what)).or_default().insert(crop);
                continue;
            }
            GrantedOf::NewestSurvey(how) => accounted(how),
            GrantedOf::Survey(what) => granted(what),
        };
        *of_surveys.entry(of_survey).or_default() += 1;
    }
    let crops = of_crops.into_iter().map(|(said, crops)| {
        let crops: Vec<&str> = crops.into_iter().collect();
        format!("{}: {said}", crops.join("; "))
    });
    let mut crops: Vec<String> = crops.collect();
    crops.sort();
    let surveys = of_surveys.into_iter().map(|(said, patches)| match patches {
        1 => format!("the newest survey of 1 patch: {said}"),
        n => format!("the newest survey of each of {n} patches: {said}"),
    });
    crops.into_iter().chain(surveys).map(|text| sentence(&text)).collect()
}
