//! What is said wherever an answer invites someone to pick or to eat.
//!
//! A short form closes every table; the full form stands with a single patch or crop.

use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::sync::Arc;

use super::page::{Block, Section};
use super::stress::Stress;
use crate::catalogue::law;
use crate::records::{Crop, LookAlike, LookAlikeGrade, PlantPart, Status};

const NO_IDENTIFICATION: &str = "This tool does not identify plants.";

/// For all the crops shown: first each crop with what kills and is mistaken for it, then what
/// holds for all.
pub fn sections<'a>(crops: impl IntoIterator<Item = &'a Arc<Crop>>) -> Vec<Section> {
    let crops: Vec<&Arc<Crop>> = crops.into_iter().collect();
    let fatal: Vec<String> = fatal_by_crop(&crops)
        .iter()
        .map(|fatal| format!("{}: {}", fatal.crop.name, fatal.names.join(", ")))
        .collect();
    let fatal = (!fatal.is_empty()).then(|| Section {
        id: "fatal",
        heading: Stress::Danger.on("Fatal look-alikes") + ", crop by crop",
        blocks: vec![Block::Columns(fatal)],
    });
    let for_all = vec![Block::Paragraph(for_all(&crops).join(" "))];
    let for_all = Section { id: "cautions", heading: String::new(), blocks: for_all };
    fatal.into_iter().chain([for_all]).collect()
}

/// The same in lines of at most `width` cells, behind an empty one.
pub fn short<'a>(crops: impl IntoIterator<Item = &'a Arc<Crop>>, width: usize) -> String {
    sections(crops).iter().map(|section| section.text(width)).collect()
}

/// What kills and is mistaken for one crop that is named above it; `None` where nothing is known to.
pub fn fatal_section(crop: &Arc<Crop>) -> Option<Section> {
    let fatal = fatal_by_crop(&[crop]).into_iter().next()?;
    Some(Section { id: "fatal", ..Section::said(Stress::Danger.on(&fatal.sentence())) })
}

/// The same with what holds for all.
pub fn section_for(crop: &Arc<Crop>) -> Section {
    let crops = [crop];
    let fatal = fatal_by_crop(&crops).into_iter();
    let fatal = fatal.map(|fatal| Stress::Danger.on(&fatal.sentence()));
    let said = fatal.chain([for_all(&crops).join(" ")]).collect();
    Section { id: "cautions", heading: String::new(), blocks: vec![Block::Paragraphs(said)] }
}

/// The short form, a sentence each; those on fatal look-alikes first.
pub fn sentences<'a>(crops: impl IntoIterator<Item = &'a Arc<Crop>>) -> Vec<String> {
    let crops: Vec<&Arc<Crop>> = crops.into_iter().collect();
    let fatal = fatal_by_crop(&crops);
    fatal.iter().map(FatalOfCrop::sentence).chain(for_all(&crops)).collect()
}

pub(super) fn for_all(crops: &[&Arc<Crop>]) -> Vec<String> {
    let mut all = vec![
        format!(
            "{NO_IDENTIFICATION} Cut and eat only what a competent person has identified for \
             certain."
        ),
        "Have leave; local law and codes of practice come first.".to_owned(),
        "Clean ground only; a small first taste; keep children by you.".to_owned(),
    ];
    if crops.iter().any(|crop| is_of_the_shore(crop)) {
        all.push("On the shore know the tide, the mud and the cliff.".to_owned());
    }
    all
}

/// What a box that is sold, or a walk that is paid for, must have, a sentence each; local law
/// first.
pub fn for_reward() -> Vec<String> {
    let first = "If a box is sold or a walk is paid for, have the owner's consent to that too, \
                 best in writing; local law comes before what is said here."
        .to_owned();
    let by_country = law::FOR_REWARD.iter().map(|law| format!("{}: {}.", law.place, law.says));
    [first].into_iter().chain(by_country).collect()
}

/// The same under a heading.
pub fn for_reward_section() -> Section {
    let heading = "Where it is sold or paid for".to_owned();
    Section { id: "reward", heading, blocks: vec![Block::Columns(for_reward())] }
}

/// Everything to know before one crop is cut and eaten, a paragraph each, what kills first.
/// `site` is what is said at the gate of the site, where there is one.
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
    let fatal = FatalOfCrop::of(crop).map(|fatal| fatal.sentence());
    fatal.into_iter().chain([identification]).chain(status(crop)).chain(own).chain(all).collect()
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
         any figure here; what is sold or paid for needs the owner's consent to that too."
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

/// Gravest first, each grade in the order of the catalogue.
pub(super) fn by_gravity(crop: &Crop) -> Vec<&LookAlike> {
    let mut all: Vec<&LookAlike> = crop.look_alikes.iter().collect();
    all.sort_by_key(|look_alike| Reverse(look_alike.grade));
    all
}

/// What each grade means, gravest first, and how a doubt is settled.
pub(super) fn grades_explained() -> Vec<String> {
    let grades = LookAlikeGrade::ALL.into_iter().rev();
    let each = grades.map(|grade| format!("{}: {}", grade.name(), grade.meaning()));
    each.chain([LookAlikeGrade::RULE.to_owned()]).collect()
}

/// For a list: the grade of the gravest look-alike.
pub(super) fn level(crop: &Crop) -> String {
    crop.gravest_look_alike().map_or("-", |gravest| gravest.grade.name()).to_owned()
}

pub(super) fn status(crop: &Crop) -> Option<String> {
    match &crop.status {
        Status::Ordinary => None,
        Status::Protected(reason) => Some(format!("Protected: {}", reason.value)),
        Status::Invasive(caution) => Some(format!("Invasive: {}", caution.value)),
    }
}

/// What kills and is mistaken for one crop.
pub(super) struct FatalOfCrop<'a> {
    pub crop: &'a Crop,
    /// Without the botanist's name behind each, in the order of the catalogue; never empty.
    pub names: Vec<&'a str>,
}

impl<'a> FatalOfCrop<'a> {
    fn of(crop: &'a Crop) -> Option<Self> {
        let fatal = crop.look_alikes.iter().filter(|it| it.grade == LookAlikeGrade::Fatal);
        let names: Vec<&str> = fatal.map(|look_alike| plain_name(&look_alike.name)).collect();
        (!names.is_empty()).then_some(Self { crop, names })
    }

    pub(super) fn sentence(&self) -> String {
        format!("Fatal look-alikes of {}: {}.", self.crop.common_name, self.names.join(", "))
    }
}

/// Each crop once, by name; those without a fatal look-alike are left out.
pub(super) fn fatal_by_crop<'a>(crops: &[&'a Arc<Crop>]) -> Vec<FatalOfCrop<'a>> {
    let by_name: BTreeMap<&str, &'a Crop> =
        crops.iter().map(|&crop| (&*crop.name, crop.as_ref())).collect();
    by_name.into_values().filter_map(FatalOfCrop::of).collect()
}

/// `hemlock` for `hemlock (Conium maculatum)`.
fn plain_name(name: &str) -> &str {
    name.split_once(" (").map_or(name, |(plain, _)| plain)
}

/// Seaweeds, and whatever has the tide among its own cautions.
pub(super) fn is_of_the_shore(crop: &Crop) -> bool {
    crop.part == PlantPart::Frond || names_the_tide(&crop.cautions.value)
}

pub(super) fn names_the_tide(text: &str) -> bool {
    let text = text.to_lowercase();
    ["tide", "high water", "low water"].iter().any(|word| text.contains(word))
}
