//! The catalogue for the terminal: a table of all crops, and one crop in full.

use unicode_width::UnicodeWidthStr;

use super::cautions;
use super::crop_facts::{CropFact, crop_facts};
use super::layout::{elided, left, paragraph};
use crate::catalogue::law;
use crate::records::{Crop, Habit};
use crate::units::{Measure, Window};

const HABIT: usize = 11;
const SEASON: usize = 13;
/// Room for the longest grade of a look-alike.
const LEAST_CAUTION: usize = 10;
const LEAST_COMMON_NAME: usize = 12;
const LABEL: usize = 18;
/// What the word says where it stands in a source.
const UNCONFIRMED: &str = "Unconfirmed: we know of no source that says so, or did not open the one \
                           we know of. Take it as hearsay and ask someone who knows.";

/// A crop of the catalogue and, where its profile is not built in, the user's file that it
/// comes from.
#[derive(Clone, Copy, Debug)]
pub struct Listed<'a> {
    pub crop: &'a Crop,
    pub own_file: Option<&'a str>,
}

/// A line a crop, of at most `width` columns (80 or more). Names, which people must type, are
/// never cut short.
pub fn crop_table<'a>(crops: impl IntoIterator<Item = Listed<'a>>, width: usize) -> String {
    let crops: Vec<Listed> = crops.into_iter().collect();
    let longest =
        |of: fn(&Listed) -> usize, head: &str| crops.iter().map(of).fold(head.width(), usize::max);
    let name = longest(|listed| listed.marked_name().width(), "crop");
    let free = width.max(80).saturating_sub(name + HABIT + SEASON + 4);
    let common_name = longest(|listed| listed.crop.common_name.width(), "known as")
        .min(free.saturating_sub(LEAST_CAUTION))
        .max(LEAST_COMMON_NAME);
    let caution = free.saturating_sub(common_name);
    let line = |cells: [&str; 5]| {
        let widths = [name, common_name, HABIT, SEASON, caution];
        let fitted: Vec<String> =
            cells.iter().zip(widths).map(|(cell, width)| left(cell, width)).collect();
        format!("{}\n", fitted.join(" ").trim_end())
    };
    let heading = line(["crop", "known as", "habit", "season", "mistaken"]);
    let lines = crops.iter().map(|listed| {
        let crop = listed.crop;
        let season = season(crop.window.value);
        let level = cautions::level(crop, caution);
        line([&listed.marked_name(), &crop.common_name, crop.habit.name(), &season, &level])
    });
    let table: String = std::iter::once(heading).chain(lines).collect();
    let key = "Mistaken: what eating its gravest look-alike does. `stintbook crops CROP` shows one \
               crop in full, with the source of each value.";
    let own = crops.iter().find_map(|listed| listed.own_file);
    let own = own.map_or(String::new(), |file| format!("* Your own, from `{file}`. "));
    format!("{table}\n{}{}", paragraph(&(own + key), width.max(80), ""), grades(width.max(80)))
}

/// Every value with its source, and everything to know before it is eaten.
pub fn crop_profile(listed: Listed, width: usize) -> String {
    let Listed { crop, own_file } = listed;
    let mut text = paragraph(
        &format!("{} ({}): {}", crop.common_name, crop.scientific_name, crop.name),
        width,
        "",
    );
    text.push_str(&paragraph(&in_short(crop), width, ""));
    if let Some(file) = own_file {
        text.push_str(&paragraph(&format!("your own profile, from `{file}`"), width, ""));
    }
    text.push('\n');
    for fact in crop_facts(crop) {
        text.push_str(&with_source(&fact, width));
    }
    text.push_str(&format!("\nWhat the grades of look-alikes mean\n{}", grades(width)));
    text.push_str(&format!("\n{}", paragraph(UNCONFIRMED, width, "")));
    text.push_str("\nThe law in general, local law first\n");
    for law in law::FOR_REWARD.iter().chain(&law::FOR_ALL) {
        text.push_str(&bulleted(&format!("{}: {}.", law.place, law.says), width));
        text.push_str(&paragraph(&format!("source: {}", law.source), width, "    "));
    }
    text.push_str("\nBefore you cut or eat it\n");
    for caution in cautions::standing(cautions::is_of_the_shore(crop)) {
        text.push_str(&bulleted(&caution, width));
    }
    text
}

fn grades(width: usize) -> String {
    cautions::grades_explained().iter().map(|text| bulleted(text, width)).collect()
}

impl Listed<'_> {
    fn marked_name(&self) -> String {
        let mark = if self.own_file.is_some() { " *" } else { "" };
        format!("{}{mark}", self.crop.name)
    }
}

fn in_short(crop: &Crop) -> String {
    let reckoned = match crop.measure {
        Measure::Mass => "weighed".to_owned(),
        Measure::Count => format!("counted by the {}", crop.piece),
    };
    let habit = match crop.habit {
        Habit::FastLeaf => "back within weeks of a cut",
        Habit::SlowLeaf => "back within a season of a cut",
        Habit::OnceAYear => "one crop a year",
        Habit::Slow => "years to come back",
    };
    let counted_off = if crop.countable { "" } else { ", not to be counted off one in N" };
    format!(
        "{}, {}, {reckoned}{counted_off}; {}: {habit}",
        crop.kitchen_role,
        crop.part.name(),
        crop.habit.name()
    )
}

fn with_source(fact: &CropFact, width: usize) -> String {
    let indent = " ".repeat(LABEL);
    let value = paragraph(&fact.value, width, &indent);
    let value = value.strip_prefix(&indent).unwrap_or("\n");
    let label = left(fact.name, LABEL);
    format!("{label}{value}{}", paragraph(&format!("source: {}", fact.source), width, "    "))
}

fn bulleted(text: &str, width: usize) -> String {
    let lines = paragraph(text, width, "  ");
    format!("- {}", lines.strip_prefix("  ").unwrap_or(&lines))
}

/// `1 Mar–15 May`.
fn season(window: Window) -> String {
    if window.is_all_year() {
        return window.spoken();
    }
    elided(&format!("{}–{}", window.from.spoken(), window.to.spoken()), SEASON)
}
