//! Walks: one row is one outing, planned or done.

use std::fmt::Display;
use std::str::FromStr;

use jiff::civil::Date;

use super::column::{BY, Cell, Column, FACT, Need, RECORDED_ON};
use super::fields::{Fields, Signature};
use super::filed::Filed;
use super::known::Gazetteer;
use super::problem::Finding;
use super::tally::Reported;
use super::value;
use crate::records::{SiteName, Walk};
use crate::units::Measure;

impl Filed for Walk {
    const COLUMNS: &'static [Column] = &[
        WALK,
        DAY,
        Column::text("site", Need::Filled, "the name of the site where it starts", "north wood"),
        Column::text(
            "other_sites",
            Need::Optional,
            "further sites it goes to, separated by `;`",
            "",
        ),
        Column::text(
            "parties",
            Need::Telling,
            "adults and children of each party, like `2+1; 3; 1+2`; a weight of its own behind `=`",
            "2+1; 3",
        ),
        Column::text(
            "wants",
            Need::Optional,
            "crops or kitchen roles and how much of each, like `ramsons-leaf=1.5kg; sour=300g`",
            "ramsons-leaf=1.5kg",
        ),
        Column::number(
            "seed",
            Need::Optional,
            "a whole number, 1 or more, that settles ties; empty for 1",
            "",
        ),
        Column::text("date", Need::Optional, "the day it was planned; empty for `day`", ""),
        BY,
        RECORDED_ON,
        FACT,
    ];

    fn read(
        fields: &mut Fields<'_>,
        known: &Gazetteer<'_>,
    ) -> Result<Option<(Self, Signature)>, Reported> {
        let name = fields.parsed("walk");
        let day = fields.required("day", value::day);
        let site = fields.site(known);
        let other_sites = other_sites(fields, known);
        let parties = list(fields, "parties");
        let wants = list(fields, "wants");
        let seed = fields.optional("seed", |text| value::whole(text, u32::MAX));
        let signature = fields.signature(day.ok().or(Some(Date::MIN)));
        let walk = Self {
            name: name?,
            day: day?,
            site: site?,
            other_sites: other_sites?,
            parties: parties?,
            wants: wants?,
            seed: seed?.unwrap_or(1),
        };
        Ok(Some((walk, signature?)))
    }

    fn rows(&self, _: Measure) -> Vec<Vec<Cell>> {
        vec![vec![
            ("walk", self.name.to_string()),
            ("day", self.day.to_string()),
            ("site", self.site.to_string()),
            ("other_sites", joined(&self.other_sites)),
            ("parties", joined(&self.parties)),
            ("wants", joined(&self.wants)),
            ("seed", self.seed.to_string()),
        ]]
    }
}

pub(super) const WALK: Column =
    Column::text("walk", Need::Filled, "the name of the walk, like `spring walk`", "spring walk");

pub(super) const DAY: Column =
    Column::text("day", Need::Filled, "the day of the walk, like `2027-03-20`", "2027-03-20");

fn other_sites(fields: &mut Fields<'_>, known: &Gazetteer<'_>) -> Result<Vec<SiteName>, Reported> {
    let mut sites = Vec::new();
    let mut fit = Ok(());
    for asked in value::list(fields.raw("other_sites")) {
        match known.site(&asked) {
            Ok(site) => sites.push(site.clone()),
            Err(found) => fit = Err(fields.refuse("other_sites", found.to_string())),
        }
    }
    fit.map(|()| sites)
}

fn list<T: FromStr<Err: ToString>>(
    fields: &mut Fields<'_>,
    name: &'static str,
) -> Result<Vec<T>, Reported> {
    let mut items = Vec::new();
    let mut fit = Ok(());
    for text in value::list(fields.raw(name)) {
        match text.parse::<T>() {
            Ok(item) => items.push(item),
            Err(error) => fit = Err(fields.refuse(name, Finding::from(error.to_string()))),
        }
    }
    fit.map(|()| items)
}

fn joined<T: Display>(items: &[T]) -> String {
    items.iter().map(T::to_string).collect::<Vec<_>>().join("; ")
}
