//! Holds: one row is what one walk may take from one patch.

use jiff::civil::Date;

use super::cell::amount_cells;
use super::column::{BY, Cell, Column, FACT, Need, RECORDED_ON};
use super::cut::{LARGEST_PARTY, PATCH, TAKEN_EXPECTED, taken};
use super::fields::{Fields, Signature};
use super::filed::Filed;
use super::known::Gazetteer;
use super::tally::Reported;
use super::value;
use super::walk::DAY;
use crate::records::{Hold, Taken};
use crate::units::Measure;

impl Filed for Hold {
    const COLUMNS: &'static [Column] = &[
        PATCH,
        Column::text(
            "held_for",
            Need::Telling,
            "the name of the walk, like `spring walk`",
            "spring walk",
        ),
        DAY,
        Column::number("mass_g", Need::Optional, "a number of grams, 0 or more", "650"),
        Column::number("count", Need::Optional, "a whole number of pieces, 0 or more", ""),
        Column::text("promised", Need::Optional, TAKEN_EXPECTED, "all"),
        Column::number("people", Need::Optional, "how many people will cut, 1 or more", "9"),
        Column::text("date", Need::Optional, "the day it was set aside; empty for `day`", ""),
        BY,
        RECORDED_ON,
        FACT,
    ];

    fn read(
        fields: &mut Fields<'_>,
        known: &Gazetteer<'_>,
    ) -> Result<Option<(Self, Signature)>, Reported> {
        let patch = fields.patch(known);
        let crop = patch.ok().and_then(|patch| known.crop(&patch.crop).ok());
        let walk = fields.parsed("held_for");
        let day = fields.required("day", value::day);
        let amount = fields.required_amount(("mass_g", "count"), crop);
        let taken = fields.optional("promised", taken);
        let people = fields.optional("people", |text| value::whole(text, LARGEST_PARTY));
        let signature = fields.signature(day.ok().or(Some(Date::MIN)));
        let hold = Self {
            patch: patch?.name.clone(),
            walk: walk?,
            day: day?,
            amount: amount?,
            taken: taken?.unwrap_or(Taken::All),
            people: people?,
        };
        Ok(Some((hold, signature?)))
    }

    fn rows(&self, _: Measure) -> Vec<Vec<Cell>> {
        let mut cells = vec![
            ("patch", self.patch.to_string()),
            ("held_for", self.walk.to_string()),
            ("day", self.day.to_string()),
        ];
        cells.extend(amount_cells(("mass_g", "count"), Some(self.amount)));
        cells.push(("promised", self.taken.to_string()));
        cells.extend(self.people.map(|people| ("people", people.to_string())));
        vec![cells]
    }
}
