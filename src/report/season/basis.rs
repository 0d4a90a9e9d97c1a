//! How the numbers were found, how sure they are, what nobody knows, and what to beware of.

use super::granted::all_granted;
use crate::assess::season_report::{PatchReport, SeasonReport};
use crate::report::cautions::{for_reward, sentences};
use crate::report::evidence::newest;
use crate::report::page::{Block, Section};

const FOUND: &str = "What stands is measured by surveys of small frames or counted plants. Between \
    surveys the crop is taken to grow back as fast as the profile of its plant says, glances of \
    the people who were there move it a little, and every cut lowers it. What may be cut on a \
    day is a share of what stands that cutting uses up and regrowth refills; permissions, \
    closures, seasons and codes of practice may allow less, and the lowest decides.";

const NOT_KNOWN: [&str; 7] = [
    "Whatever was cut by others, or not written down.",
    "Drought, pests, frost, grazing, mowing, and stands that shrink at their edges.",
    "How much a patch carried before it was first measured: one that was worn by then looks full.",
    "Whether the plants recover as fast as their profile says; most such figures are common \
     practice without a published source.",
    "Whether quadrats that are said to be drawn by chance were.",
    "Where people trod: each is counted as one pass in and one out, spread over the whole patch.",
    "What grows, nests or lives on the patches beside the crop.",
];

pub(super) fn how_sure(report: &SeasonReport) -> Section {
    let mut blocks = vec![Block::Note(FOUND.to_owned())];
    blocks.extend(sureness(report));
    blocks.push(Block::Subheading("What is not known".to_owned()));
    blocks.push(Block::Columns(NOT_KNOWN.iter().map(|text| (*text).to_owned()).collect()));
    if !report.granted.is_empty() {
        blocks.push(Block::Subheading("Taken for granted, and where it comes from".to_owned()));
        blocks.push(Block::Columns(all_granted(report)));
    }
    Section {
        id: "sure",
        heading: "How the numbers were found, and how sure they are".to_owned(),
        blocks,
    }
}

fn sureness(report: &SeasonReport) -> Vec<Block> {
    let line = |patch: &PatchReport| {
        let sureness = patch.evidence.sureness.as_ref()?;
        let sure = newest(&patch.now, sureness);
        Some(format!("{} {}: {sure}.", patch.number, patch.name()))
    };
    let lines: Vec<String> = report.patches.iter().filter_map(line).collect();
    if lines.is_empty() {
        return Vec::new();
    }
    let heading = "Newest survey of each patch, ± its doubt (in two cases of three)";
    vec![Block::Subheading(heading.to_owned()), Block::Columns(lines)]
}

pub(super) fn cautions(report: &SeasonReport) -> Section {
    let crops = report.patches.iter().map(PatchReport::crop);
    Section {
        id: "cautions",
        heading: "Cautions".to_owned(),
        blocks: vec![
            Block::Columns(sentences(crops)),
            Block::Subheading("Where a walk is paid for or a box sold".to_owned()),
            Block::Columns(for_reward()),
        ],
    }
}
