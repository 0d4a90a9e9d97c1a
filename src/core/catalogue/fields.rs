//! What a field of a crop's table is called and takes.
//!
//! The reader's messages, the template for crops of one's own and `sites/files.md` go by this list.

use crate::records::CropField;

/// One field of a crop's table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Field {
    /// As it stands in a file of crops.
    pub name: &'static str,
    /// Whether every crop must give it. What others leave out, the habit or the code sets.
    pub needed: bool,
    /// Continues "expected …".
    pub expected: &'static str,
    /// A value as TOML writes it; empty where the example leaves the field out.
    pub example: &'static str,
}

/// In the order in which a crop is best written.
pub const FIELDS: [Field; 27] = [
    needed("common_name", "the name people use", "\"Sea plantain, leaf\""),
    needed("scientific_name", "the name botanists use", "\"Plantago maritima\""),
    needed(
        "part",
        "the part taken: `leaf`, `shoot`, `flower`, `fruit`, `seed`, `nut`, `root`, `bulb`, \
         `frond` or `fruit body`",
        "\"leaf\"",
    ),
    needed("kitchen_role", "its place in the kitchen, like `green leaf`", "\"sea vegetable\""),
    needed(
        "habit",
        "how it comes back: `fast leaf`, `slow leaf`, `once a year` or `slow`",
        "\"slow leaf\"",
    ),
    optional(
        "piece",
        "what one piece is called, like `head`, for a crop that is counted; left out for one \
         that is weighed",
        "",
    ),
    of_model(CropField::Season, true, "\"04-15..09-30\""),
    of_model(CropField::TakeFraction, true, "0.10"),
    of_model(CropField::RecoveryDays, true, "60"),
    of_model(CropField::GrowthByMonth, false, "\"4-9\""),
    of_model(CropField::FullByMonth, false, ""),
    of_model(CropField::FullLateDays, false, ""),
    of_model(CropField::KeptStanding, false, ""),
    of_model(CropField::Reserve, false, ""),
    of_model(CropField::CutsPerSeason, false, ""),
    optional(
        "code",
        "the code of practice it falls under: `plants`, `seaweeds`, `rockweed` or `fungi`",
        "\"plants\"",
    ),
    of_model(CropField::CodeCap, false, ""),
    optional("per_person_visit", "an amount over 0 in the crop's measure, like `1.5kg`", ""),
    of_model(CropField::SmallestUseful, false, ""),
    optional("leave_per_m2", "a number over 0: what stays on each m², in grams or pieces", ""),
    optional("countable", "`true` or `false`: whether one in N can be counted off", ""),
    optional("protected", "why nothing may be taken", ""),
    optional("invasive", "how to keep it from spreading", ""),
    needed(
        "cut_method",
        "how to cut it so that it grows again",
        "\"One leaf in three from a rosette, with scissors.\"",
    ),
    needed(
        "look_alikes",
        "a list like `[{ name = \"hemlock\", grade = \"fatal\" }]` (may be empty); grades are \
         `harmless`, `irritant`, `poisonous`, `fatal`, by what eating it does; `stintbook crops` \
         says what each means",
        "[{ name = \"sea arrowgrass\", grade = \"poisonous\" }]",
    ),
    needed("cautions", "what to warn people of", "\"Know the tide and the mud.\""),
    needed(
        "legal_note",
        "what is known of its standing in law",
        "\"No special status known here. Local law comes first.\"",
    ),
];

/// The table of sources, which stands beside the fields.
pub const SOURCE: Field = needed(
    "source",
    "a table: where each value comes from, by its field (`recovery` for both its halves), with \
     `others` for the rest: a citation, or `common practice, no source`",
    "{ recovery = \"our own record: marked plants, 2026\", others = \"common practice, no source\" }",
);

/// What the field takes; empty for a name that no field has.
pub(super) fn expected(name: &str) -> &'static str {
    FIELDS.iter().find(|field| field.name == name).map_or("", |field| field.expected)
}

