//! Closures: one row shuts a site or a patch for a while.

use jiff::civil::Date;

use super::column::{BY, Cell, Column, FACT, Need, RECORDED_ON};
use super::fields::{Fields, Signature};
use super::filed::Filed;
use super::known::Gazetteer;
use super::permission::span;
use super::tally::Reported;
use crate::records::Closure;
use crate::units::Measure;

impl Filed for Closure {
    const COLUMNS: &'static [Column] = &[
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

    fn read(
        fields: &mut Fields<'_>,
        known: &Gazetteer<'_>,
    ) -> Result<Option<(Self, Signature)>, Reported> {
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
        Ok(Some((Self { site: site?, patch, from, to, reason: reason?.into() }, signature?)))
    }

    fn rows(&self, _: Measure) -> Vec<Vec<Cell>> {
        let mut cells = vec![("site", self.site.to_string())];
        cells.extend(self.patch.as_ref().map(|patch| ("patch", patch.to_string())));
        cells.push(("from", self.from.to_string()));
        cells.extend(self.to.map(|last| ("to", last.to_string())));
        cells.push(("reason", self.reason.to_string()));
        vec![cells]
    }
}
