//! Permissions: one row is what the occupier of a site agreed to.

use std::sync::Arc;

use jiff::civil::Date;

use super::cell::amount_cells;
use super::column::{BY, Cell, Column, FACT, NOTE, Need, RECORDED_ON};
use super::fields::{Fields, Signature, misfit};
use super::filed::Filed;
use super::known::Gazetteer;
use super::problem::{Finding, quoted};
use super::tally::Reported;
use super::value;
use crate::records::{Basis, Permission};
use crate::units::{Amount, Measure};

const LARGEST_PARTY: u32 = 10_000;

impl Filed for Permission {
    const COLUMNS: &'static [Column] = &[
        Column::text("site", Need::Filled, "the name of a site", "north wood"),
        Column::text("basis", Need::Telling, "`written`, `spoken`, `right` or `custom`", "spoken"),
        Column::text("from", Need::Filled, "its first day, like `2027-03-01`", "2027-03-01"),
        Column::text(
            "to",
            Need::Optional,
            "its last day, like `2027-10-31`; empty until further notice",
            "2027-10-31",
        ),
        Column::text(
            "crops",
            Need::Optional,
            "crops of the catalogue, separated by `;`; empty for every crop",
            "",
        ),
        Column::text(
            "methods",
            Need::Optional,
            "ways of cutting, separated by `;`; empty for any",
            "scissors; by hand",
        ),
        Column::number(
            "cap_per_visit_g",
            Need::Optional,
            "the most grams of each crop in one day",
            "2000",
        ),
        Column::number("cap_per_visit_count", Need::Optional, "the most pieces in one day", ""),
        Column::number(
            "cap_per_season_g",
            Need::Optional,
            "the most grams of each crop in one season",
            "",
        ),
        Column::number("cap_per_season_count", Need::Optional, "the most pieces in one season", ""),
        Column::number("largest_party", Need::Optional, "how many people may come at once", "12"),
        Column::text(
            "ask_first",
            Need::Optional,
            "`yes` if the occupier wants to be asked before each visit, or `no`; empty for no",
            "yes",
        ),
        Column::text(
            "lifts_code_cap",
            Need::Optional,
            "`yes` if more than a code of practice's cap is agreed in writing, or `no`; empty for no",
            "no",
        ),
        NOTE,
        Column::text("date", Need::Optional, "the day it was agreed; empty for `from`", ""),
        BY,
        RECORDED_ON,
        FACT,
    ];

    fn read(
        fields: &mut Fields<'_>,
        known: &Gazetteer<'_>,
    ) -> Result<Option<(Self, Signature)>, Reported> {
        let site = fields.site(known);
        let basis = fields.required("basis", basis);
        let span = span(fields);
        let crops = crops(fields, known);
        let visit = cap(fields, known, ("cap_per_visit_g", "cap_per_visit_count"));
        let season = cap(fields, known, ("cap_per_season_g", "cap_per_season_count"));
        let party = fields.optional("largest_party", |text| value::whole(text, LARGEST_PARTY));
        let ask_first = fields.optional("ask_first", value::yes_or_no);
        let lifts_code_cap = lifts_code_cap(fields, basis);
        let signature = fields.signature(span.ok().map(|(from, _)| from).or(Some(Date::MIN)));
        let (from, to) = span?;
        let permission = Self {
            site: site?,
            basis: basis?,
            from,
            to,
            crops: crops?,
            methods: value::list(fields.raw("methods")),
            cap_per_visit: visit?,
            cap_per_season: season?,
            largest_party: party?,
            ask_first: ask_first?.unwrap_or(false),
            lifts_code_cap: lifts_code_cap?,
            note: fields.text("note"),
        };
        Ok(Some((permission, signature?)))
    }

    fn rows(&self, _: Measure) -> Vec<Vec<Cell>> {
        let mut cells = vec![
            ("site", self.site.to_string()),
            ("basis", self.basis.name().to_owned()),
            ("from", self.from.to_string()),
        ];
        cells.extend(self.to.map(|last| ("to", last.to_string())));
        cells.push(("crops", self.crops.join("; ")));
        cells.push(("methods", self.methods.join("; ")));
        cells.extend(amount_cells(("cap_per_visit_g", "cap_per_visit_count"), self.cap_per_visit));
        cells.extend(amount_cells(
            ("cap_per_season_g", "cap_per_season_count"),
            self.cap_per_season,
        ));
        cells.extend(self.largest_party.map(|most| ("largest_party", most.to_string())));
        cells.push(("ask_first", yes_or_no(self.ask_first)));
        cells.push(("lifts_code_cap", yes_or_no(self.lifts_code_cap)));
        cells.extend(self.note.as_ref().map(|note| ("note", note.to_string())));
        vec![cells]
    }
}

fn basis(text: &str) -> Result<Basis, Finding> {
    let named = |basis: &Basis| basis.name().eq_ignore_ascii_case(text);
    let unknown = || format!("{} is not what a permission rests on", quoted(text)).into();
    Basis::ALL.into_iter().find(named).ok_or_else(unknown)
}

/// The columns `from` and `to`, in that order of days.
pub(super) fn span(fields: &mut Fields<'_>) -> Result<(Date, Option<Date>), Reported> {
    let from = fields.required("from", value::day);
    let to = fields.optional("to", value::day);
    let (from, to) = (from?, to?);
    match to {
        Some(last) if last < from => {
            let found = format!("`{last}` is before the first day, `{from}`");
            Err(fields.refuse("to", Finding::new(found, "that day or a later one")))
        }
        _ => Ok((from, to)),
    }
}

fn crops(fields: &mut Fields<'_>, known: &Gazetteer<'_>) -> Result<Vec<Arc<str>>, Reported> {
    let mut crops = Vec::new();
    let mut fit = Ok(());
    for asked in value::list(fields.raw("crops")) {
        match known.crop(&asked) {
            Ok(crop) => crops.push(crop.name.clone()),
            Err(found) => fit = Err(fields.refuse("crops", found)),
        }
    }
    fit.map(|()| crops)
}

/// A cap must be in the measure of every crop that the permission names.
fn cap(
    fields: &mut Fields<'_>,
    known: &Gazetteer<'_>,
    (grams, count): (&str, &str),
) -> Result<Option<Amount>, Reported> {
    let Some(cap) = fields.amount((grams, count), None)? else { return Ok(None) };
    let named = value::list(fields.raw("crops"));
    let odd_one = named
        .iter()
        .filter_map(|asked| known.crop(asked).ok())
        .find_map(|crop| misfit(crop, cap.measure));
    match odd_one {
        None => Ok(Some(cap)),
        Some(found) => {
            let filled = if fields.is_filled(grams) { grams } else { count };
            let expected = "a permission of its own for crops reckoned otherwise";
            Err(fields.refuse(filled, Finding::new(found, expected)))
        }
    }
}

fn lifts_code_cap(
    fields: &mut Fields<'_>,
    basis: Result<Basis, Reported>,
) -> Result<bool, Reported> {
    let lifts = fields.optional("lifts_code_cap", value::yes_or_no)?.unwrap_or(false);
    match basis {
        Ok(basis) if lifts && basis != Basis::Written => {
            let found = format!("a `{}` permission lifts no code of practice", basis.name());
            Err(fields
                .refuse("lifts_code_cap", Finding::new(found, "`no`, or the basis `written`")))
        }
        _ => Ok(lifts),
    }
}

fn yes_or_no(answer: bool) -> String {
    if answer { "yes" } else { "no" }.to_owned()
}
