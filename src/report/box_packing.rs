//! What goes into which box, and what whoever opens it should know.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::cautions::{fatal_by_crop, look_alikes_in_words};
use super::keeping::keeping;
use super::page::{Block, Section};
use crate::assess::{BoxPlan, BoxWeek, Packed, PackedBox};
use crate::records::Crop;
use crate::units::{noun_for, spoken_day};

/// Crops that would have served and are in no box; nothing where there are none.
pub(super) fn left_out_of_boxes(plan: &BoxPlan) -> Option<Section> {
    let lines = plan.left_out.iter().map(|left_out| {
        let crop = &left_out.crop;
        let why = match left_out.unwanted {
            true => "asked for".to_owned(),
            false => {
                let fatal = fatal_by_crop(&[crop]);
                let names = fatal.first().map_or(String::new(), |fatal| fatal.names.join(", "));
                format!("fatal look-alikes: {names}; --with {} puts it in", crop.name)
            }
        };
        format!("{}: {why}", crop.common_name)
    });
    let blocks = vec![Block::List(lines.collect())];
    let heading = "Left out of every box".to_owned();
    (!plan.left_out.is_empty()).then_some(Section { id: "left-out", heading, blocks })
}

/// A list for each week, then what is to be known of each crop.
pub(super) fn box_packing(plan: &BoxPlan) -> Vec<Section> {
    let of_week = |week: &BoxWeek| {
        let day = week.plan.day;
        let head = format!("{}, {} {}", week.week, day.strftime("%a"), spoken_day(day));
        let boxes: Vec<String> = grouped(&week.boxes)
            .iter()
            .map(|alike| format!("{}: {}", numbers(alike), contents(&alike[0].contents)))
            .collect();
        let none = boxes.is_empty().then(|| "no box is packed".to_owned());
        [Block::Subheading(head), Block::Columns(boxes.into_iter().chain(none).collect())]
    };
    let blocks = plan.weeks.iter().flat_map(of_week).collect();
    let packing = Section { id: "packing", heading: "Packing".to_owned(), blocks };
    let contents = plan.weeks.iter().flat_map(|week| &week.boxes).flat_map(|it| &it.contents);
    let crops: BTreeMap<&str, &Arc<Crop>> =
        contents.map(|packed| (&*packed.crop.name, &packed.crop)).collect();
    let cards: Vec<String> = crops.into_values().map(|crop| card(crop)).collect();
    let with_each = (!cards.is_empty()).then(|| Section {
        id: "cards",
        heading: "To go with each box".to_owned(),
        blocks: vec![Block::Columns(cards), Block::Note(OF_KEEPING.to_owned())],
    });
    [packing].into_iter().chain(with_each).collect()
}

const OF_KEEPING: &str = "How long things keep is common practice, without a source. Whoever opens \
    a box looks at every piece again; what is not known for certain is thrown away.";

/// Boxes with the same in them together, in the order in which they are packed.
fn grouped(boxes: &[PackedBox]) -> Vec<Vec<&PackedBox>> {
    let mut groups: Vec<Vec<&PackedBox>> = Vec::new();
    let said = |packed: &PackedBox| (packed.is_own_week, contents(&packed.contents));
    for packed in boxes {
        match groups.iter_mut().find(|group| said(group[0]) == said(packed)) {
            Some(group) => group.push(packed),
            None => groups.push(vec![packed]),
        }
    }
    groups
}

/// `boxes 1 to 6, 9`, `box 3, to make up`.
fn numbers(alike: &[&PackedBox]) -> String {
    let mut all: Vec<u32> = alike.iter().map(|packed| packed.subscriber).collect();
    all.sort_unstable();
    let runs = all.chunk_by(|one, next| one + 1 == *next).map(|run| match run {
        [one] => one.to_string(),
        [one, next] => format!("{one}, {next}"),
        [first, .., last] => format!("{first} to {last}"),
        [] => String::new(),
    });
    let runs: Vec<String> = runs.collect();
    let noun = noun_for(all.len(), "box");
    let late = if alike[0].is_own_week { "" } else { ", to make up for its own week" };
    format!("{noun} {}{late}", runs.join(", "))
}

fn contents(contents: &[Packed]) -> String {
    let all: Vec<String> = contents
        .iter()
        .map(|packed| format!("{} of {}", packed.crop.show(packed.amount), packed.crop.common_name))
        .collect();
    all.join("; ")
}

/// `Chickweed, tops: for green leaf. Keeping: … Look-alikes: fatal: …`.
fn card(crop: &Crop) -> String {
    let look_alikes = match look_alikes_in_words(crop) {
        none if none.is_empty() => "none that we list, which is no proof".to_owned(),
        some => some,
    };
    format!(
        "{}: for {}. Keeping: {}. Look-alikes: {look_alikes}.",
        crop.common_name,
        crop.kitchen_role,
        keeping(crop.part)
    )
}
