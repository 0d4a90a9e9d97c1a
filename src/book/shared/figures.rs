//! What a site tells of itself to who may not see its facts: how eyes erred there, since that
//! reaches every limit that rests on glances, and the box in which it lies, since ground that two
//! sites claim is promised from neither.

use std::collections::BTreeSet;

use geo::Rect;
use rusqlite::{Connection, params};
use tokio_postgres::Row;
use tokio_postgres::types::Type;

use super::fresh::Fresh;
use super::link::{Link, Snag};
use super::stopped::Stopped;
use super::tables::TABLES;
use crate::book::day;
use crate::book::error::Failure;
use crate::book::ledger::site_alone;
use crate::book::neighbours::boxes;
use crate::book::taught::Taught;
use crate::book::view::View;
use crate::records::{EyeTold, Ledger};

/// Where these are written to, it may be otherwise what an eye is held against.
const TEACHING: [&str; 8] =
    ["survey", "glance", "visit", "override", "patch", "redraw", "zone", "correction"];

/// The figures of some sites, in the place of what they told before.
#[derive(Debug, Default)]
pub(super) struct Figures {
    /// The sites whose eyes are told anew.
    taught: Vec<i64>,
    eyes: Vec<(i64, EyeTold)>,
    boxes: Vec<(i64, Rect)>,
}

impl Figures {
    /// Those of the sites that a decision wrote about, as they are after it.
    pub(super) fn of(
        fresh: &Fresh,
        decision: &Connection,
        taught: &Taught,
    ) -> Result<Self, Failure> {
        let mut figures = Self::default();
        let wrote = |names: &[&str]| {
            let all = fresh.rows.keys().chain(fresh.changed.keys());
            let mut written = all.map(|at| TABLES[*at].name);
            written.any(|name| names.contains(&name))
        };
        let homes: BTreeSet<i64> =
            fresh.homes.union(&fresh.beside).copied().filter(|home| *home != 0).collect();
        if wrote(&TEACHING) {
            for home in &homes {
                figures.learn(*home, &site_alone(*home, decision)?, taught);
            }
        }
        if wrote(&["site", "correction"]) {
            figures.lie(&homes, decision)?;
        }
        Ok(figures)
    }

    /// Takes in what a site's facts teach, unless that cannot be told.
    pub(super) fn learn(&mut self, home: i64, site: &Ledger, taught: &Taught) {
        if let Some(eyes) = taught.by(site) {
            self.taught.push(home);
            self.eyes.extend(eyes.into_iter().map(|eye| (home, eye)));
        }
    }

    /// Takes in where the sites lie.
    pub(super) fn lie(&mut self, homes: &BTreeSet<i64>, book: &Connection) -> rusqlite::Result<()> {
        let all = boxes(&View::read(book, None)?, book)?;
        self.boxes.extend(all.into_iter().filter(|(home, _)| homes.contains(home)));
        Ok(())
    }

    /// In an open transaction.
    pub(super) fn write(&self, link: &Link) -> Result<(), Snag> {
        if !self.taught.is_empty() {
            let sql = "DELETE FROM eye WHERE home = ANY ($1)";
            link.rows(sql, &[(&self.taught, Type::INT8_ARRAY)])?;
        }
        if !self.eyes.is_empty() {
            let homes: Vec<i64> = self.eyes.iter().map(|(home, _)| *home).collect();
            let text = |of: &dyn Fn(&EyeTold) -> String| -> Vec<String> {
                self.eyes.iter().map(|(_, eye)| of(eye)).collect()
            };
            let (crops, observers) =
                (text(&|eye| eye.crop.to_string()), text(&|eye| eye.observer.to_string()));
            let days = text(&|eye| eye.day.to_string());
            let ratios: Vec<f64> = self.eyes.iter().map(|(_, eye)| eye.log_ratio).collect();
            let sql = "INSERT INTO eye (home, crop, observer, day, log_ratio) SELECT * FROM \
                       unnest($1::bigint[], $2::text[], $3::text[], $4::text[], $5::float8[])";
            link.rows(
                sql,
                &[
                    (&homes, Type::INT8_ARRAY),
                    (&crops, Type::TEXT_ARRAY),
                    (&observers, Type::TEXT_ARRAY),
                    (&days, Type::TEXT_ARRAY),
                    (&ratios, Type::FLOAT8_ARRAY),
                ],
            )?;
        }
        if !self.boxes.is_empty() {
            let homes: Vec<i64> = self.boxes.iter().map(|(home, _)| *home).collect();
            let corner = |of: &dyn Fn(&Rect) -> f64| -> Vec<f64> {
                self.boxes.iter().map(|(_, bounds)| of(bounds)).collect()
            };
            let (west, south) = (corner(&|it| it.min().x), corner(&|it| it.min().y));
            let (east, north) = (corner(&|it| it.max().x), corner(&|it| it.max().y));
            let sql = "INSERT INTO bounds (home, degrees) \
                       SELECT home, box(point(west, south), point(east, north)) FROM \
                       unnest($1::bigint[], $2::float8[], $3::float8[], $4::float8[], \
                              $5::float8[]) AS t (home, west, south, east, north) \
                       ON CONFLICT (home) DO UPDATE SET degrees = excluded.degrees";
            link.rows(
                sql,
                &[
                    (&homes, Type::INT8_ARRAY),
                    (&west, Type::FLOAT8_ARRAY),
                    (&south, Type::FLOAT8_ARRAY),
                    (&east, Type::FLOAT8_ARRAY),
                    (&north, Type::FLOAT8_ARRAY),
                ],
            )?;
        }
        Ok(())
    }
}

/// How eyes that look here erred elsewhere, as far as this role is told of it: four lists in a row,
/// from column `at` on.
pub(super) fn told(row: &Row, at: usize) -> Result<Vec<EyeTold>, Snag> {
    let texts = |at: usize| -> Result<Vec<&str>, Snag> {
        Ok(row.try_get::<_, Option<_>>(at)?.unwrap_or_default())
    };
    let (crops, observers, days) = (texts(at)?, texts(at + 1)?, texts(at + 2)?);
    let ratios: Vec<f64> = row.try_get::<_, Option<_>>(at + 3)?.unwrap_or_default();
    let all = crops.into_iter().zip(observers).zip(days).zip(ratios);
    let told = all.filter_map(|(((crop, observer), day), log_ratio)| {
        let (crop, observer) = (crop.into(), observer.into());
        Some(EyeTold { crop, observer, day: day::from_text(day.as_bytes())?, log_ratio })
    });
    Ok(told.collect())
}

/// Puts them into the working copy, in the place of what it had.
pub(super) fn keep(told: &[EyeTold], copy: &Connection) -> Result<(), Stopped> {
    copy.execute("DELETE FROM shared_eye", [])?;
    let mut row = copy.prepare_cached(
        "INSERT INTO shared_eye (crop, observer, day, log_ratio) VALUES (?, ?, ?, ?)",
    )?;
    for EyeTold { crop, observer, day, log_ratio } in told {
        row.execute(params![&**crop, &**observer, day.to_string(), log_ratio])?;
    }
    Ok(())
}
