//! The catalogue in words: a table of all crops, and one crop in full.

use super::cautions;
use super::crop_facts::crop_facts;
use super::page::{Block, Cell, Column, Document, Fact, Section, Table};
use crate::catalogue::law;
use crate::records::{Crop, Habit};
use crate::units::{Measure, Window, counted};

/// What the word says where it stands in a source.
const UNCONFIRMED: &str = "Unconfirmed: we know of no source that says so, or did not open the one \
                           we know of. Take it as hearsay and ask someone who knows.";

/// A crop of the catalogue and, where its profile is not built in, the user's file that it
/// comes from.
#[derive(Clone, Copy, Debug)]
pub struct Listed<'a> {
    /// Its profile.
    pub crop: &'a Crop,
    /// `None` for one that is built in.
    pub own_file: Option<&'a str>,
}

/// A row a crop. Names, which people must type, stand whole.
pub fn crops_document<'a>(crops: impl IntoIterator<Item = Listed<'a>>) -> Document {
    let crops: Vec<Listed> = crops.into_iter().collect();
    let columns = vec![
        Column::name("crop"),
        Column::words("known as"),
        Column::words("season"),
        Column::words("mistaken"),
    ];
    let row = |listed: &Listed| {
        let crop = listed.crop;
        let (known_as, season) = (plain_name(crop), season(crop.window.value));
        [listed.marked_name(), known_as.to_owned(), season, cautions::level(crop)]
            .map(Cell::of)
            .to_vec()
    };
    let own = crops.iter().find_map(|listed| listed.own_file);
    let own = own.map_or(String::new(), |file| format!("* Your own, from `{file}`. "));
    let rows = crops.iter().map(row).collect();
    let table = Table { caption: "The crops".to_owned(), columns, rows };
    let table = Section { id: "crops", heading: String::new(), blocks: vec![Block::Table(table)] };
    let grades = Section {
        id: "grades",
        heading: String::new(),
        blocks: vec![
            Block::Paragraph(format!("{own}{KEY}")),
            Block::List(cautions::grades_explained()),
        ],
    };
    Document {
        title: format!("{} of the catalogue", counted(crops.len(), "crop")),
        kind: "Crops",
        lead: String::new(),
        sections: vec![table, grades],
        foot: Vec::new(),
    }
}

const KEY: &str = "Mistaken: what eating its gravest look-alike does. `stintbook crops CROP` shows \
    one crop in full, with the source of each value.";

/// `Garlic mustard` for `Garlic mustard (Jack-by-the-hedge), leaf`.
pub(super) fn plain_name(crop: &Crop) -> &str {
    let name = &crop.common_name;
    name.find([',', '(']).map_or(name, |end| name[..end].trim_end())
}

/// Every value with its source, and everything to know before it is eaten.
pub fn crop_document(listed: Listed) -> Document {
    let Listed { crop, own_file } = listed;
    let own = own_file.map(|file| format!("your own profile, from `{file}`"));
    let lead = [Some(in_short(crop)), own];
    let values = crop_facts(crop).into_iter();
    let values = values.map(|it| Fact::of(it.name, it.value).source(it.source)).collect();
    let law = law::FOR_REWARD.iter().chain(&law::FOR_ALL);
    let law = law.map(|law| Fact::of(law.place, format!("{}.", law.says)).source(law.source));
    let standing = cautions::standing(cautions::is_of_the_shore(crop));
    let sections = [
        Some(Section::facts("values", "", values)),
        Section::list(
            "grades",
            "What the grades of look-alikes mean",
            cautions::grades_explained(),
        ),
        Some(Section::said(UNCONFIRMED.to_owned())),
        Some(Section::facts("law", "The law in general, local law first", law.collect())),
        Section::list("cautions", "Before you cut or eat it", standing),
    ];
    Document {
        title: format!("{} ({}): {}", crop.common_name, crop.scientific_name, crop.name),
        kind: "Crop",
        lead: lead.into_iter().flatten().collect::<Vec<_>>().join("; "),
        sections: sections.into_iter().flatten().collect(),
        foot: Vec::new(),
    }
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

/// `1 Mar–15 May`.
fn season(window: Window) -> String {
    if window.is_all_year() {
        return window.spoken();
    }
    format!("{}–{}", window.from.spoken(), window.to.spoken())
}
