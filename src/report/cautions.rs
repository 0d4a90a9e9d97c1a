//! What is said wherever an answer invites someone to pick or to eat.
//!
//! A short form closes every table; the full form stands with a single patch or crop.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::columns::wrapped;
use crate::records::{Crop, LookAlike, LookAlikeGrade, Part, Status};

const NO_IDENTIFICATION: &str = "This tool does not identify plants.";

/// A few lines of at most `width` columns for all the crops shown; each fatal look-alike is
/// named.
pub fn short<'a>(crops: impl IntoIterator<Item = &'a Arc<Crop>>, width: usize) -> String {
    wrapped(&sentences(crops).join(" "), width, "")
}

/// The short form, a sentence each.
pub fn sentences<'a>(crops: impl IntoIterator<Item = &'a Arc<Crop>>) -> Vec<String> {
    let crops: Vec<&Arc<Crop>> = crops.into_iter().collect();
    let mut all = vec![format!(
        "{NO_IDENTIFICATION} Cut and eat only what a competent person has identified for certain."
    )];
    let fatal = fatal_look_alikes(&crops);
    if !fatal.is_empty() {
        all.push(format!("Fatal look-alikes of these crops: {}.", fatal.join(", ")));
    }
    all.push("Have leave; local law and codes of practice come first.".to_owned());
    all.push("Clean ground only; a small first taste; keep children by you.".to_owned());
    if crops.iter().any(|crop| is_of_the_shore(crop)) {
        all.push("On the shore know the tide, the mud and the cliff.".to_owned());
    }
    all
}

/// Everything to know before one crop is cut and eaten, a paragraph each. `site` is what is
/// said at the gate of the site, where there is one.
pub fn full(crop: &Crop, site: Option<&str>) -> Vec<String> {
    let mut all = vec![format!(
        "{NO_IDENTIFICATION} A competent person must identify every piece for certain, by more \
         than one feature; if in doubt, leave it out."
    )];
    all.extend(look_alikes(crop));
    all.extend(status(crop));
    let own = &crop.cautions.value;
    if !own.is_empty() {
        all.push(format!("Of this crop: {own}"));
    }
    if let Some(site) = site {
        all.push(format!("Of this site: {site}"));
    }
    if is_of_the_shore(crop) {
        all.push(
            "Shore: look up the tide, set a time to turn back, keep from cliff edges and from \
             under them, and never go alone."
                .to_owned(),
        );
    }
    all.push(
        "Clean ground: none from beside busy roads, sprayed or contaminated land, dog walks or \
         below outfalls; wash all of it."
            .to_owned(),
    );
    all.push(
        "First taste: a little, of one kind, and wait; ask the party about allergies, medicines \
         and pregnancy."
            .to_owned(),
    );
    all.push(
        "Children: they pick and eat only what the leader has looked at, piece by piece."
            .to_owned(),
    );
    all.push(
        "Leave and law: the occupier's permission, local law and codes of practice come before \
         any figure here."
            .to_owned(),
    );
    let legal = &crop.legal_note.value;
    if !legal.is_empty() {
        all.push(format!("Known of its standing in law: {legal}"));
    }
    all
}

/// Gravest first, each grade by name.
pub(super) fn by_gravity(crop: &Crop) -> Vec<&LookAlike> {
    let mut all: Vec<&LookAlike> = crop.look_alikes.iter().collect();
    all.sort_by(|a, b| b.grade.cmp(&a.grade).then_with(|| a.name.cmp(&b.name)));
    all
}

/// One line for a list: the gravest thing it can be mistaken for.
pub(super) fn level(crop: &Crop) -> String {
    match crop.gravest_look_alike() {
        Some(look_alike) if look_alike.grade > LookAlikeGrade::Harmless => {
            format!("{}: {}", look_alike.grade.name(), plain_name(&look_alike.name))
        }
        Some(_) => "harmless look-alikes".to_owned(),
        None => "no look-alike on record".to_owned(),
    }
}

fn look_alikes(crop: &Crop) -> Option<String> {
    let named: Vec<String> = by_gravity(crop)
        .iter()
        .map(|look_alike| format!("{} ({})", look_alike.name, look_alike.grade.name()))
        .collect();
    (!named.is_empty()).then(|| format!("Mistaken for it: {}.", named.join("; ")))
}

fn status(crop: &Crop) -> Option<String> {
    match &crop.status {
        Status::Ordinary => None,
        Status::Protected(reason) => Some(format!("Protected: {}", reason.value)),
        Status::Invasive(caution) => Some(format!("Invasive: {}", caution.value)),
    }
}

/// Without the botanist's name behind it, each once, in alphabetical order.
fn fatal_look_alikes<'a>(crops: &[&'a Arc<Crop>]) -> Vec<&'a str> {
    let look_alikes = crops.iter().flat_map(|crop| &crop.look_alikes);
    let fatal = look_alikes.filter(|look_alike| look_alike.grade == LookAlikeGrade::Fatal);
    let names: BTreeSet<&str> = fatal.map(|look_alike| plain_name(&look_alike.name)).collect();
    names.into_iter().collect()
}

/// `hemlock` for `hemlock (Conium maculatum)`.
fn plain_name(name: &str) -> &str {
    name.split_once(" (").map_or(name, |(plain, _)| plain)
}

/// Seaweeds, and whatever has the tide among its own cautions.
fn is_of_the_shore(crop: &Crop) -> bool {
    crop.part == Part::Frond || crop.cautions.value.to_lowercase().contains("tide")
}