/// A file to start from, all of it commented out, so that it holds no crop.
pub fn template() -> String {
    let mut text = "\
# Crops of your own, and profiles to replace the catalogue's, a table each. It is read by
# every command where it lies in sites/ beside the book, and is never loaded. A crop of the
# catalogue that is named here is replaced as a whole; to change single values of it for a
# site or a patch, use overrides.csv. `stintbook crops CROP` shows the profile that counts.
#
"
    .to_owned();
    for field in FIELDS.iter().chain([&SOURCE]) {
        let needed = if field.needed { " (needed)" } else { "" };
        text.push_str(&format!("# {}{needed}: {}\n", field.name, field.expected));
    }
    text.push_str(&format!("#\n{EXAMPLE_FOLLOWS}\n# [sea-plantain-leaf]\n"));
    for field in FIELDS.iter().chain([&SOURCE]).filter(|field| !field.example.is_empty()) {
        text.push_str(&format!("# {} = {}\n", field.name, field.example));
    }
    text
}

const EXAMPLE_FOLLOWS: &str = "# Without the marks before them, these lines are a crop:";

const fn needed(name: &'static str, expected: &'static str, example: &'static str) -> Field {
    Field { name, needed: true, expected, example }
}

const fn optional(name: &'static str, expected: &'static str, example: &'static str) -> Field {
    Field { name, needed: false, expected, example }
}

const fn of_model(field: CropField, needed: bool, example: &'static str) -> Field {
    Field { name: field.name(), needed, expected: field.expected(), example }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::codes::Code;
    use crate::catalogue::read;
    use crate::records::{Habit, LookAlikeGrade, PlantPart};

    #[test]
    fn the_template_holds_no_crop_and_its_example_is_one() {
        let template = template();
        assert_eq!(read("crops.toml", &template), Ok(Vec::new()));
        let (_, example) = template.split_once(EXAMPLE_FOLLOWS).unwrap();
        let bare: String =
            example.lines().map(|line| format!("{}\n", line.trim_start_matches("# "))).collect();
        let crops = read("crops.toml", &bare).unwrap_or_else(|problems| panic!("{problems}"));
        assert_eq!(crops.len(), 1);
        assert_eq!(&*crops[0].name, "sea-plantain-leaf");
    }

    #[test]
    fn words_to_choose_from_are_all_named() {
        let choices = [
            ("part", PlantPart::ALL.map(PlantPart::name).to_vec()),
            ("habit", Habit::ALL.map(Habit::name).to_vec()),
            ("code", Code::ALL.map(Code::name).to_vec()),
            ("look_alikes", LookAlikeGrade::ALL.map(LookAlikeGrade::name).to_vec()),
        ];
        for (field, words) in choices {
            for word in words {
                assert!(expected(field).contains(&format!("`{word}`")), "{field}: {word}");
            }
        }
    }

    #[test]
    fn the_list_is_of_the_fields_that_are_read() {
        let odd = read("crops.toml", "[a]\nqqqqqqqq = 1\nsource.others = \"x\"").unwrap_err();
        let known = odd.to_string();
        let known = known.split("a field of a crop: ").nth(1).unwrap();
        let mut known: Vec<&str> = known.lines().next().unwrap().split(", ").collect();
        known.sort_unstable();
        let mut listed: Vec<&str> =
            FIELDS.iter().chain([&SOURCE]).map(|field| field.name).collect();
        listed.sort_unstable();
        assert_eq!(known, listed);
    }

    #[test]
    fn what_is_needed_is_what_an_empty_crop_lacks() {
        let lacking = read("crops.toml", "[a]").unwrap_err().to_string();
        for field in FIELDS {
            let asked = lacking.contains(&format!("`a`, `{}`: nothing is given", field.name));
            assert_eq!(asked, field.needed, "{}: {lacking}", field.name);
        }
    }
}
