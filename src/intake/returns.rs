//! What came back from a walk: one row is what one party, or all of them, took of a patch or
//! a crop.

use std::io::Read;
use std::sync::Arc;

use super::fields::Fields;
use super::problem::{Finding, Problems};
use super::slip;
use super::tally::Reported;
use super::value;
use crate::records::{Column, Need, Taken};
use crate::units::Amount;

const COLUMNS: &[Column] = &[
    Column::text(
        "party",
        Need::Optional,
        "the number of a party or what it is called; empty for all of them together",
        "1",
    ),
    Column::text("patch", Need::Optional, "the patch; or leave it empty and name the crop", ""),
    Column::text("crop", Need::Optional, "the crop, where no patch is named", ""),
    Column::text("amount", Need::Optional, "how much, like `1.9kg`, `650g` or `14`", ""),
    Column::number("mass_g", Need::Optional, "a number of grams, 0 or more", "150"),
    Column::number("count", Need::Optional, "a whole number of pieces, 0 or more", ""),
    Column::text(
        "taken",
        Need::Optional,
        "`all` of what was allowed, or `part` of it; empty to let the amounts tell",
        "",
    ),
];

/// What was said to have been taken.
#[derive(Clone, Debug, PartialEq)]
pub struct Return {
    /// As it was written: a number or a label; `None` for all parties together.
    pub party: Option<Arc<str>>,
    pub of: ReturnOf,
    pub amount: Amount,
    pub taken: Option<Taken>,
}

/// Of which patch it was taken, or only of which crop.
#[derive(Clone, Debug, PartialEq)]
pub enum ReturnOf {
    Patch(Arc<str>),
    Crop(Arc<str>),
    /// A patch if one is called so, and else a crop.
    Either(Arc<str>),
}

/// Reads a CSV of what came back; `file` is only named in messages.
///
/// # Errors
/// Everything that is wrong with the file.
pub fn read_returns(file: &str, text: impl Read) -> Result<Vec<Return>, Problems> {
    slip::read(file, text, COLUMNS, one)
}

fn one(fields: &mut Fields<'_>) -> Result<Return, Reported> {
    let of = of(fields);
    let amount = amount(fields);
    let taken = fields.optional("taken", taken);
    Ok(Return { party: fields.text("party"), of: of?, amount: amount?, taken: taken? })
}

/// As people write it, or in a column of its unit.
fn amount(fields: &mut Fields<'_>) -> Result<Amount, Reported> {
    let is_said = fields.is_filled("amount");
    if is_said && (fields.is_filled("mass_g") || fields.is_filled("count")) {
        let found = "it is there twice, with `mass_g` or `count` too";
        return Err(fields.refuse("amount", Finding::new(found, "one of them")));
    }
    match is_said {
        true => fields.parsed("amount"),
        false => fields.required_amount(("mass_g", "count"), None),
    }
}

fn of(fields: &mut Fields<'_>) -> Result<ReturnOf, Reported> {
    match (fields.text("patch"), fields.text("crop")) {
        (Some(patch), _) => Ok(ReturnOf::Patch(patch)),
        (None, Some(crop)) => Ok(ReturnOf::Crop(crop)),
        (None, None) => {
            let found = "neither a patch nor a crop is named";
            Err(fields.refuse("patch", Finding::new(found, "one of the two")))
        }
    }
}

fn taken(text: &str) -> Result<Taken, String> {
    match value::taken(text)? {
        Taken::OneIn(_) => Err(format!("`{text}` is a count; the walk's own count stands")),
        taken => Ok(taken),
    }
}
