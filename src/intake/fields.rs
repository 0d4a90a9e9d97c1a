//! One row or one feature: named texts, read as what they should be.
//!
//! Each reading reports its own problem and hands back `Reported`, so that a record can
//! try all its fields first and then give up: every problem is told, not the first.

use std::str::FromStr;
use std::sync::Arc;

use jiff::civil::Date;

use super::known::Gazetteer;
use super::problem::{Finding, Place, quoted};
use super::tally::{Reported, Tally};
use super::value;
use crate::records::{Column, Crop, FactId, KnownPatch, PatchName, SiteName, Unfit};
use crate::units::{Amount, Measure};

/// The longest text that a field takes, in bytes.
const LONGEST_TEXT: usize = 2000;

#[derive(Debug)]
pub(super) struct Fields<'a> {
    columns: &'static [Column],
    /// Columns that are filled, of many the few, with what is there, trimmed.
    filled: Vec<(&'static str, &'a str)>,
    place: &'a Place,
    tally: &'a mut Tally,
}

/// When and by whom something was seen and written down.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Signature {
    /// The fact that the row says to be, if it says so.
    pub id: Option<FactId>,
    pub happened_on: Date,
    pub recorded_on: Option<Date>,
    pub by: Arc<str>,
    /// Whether what looks like a slip is said to be right.
    pub sure: bool,
}

impl<'a> Fields<'a> {
    /// # Errors
    /// Texts that no field takes: far too long, or with a letter that plain text does not have.
    pub fn new(
        columns: &'static [Column],
        values: Vec<&'a str>,
        place: &'a Place,
        tally: &'a mut Tally,
    ) -> Result<Self, Reported> {
        let mut fit = Ok(());
        let mut filled = Vec::with_capacity(values.len());
        for (column, text) in columns.iter().zip(values).filter(|(_, text)| !text.is_empty()) {
            if let Some(finding) = unfit(text) {
                fit = Err(tally.report(place, Some(column.name), finding));
            }
            filled.push((column.name, text));
        }
        fit.map(|()| Self { columns, filled, place, tally })
    }

