//! What is said wherever an answer invites someone to pick or to eat.
//!
//! A short form closes every table; the full form stands with a single patch or crop.

use std::collections::BTreeSet;
use std::sync::Arc;

use unicode_width::UnicodeWidthStr;

use super::layout::paragraph;
use crate::records::{Crop, LookAlike, LookAlikeGrade, Part, Status};

const NO_IDENTIFICATION: &str = "This tool does not identify plants.";

/// A few lines of at most `width` columns for all the crops shown; each fatal look-alike is
/// named.
pub fn short<'a>(crops: impl IntoIterator<Item = &'a Arc<Crop>>, width: usize) -> String {
    paragraph(&sentences(crops).join(" "), width, "")
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
    let own = [
        ("Mistaken for it", look_alikes_in_words(crop)),
        ("Of this crop", crop.cautions.value.to_string()),
        ("Of this site", site.unwrap_or_default().to_owned()),
        ("Its standing in law", crop.legal_note.value.to_string()),
    ];
    let own = own.into_iter().filter(|(_, text)| !text.is_empty());
    let own = own.map(|(about, text)| format!("{about}: {text}"));
    let mut all = standing(is_of_the_shore(crop) || site.is_some_and(names_the_tide));
    let identification = all.remove(0);
    [identification].into_iter().chain(status(crop)).chain(own).chain(all).collect()
}

/// What holds for every crop, or for every crop of the shore; identification first.
pub(super) fn standing(on_the_shore: bool) -> Vec<String> {
    const SHORE: &str = "Shore: look up the tide, set a time to turn back, keep from cliff edges \
                         and from under them, and never go alone.";
    let mut all = vec![
        format!(
            "{NO_IDENTIFICATION} A competent person must identify every piece for certain, by \
             more than one feature; if in doubt, leave it out."
        ),
        "Clean ground: none from beside busy roads, sprayed or contaminated land, dog walks or \
         below outfalls; wash all of it."
            .to_owned(),
        "First taste: a little, of one kind, and wait; ask the party about allergies, medicines \
         and pregnancy."
            .to_owned(),
        "Children: they pick and eat only what the leader has looked at, piece by piece."
            .to_owned(),
        "Leave and law: the occupier's permission, local law and codes of practice come before \
         any figure here."
            .to_owned(),
    ];
    if on_the_shore {
        all.push(SHORE.to_owned());
    }
    all
}

/// `fatal: hemlock; harmless: cow parsley`.
pub(super) fn look_alikes_in_words(crop: &Crop) -> String {
    let named: Vec<String> = by_gravity(crop)
        .iter()
        .map(|look_alike| format!("{}: {}", look_alike.grade.name(), look_alike.name))
        .collect();
    named.join("; ")
}

/// Gravest first, each grade by name.
pub(super) fn by_gravity(crop: &Crop) -> Vec<&LookAlike> {
    let mut all: Vec<&LookAlike> = crop.look_alikes.iter().collect();
    all.sort_by(|a, b| b.grade.cmp(&a.grade).then_with(|| a.name.cmp(&b.name)));
    all
}

/// For a list: the grade of the gravest look-alike, with its name where `room` columns hold it.
pub(super) fn level(crop: &Crop, room: usize) -> String {
    let Some(gravest) = crop.gravest_look_alike() else { return "-".to_owned() };
    let grade = gravest.grade.name();
    let named = format!("{grade}: {}", plain_name(&gravest.name));
    if named.width() <= room { named } else { grade.to_owned() }
}

pub(super) fn status(crop: &Crop) -> Option<String> {
    match &crop.status {
        Status::Ordinary => None,
        Status::Protected(reason) => Some(format!("Protected: {}", reason.value)),
        Status::Invasive(caution) => Some(format!("Invasive: {}", caution.value)),
    }
}

/// Without the botanist's name behind it, each once, in alphabetical order.
pub(super) fn fatal_look_alikes<'a>(crops: &[&'a Arc<Crop>]) -> Vec<&'a str> {
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
pub(super) fn is_of_the_shore(crop: &Crop) -> bool {
    crop.part == Part::Frond || names_the_tide(&crop.cautions.value)
}

pub(super) fn names_the_tide(text: &str) -> bool {
    let text = text.to_lowercase();
    ["tide", "high water", "low water"].iter().any(|word| text.contains(word))
}
