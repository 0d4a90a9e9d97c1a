//! What one month can cook with, in words.

use jiff::civil::Date;

use super::calendar::{TAKEN_FOR_GRANTED, role_label, said};
use super::cautions;
use super::page::{Block, Document, Section};
use crate::assess::{Ahead, Calendar, PatchYear, RoleCrop, RoleMonth};
use crate::records::Purpose;
use crate::units::{counted, spoken_day};

/// By role and crop, with the patches of each. `month` is one of the calendar's.
pub fn month_document(calendar: &Calendar, month: Date) -> Document {
    let who = match calendar.purpose {
        None | Some(Purpose::Walk) => "a walk of ",
        Some(Purpose::Sale) => "the boxes of ",
        Some(Purpose::OwnUse) => "one's own kitchen in ",
    };
    let (name, day) = (month.strftime("%B %Y"), spoken_day(calendar.on));
    let title = format!("What {who}{name} can cook with, as it looks on {day}");
    let n = calendar.months.iter().position(|first| *first == month.first_of_month());
    let roles = calendar.roles.iter().filter_map(|role| {
        let n = n?;
        let of_month = role.months[n].as_ref()?;
        let blocks = blocks(calendar, of_month, n);
        Some(Section { id: "role", heading: role_label(role), blocks })
    });
    let mut sections: Vec<Section> = roles.collect();
    if sections.is_empty() {
        let nothing = "Nothing is expected to open, nor would a survey or leave open it.";
        sections.push(Section::said(nothing.to_owned()));
    }
    sections.push(Section::said(TAKEN_FOR_GRANTED.to_owned()));
    if !calendar.patches.is_empty() {
        sections.extend(cautions::sections(calendar.patches.iter().map(|patch| &patch.crop)));
    }
    Document { title, kind: "Month", lead: String::new(), sections, foot: Vec::new() }
}

fn blocks(calendar: &Calendar, of_month: &RoleMonth, n: usize) -> Vec<Block> {
    let of_crop = |crop: &RoleCrop| {
        let patches = calendar.patches.iter().filter(|patch| patch.crop.name == crop.crop.name);
        let told = patches.filter_map(|patch| of_patch(patch, n)).collect();
        [Block::Subheading(of_crop(crop)), Block::List(told)]
    };
    of_month.crops.iter().flat_map(of_crop).collect()
}

/// `Ramsons, leaf: 1.2 kg on one day from 2 patches`.
fn of_crop(crop: &RoleCrop) -> String {
    let name = &crop.crop.common_name;
    let patches = counted(crop.patches, "patch");
    match (crop.firm, crop.hoped) {
        (None, _) => format!("{name}: without a limit, from {patches}"),
        (Some(_), hoped) if hoped.is_infinite() => {
            format!("{name}: without a limit, if it is surveyed or permitted first, from {patches}")
        }
        (Some(firm), hoped) if firm > 0.0 && hoped > 0.0 => format!(
            "{name}: {} on one day, {} more if it is surveyed or permitted, from {patches}",
            crop.crop.show(firm),
            crop.crop.show(hoped)
        ),
        (Some(firm), _) if firm > 0.0 => {
            format!("{name}: {} on one day from {patches}", crop.crop.show(firm))
        }
        (Some(_), hoped) if hoped > 0.0 => format!(
            "{name}: perhaps {}, if it is surveyed or permitted first, from {patches}",
            crop.crop.show(hoped)
        ),
        _ => format!("{name}: not known how much, if it is surveyed first, from {patches}"),
    }
}

/// `north wood/bank, from 3 Jan: 650 g at most; …` where it is expected to open.
fn of_patch(patch: &PatchYear, n: usize) -> Option<String> {
    match &patch.months[n].ahead {
        Some(Ahead::Opens(expected)) => {
            Some(format!("{}{}", patch.patch, said(&patch.crop, expected)))
        }
        _ => None,
    }
}