    pub fn place(&self) -> &'a Place {
        self.place
    }

    pub fn remark(&mut self, text: &str) {
        let place = self.place;
        self.tally.remark(format!("{place}: {text}"));
    }

    /// Reports a problem with a field; expects what its column expects unless told better.
    pub fn refuse(&mut self, name: &str, finding: impl Into<Finding>) -> Reported {
        let mut finding = finding.into();
        let column = self.columns.iter().find(|column| column.name == name);
        finding.expected =
            finding.expected.or_else(|| column.map(|column| column.expected.to_owned()));
        self.tally.report(self.place, Some(name), finding)
    }

    /// Reports a problem with the row or feature as a whole.
    pub fn refuse_all(&mut self, finding: Finding) -> Reported {
        self.tally.report(self.place, None, finding)
    }

    /// The text of a field; empty where there is none.
    pub fn raw(&self, name: &str) -> &'a str {
        debug_assert!(
            self.columns.iter().any(|column| column.name == name),
            "`{name}` is in no list of columns"
        );
        let found = self.filled.iter().find(|(column, _)| *column == name);
        found.map_or("", |(_, text)| text)
    }

    pub fn is_filled(&self, name: &str) -> bool {
        !self.raw(name).is_empty()
    }

    /// The names of the columns that are filled, in their order.
    pub fn all_filled(&self) -> impl Iterator<Item = &'static str> {
        self.filled.iter().map(|(column, _)| *column)
    }

    pub fn filled(&mut self, name: &str) -> Result<&'a str, Reported> {
        match self.raw(name) {
            "" => Err(self.refuse(name, "nothing is there".to_owned())),
            text => Ok(text),
        }
    }

    /// A field that must be filled.
    pub fn required<T, E: Into<Finding>>(
        &mut self,
        name: &str,
        read: impl FnOnce(&'a str) -> Result<T, E>,
    ) -> Result<T, Reported> {
        let text = self.filled(name)?;
        read(text).map_err(|finding| self.refuse(name, finding))
    }

    /// A field that may be empty.
    pub fn optional<T, E: Into<Finding>>(
        &mut self,
        name: &str,
        read: impl FnOnce(&'a str) -> Result<T, E>,
    ) -> Result<Option<T>, Reported> {
        match self.raw(name) {
            "" => Ok(None),
            text => read(text).map(Some).map_err(|finding| self.refuse(name, finding)),
        }
    }

    /// A field that must be filled, read by the type's own parser.
    pub fn parsed<T: FromStr<Err: ToString>>(&mut self, name: &str) -> Result<T, Reported> {
        self.required(name, |text| text.parse().map_err(|error: T::Err| error.to_string()))
    }

    pub fn text(&self, name: &str) -> Option<Arc<str>> {
        Some(self.raw(name)).filter(|text| !text.is_empty()).map(Arc::from)
    }

    /// The columns `date`, `by`, `recorded_on` and `fact`; `otherwise` stands in for an empty date.
    pub fn signature(&mut self, otherwise: Option<Date>) -> Result<Signature, Reported> {
        let by = self.filled("by").map(Arc::from);
        let recorded_on = self.optional("recorded_on", value::day);
        let date = self.optional("date", value::day);
        let id = self.optional("fact", value::fact);
        let (by, recorded_on, id) = (by?, recorded_on?, id?);
        match date?.or(otherwise) {
            Some(happened_on) => Ok(Signature { id, happened_on, recorded_on, by, sure: false }),
            None => Err(self.refuse("date", "nothing is there".to_owned())),
        }
    }

    /// As `signature`, for what is seen or done on a day and so is not written down before it.
    pub fn signature_of_deed(&mut self) -> Result<Signature, Reported> {
        let signature = self.signature(None)?;
        match signature.recorded_on {
            Some(day) if day < signature.happened_on => {
                let happened_on = signature.happened_on;
                let found = format!("`{day}` is before the day itself, `{happened_on}`");
                Err(self.refuse("recorded_on", Finding::new(found, "that day or a later one")))
            }
            _ => Ok(signature),
        }
    }

    /// The column `site`, as the book spells it.
    pub fn site(&mut self, known: &Gazetteer<'_>) -> Result<SiteName, Reported> {
        self.required("site", |text| known.site(text).cloned().map_err(|error| error.to_string()))
    }

    /// The column `patch`, with its site unless no other site has a patch of that name.
    pub fn patch<'k>(&mut self, known: &Gazetteer<'k>) -> Result<&'k KnownPatch, Reported> {
        self.required("patch", |text| known.patch(text).map_err(|error| error.to_string()))
    }

    /// The property `name` of something on a site; names keep to the same letters everywhere.
    pub fn name_on(&mut self, site: &Result<SiteName, Reported>) -> Result<PatchName, Reported> {
        let site = site.as_ref().map_err(|reported| *reported)?;
        self.required("name", |text| PatchName::new(site, text).map_err(|error| error.to_string()))
    }

    /// The column `crop`.
    pub fn crop<'k>(&mut self, known: &Gazetteer<'k>) -> Result<&'k Crop, Reported> {
        self.required("crop", |text| known.crop(text))
    }

    /// An amount in one of two columns, grams or pieces; `crop` tells which it must be.
    pub fn amount(
        &mut self,
        (grams, count): (&str, &str),
        crop: Option<&Crop>,
    ) -> Result<Option<Amount>, Reported> {
        let mass = self.optional(grams, value::mass);
        let pieces = self.optional(count, value::pieces);
        let amount = match (mass?, pieces?) {
            (None, None) => return Ok(None),
            (Some(mass), None) => Amount::grams(mass),
            (None, Some(pieces)) => Amount::count(pieces),
            (Some(_), Some(_)) => {
                let found = format!("both `{grams}` and `{count}` are filled");
                return Err(self.refuse(count, Finding::new(found, "one of them")));
            }
        };
        let (field, other) = match amount.measure {
            Measure::Mass => (grams, count),
            Measure::Count => (count, grams),
        };
        match crop.and_then(|crop| misfit(crop, amount.measure)) {
            Some(found) => Err(self.refuse(field, Finding::new(found, format!("`{other}`")))),
            None => Ok(Some(amount)),
        }
    }

    /// As `amount`, where one of the two must be filled.
    pub fn required_amount(
        &mut self,
        (grams, count): (&str, &str),
        crop: Option<&Crop>,
    ) -> Result<Amount, Reported> {
        let amount = self.amount((grams, count), crop)?;
        amount.ok_or_else(|| {
            let counted = crop.is_some_and(|crop| crop.measure == Measure::Count);
            let field = if counted { count } else { grams };
            self.refuse(field, "nothing is there".to_owned())
        })
    }
}

/// What is wrong with measuring this crop so, if anything is.
pub(super) fn misfit(crop: &Crop, measure: Measure) -> Option<String> {
    if crop.measure == measure {
        return None;
    }
    Some(match crop.measure {
        Measure::Mass => format!("`{}` is reckoned in grams, not in pieces", crop.name),
        Measure::Count => {
            format!("`{}` is reckoned in pieces ({}s), not in grams", crop.name, crop.piece)
        }
    })
}

fn unfit(text: &str) -> Option<Finding> {
    if text.len() > LONGEST_TEXT {
        return Some(Finding::new(
            format!("{} is {} bytes long", quoted(text), text.len()),
            format!("{LONGEST_TEXT} bytes at most"),
        ));
    }
    let unfit = Unfit::first_in(text)?;
    Some(Finding::new(
        format!("{} has {unfit} in it", quoted(text)),
        "plain text on one line; write it anew without that character",
    ))
}
