//! What came back from a walk: one row is what one party, or all of them, took of a patch or
//! a crop.

use std::io::Read;
use std::sync::Arc;

use serde_json::Value;

use super::fields::Fields;
use super::problem::{Finding, Place, Problems};
use super::read::{Text, checked, json};
use super::tally::{Reported, Tally};
use super::{phone, slip, value};
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
    /// From where.
    pub of: ReturnOf,
    /// How much.
    pub amount: Amount,
    /// What was said of the share; `None` where nothing was.
    pub taken: Option<Taken>,
}

/// Of which patch it was taken, or only of which crop.
#[derive(Clone, Debug, PartialEq)]
pub enum ReturnOf {
    /// It is a patch.
    Patch(Arc<str>),
    /// It is a crop, from each patch of the walk that bears it.
    Crop(Arc<str>),
    /// A patch if one is called so, and else a crop.
    Either(Arc<str>),
}

/// All that a file tells of a walk.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CameBack {
    /// In the order in which they stand.
    pub rows: Vec<Return>,
    /// The walk that it says to be of; a CSV does not say.
    pub walk: Option<String>,
}

/// Reads what came back: a CSV, or the file of a field page; `file` is only named in messages.
///
/// # Errors
/// Everything that is wrong with the file.
pub fn read_returns(file: &str, text: impl Read) -> Result<CameBack, Problems> {
    let mut tally = Tally::default();
    let Ok(Text { whole, is_json }) = checked(text, &mut tally) else {
        return Err(tally.into_problems(file));
    };
    if !is_json {
        return Ok(CameBack { rows: slip::read(file, whole, COLUMNS, one)?, walk: None });
    }
    let told = of_phone(whole, &mut tally);
    if tally.is_clean() { Ok(told) } else { Err(tally.into_problems(file)) }
}

fn of_phone(whole: impl Read, tally: &mut Tally) -> CameBack {
    let opened = json(whole).map_err(|finding| (Place::WholeFile, finding));
    let file = match opened.and_then(|text| phone::opened(&text)) {
        Ok(file) => file,
        Err((place, finding)) => {
            tally.report(&place, None, finding);
            return CameBack::default();
        }
    };
    let returns = file.get("returns").unwrap_or(&Value::Null);
    let rows = returns.get("rows").and_then(Value::as_array).map_or(&[][..], Vec::as_slice);
    if rows.is_empty() {
        let finding = Finding::new(
            "nothing came back in it",
            "a file of a walk's field page on which something was told",
        );
        tally.report(&Place::WholeFile, None, finding);
    }
    let read = rows.iter().enumerate().map(|(row, told)| {
        let place = Place::Row(row + 1);
        let texts = phone::texts(told, COLUMNS, "", &place, tally)?;
        let values = texts.iter().map(|text| text.trim()).collect();
        one(&mut Fields::new(COLUMNS, values, &place, tally)?)
    });
    let rows = read.filter_map(Result::ok).collect();
    let walk = returns.get("walk").and_then(Value::as_str).map(str::to_owned);
    CameBack { rows, walk }
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
