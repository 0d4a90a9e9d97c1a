//! Closures: one row shuts a site or a patch for a while.

use jiff::civil::Date;

use super::column::{BY, Column, FACT, Need, RECORDED_ON};
use super::fields::{Fields, Signature};
use super::known::Gazetteer;
use super::permission::span;
use super::tally::Reported;
use super::version::Cell;
use crate::records::Closure;

pub(super) const COLUMNS: &[Column] = &[
    Column::text("site", Need::Filled, "the name of a site", "north wood"),
    Column::text(
        "patch",
        Need::Optional,
        "the name of a patch of that site, without the site; empty for the whole site",
        "bank",
    ),
    Column::text("from", Need::Filled, "the first closed day, like `2027-04-01`", "2027-04-01"),
    Column::text(
        "to",
        Need::Optional,
        "the last closed day, like `2027-07-31`; empty until further notice",
        "2027-07-31",
    ),
    Column::text("reason", Need::Telling, "why it is closed, in plain words", "nesting"),
    Column::text("date", Need::Optional, "the day it was decided; empty for `from`", ""),
    BY,
    RECORDED_ON,
    FACT,
];

pub(super) fn read(
    fields: &mut Fields<'_>,
    known: &Gazetteer<'_>,
) -> Result<(Closure, Signature), Reported> {
    let site = fields.site(known);
    let patch = match &site {
        Ok(site) => fields.patch_of_site(known, site),
        Err(reported) => Err(*reported),
    };
    let span = span(fields);
    let reason = fields.filled("reason");
    let signature = fields.signature(span.ok().map(|(from, _)| from).or(Some(Date::MIN)));
    let (from, to) = span?;
    let patch = patch?.map(|patch| patch.name.patch().into());
    Ok((Closure { site: site?, patch, from, to, reason: reason?.into() }, signature?))
}

pub(super) fn cells(closure: &Closure) -> Vec<Cell> {
    let mut cells = vec![("site", closure.site.to_string())];
    cells.extend(closure.patch.as_ref().map(|patch| ("patch", patch.to_string())));
    cells.push(("from", closure.from.to_string()));
    cells.extend(closure.to.map(|last| ("to", last.to_string())));
    cells.push(("reason", closure.reason.to_string()));
    cells
}
