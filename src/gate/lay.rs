//! Whether new patches lie as patches should: on their site, and not on one another.

use std::collections::HashMap;

use super::places::Places;
use super::sorted::{Fresh, Sorted};
use crate::assess::MOST_SHARED;
use crate::ground::PatchIndex;
use crate::intake::{Place, Problem, Problems};
use crate::records::{Patch, Record};

/// A patch with more than this part of it off its site is on the wrong site, or swapped.
const MOST_OUTSIDE: f64 = 0.5;

/// Everything wrong with the lay of the patches that are new, or are drawn otherwise; `places`
/// has them already. What the book knows was looked at when it came. `numbers` says where in its
/// file each stands.
pub(super) fn problems_of_lay(
    all: &[Sorted],
    numbers: &[HashMap<String, usize>],
    places: &Places,
) -> Option<Vec<Problems>> {
    if !all.iter().flat_map(|sorted| &sorted.facts).any(|fresh| patch_of(fresh, places).is_some()) {
        return None;
    }
    let index = PatchIndex::new(places.patches());
    let problems = all.iter().zip(numbers).filter_map(|(sorted, numbers)| {
        let patches = sorted.facts.iter().filter_map(|fresh| patch_of(fresh, places));
        let problems: Vec<Problem> = patches
            .map(|patch| (numbers.get(&patch.name.to_string()).copied().unwrap_or(1), patch))
            .flat_map(|(number, patch)| {
                let on_site = off_its_site(patch, places);
                let shared = shares_ground(patch, &index, places);
                on_site.into_iter().chain(shared).map(move |(found, expected)| Problem {
                    place: Place::Feature { number, name: Some(patch.name.to_string()) },
                    field: Some("geometry".to_owned()),
                    found,
                    expected,
                })
            })
            .collect();
        let file = sorted.file.as_deref().unwrap_or("what was typed").to_owned();
        (!problems.is_empty()).then_some(Problems { file, problems, more: 0, gave_up: false })
    });
    let problems: Vec<Problems> = problems.collect();
    (!problems.is_empty()).then_some(problems)
}

fn patch_of<'a>(fresh: &'a Fresh, places: &'a Places) -> Option<&'a Patch> {
    match &fresh.fact.fact.record {
        Record::Patch(patch) => Some(patch),
        Record::Redraw(redraw) if redraw.ground.is_some() => places.patch(&redraw.patch),
        _ => None,
    }
}

fn off_its_site(patch: &Patch, places: &Places) -> Option<(String, String)> {
    let site = places.site(patch.name.site())?;
    let inside = places.ground_of(site).covers_share(&patch.footprint);
    let expected = "a patch on its site; see that longitude comes before latitude, and that the \
                    site is the right one";
    let found = match inside {
        inside if inside >= 1.0 - MOST_OUTSIDE => return None,
        inside if inside <= 0.0 => format!("it lies wholly outside `{}`", site.name),
        inside => {
            format!("{:.0} % of it lies outside `{}`", 100.0 * (1.0 - inside), site.name)
        }
    };
    Some((found, expected.to_owned()))
}

fn shares_ground(patch: &Patch, index: &PatchIndex, places: &Places) -> Vec<(String, String)> {
    let Some(position) = places.patch_at(&patch.name) else {
        return Vec::new();
    };
    let area = |patch: &Patch| crate::ground::footprint_area(&patch.footprint).0;
    let shared = index.overlaps_of(position).into_iter().filter(|(other, shared)| {
        shared.0 > MOST_SHARED * area(patch).min(area(index.patch(*other)))
    });
    shared
        .map(|(other, shared)| {
            let found = format!(
                "{shared} of it lie on `{}`, a patch of the same crop",
                index.patch(other).name
            );
            (
                found,
                "patches of one crop that do not overlap, so that nothing is counted twice"
                    .to_owned(),
            )
        })
        .collect()
}
