//! Who comes along on a walk: one row is one party.

use std::io::Read;

use super::fields::Fields;
use super::problem::Problems;
use super::slip;
use super::tally::Reported;
use super::value;
use crate::records::{Column, Need, Party};

/// The most that one party may count for.
const MOST_HEADS: u32 = 1000;

const COLUMNS: &[Column] = &[
    Column::text("party", Need::Optional, "what to call the party; a first name will do", "Ann"),
    Column::number("adults", Need::Optional, "how many adults, 0 or more; empty for none", "2"),
    Column::number("children", Need::Optional, "how many children, 0 or more; empty for none", "1"),
    Column::number(
        "weight",
        Need::Optional,
        "what its share is in proportion to, over 0; empty for 1 an adult and a half a child",
        "",
    ),
];

/// One party, and what it is called: the label is no part of any record.
#[derive(Clone, Debug, PartialEq)]
pub struct Guests {
    /// As it was written; `None` where nothing was.
    pub label: Option<String>,
    /// How many it is.
    pub party: Party,
}

/// Reads a CSV of parties; `file` is only named in messages.
///
/// # Errors
/// Everything that is wrong with the file.
pub fn read_guests(file: &str, text: impl Read) -> Result<Vec<Guests>, Problems> {
    slip::read(file, text, COLUMNS, guests)
}

fn guests(fields: &mut Fields<'_>) -> Result<Guests, Reported> {
    let label = fields.text("party").map(|label| label.to_string());
    let adults = fields.optional("adults", heads);
    let children = fields.optional("children", heads);
    let weight = fields.optional("weight", value::number);
    let party = Party {
        adults: adults?.unwrap_or(0),
        children: children?.unwrap_or(0),
        stated_weight: weight?,
    };
    if party.is_usable() {
        return Ok(Guests { label, party });
    }
    let column =
        if party.stated_weight.is_some() && party.people() > 0 { "weight" } else { "adults" };
    Err(fields.refuse(column, format!("`{party}` is no party: nobody is in it, or too many are")))
}

fn heads(text: &str) -> Result<u32, super::problem::Finding> {
    if text == "0" {
        return Ok(0);
    }
    value::whole(text, MOST_HEADS).map_err(|found| super::problem::Finding {
        // The column says what it takes, 0 among it.
        expected: None,
        ..found
    })
}
