//! Cuts: one row is what one visit took from one patch.

use super::cell::amount_cells;
use super::column::{BY, Cell, Column, DATE, FACT, Need, RECORDED_ON, SURE, VISIT};
use super::fields::{Fields, Signature};
use super::filed::Filed;
use super::known::Gazetteer;
use super::tally::Reported;
use super::value;
use crate::records::{Cut, Taken};
use crate::units::Measure;

pub(super) const LARGEST_PARTY: u32 = 10_000;

pub(super) const TAKEN_EXPECTED: &str =
    "`all` of what was allowed, `part` of it, or `1 in 20` of what was seen; empty for all";

pub(super) const PATCH: Column = Column::text(
    "patch",
    Need::Filled,
    "the name of a patch, with its site where several have one: `north wood/bank`",
    "north wood/bank",
);

impl Filed for Cut {
    const COLUMNS: &'static [Column] = &[
        PATCH,
        DATE,
        BY,
        Column::number("mass_g", Need::Optional, "a number of grams, 0 or more", "650"),
        Column::number("count", Need::Optional, "a whole number of pieces, 0 or more", ""),
        Column::text("taken", Need::Telling, TAKEN_EXPECTED, "all"),
        Column::number("people", Need::Optional, "how many people cut, 1 or more", "9"),
        Column::text("method", Need::Optional, "the way of cutting, like `scissors`", "scissors"),
        Column::text("walk", Need::Optional, "the name of the walk on which it was cut", ""),
        VISIT,
        SURE,
        RECORDED_ON,
        FACT,
    ];

    fn read(
        fields: &mut Fields<'_>,
        known: &Gazetteer<'_>,
    ) -> Result<Option<(Self, Signature)>, Reported> {
        let signature = fields.signature_of_deed();
        let patch = fields.patch(known);
        let crop = patch.ok().and_then(|patch| known.crop(&patch.crop).ok());
        let amount = fields.required_amount(("mass_g", "count"), crop);
        let taken = fields.optional("taken", taken);
        let people = fields.optional("people", |text| value::whole(text, LARGEST_PARTY));
        let walk = match fields.is_filled("walk") {
            true => fields.parsed("walk").map(Some),
            false => Ok(None),
        };
        let cut = Self {
            patch: patch?.name.clone(),
            amount: amount?,
            taken: taken?.unwrap_or(Taken::All),
            people: people?,
            method: fields.text("method"),
            walk: walk?,
        };
        Ok(Some((cut, signature?)))
    }

    fn rows(&self, _: Measure) -> Vec<Vec<Cell>> {
        let mut cells = vec![("patch", self.patch.to_string())];
        cells.extend(amount_cells(("mass_g", "count"), Some(self.amount)));
        cells.push(("taken", self.taken.to_string()));
        cells.extend(self.people.map(|people| ("people", people.to_string())));
        cells.extend(self.method.as_ref().map(|method| ("method", method.to_string())));
        cells.extend(self.walk.as_ref().map(|walk| ("walk", walk.to_string())));
        vec![cells]
    }
}

pub(super) fn taken(text: &str) -> Result<Taken, String> {
    text.to_ascii_lowercase()
        .parse()
        .map_err(|_| format!("`{text}` does not say how much of the share was used"))
}
