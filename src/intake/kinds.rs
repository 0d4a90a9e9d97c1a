//! All kinds of record as files have them, by the list in `records`.

use geo::Geometry;

use super::column::{Cell, columns};
use super::fields::{Fields, Signature};
use super::known::Gazetteer;
use super::tally::Reported;
use super::{reading, writing};
use crate::records::{Declared, Kind, Need, Record, SiteName, for_its_type, of_any_kind};
use crate::units::Measure;

/// The kinds that come as rows of a CSV.
pub const SHEETS: [Kind; how_many(false)] = those(false);

/// The kinds that come as features of a GeoJSON file.
pub const FEATURES: [Kind; how_many(true)] = those(true);

const fn how_many(with_shape: bool) -> usize {
    let (mut n, mut at) = (0, 0);
    while at < Kind::ALL.len() {
        if Kind::ALL[at].has_shape() == with_shape {
            n += 1;
        }
        at += 1;
    }
    n
}

const fn those<const N: usize>(with_shape: bool) -> [Kind; N] {
    let mut those = [Kind::ALL[0]; N];
    let (mut n, mut at) = (0, 0);
    while at < Kind::ALL.len() {
        if Kind::ALL[at].has_shape() == with_shape {
            those[n] = Kind::ALL[at];
            n += 1;
        }
        at += 1;
    }
    those
}

/// The files that can be loaded: "GeoJSON files with sites, zones and patches; CSV files …".
pub fn loadable() -> String {
    let all = |kinds: &[Kind], last: &str| match kinds {
        [most @ .., one] if !most.is_empty() => {
            let most: Vec<&str> = most.iter().map(|kind| kind.plural()).collect();
            format!("{} {last} {}", most.join(", "), one.plural())
        }
        _ => kinds.iter().map(|kind| kind.plural()).collect(),
    };
    format!(
        "GeoJSON files with {}; CSV files, each with {}",
        all(&FEATURES, "and"),
        all(&SHEETS, "or")
    )
}

/// The columns any of which tells by its presence that a CSV is of this kind.
pub(super) fn telling(kind: Kind) -> impl Iterator<Item = &'static str> {
    let telling = columns(kind).iter().filter(|column| column.need == Need::Telling);
    telling.map(|column| column.name)
}

/// Reads a row of a kind; `None` for one that is left out.
pub(super) fn read_row(
    kind: Kind,
    fields: &mut Fields<'_>,
    known: &Gazetteer<'_>,
) -> Result<Option<(Record, Signature)>, Reported> {
    for_its_type!(kind, T => {
        let read = reading::read_row::<T>(fields, known)?;
        Ok(read.map(|(record, signature)| (record.into(), signature)))
    })
}

/// Whether a feature of the kind may come without a shape (RFC 7946, 3.2: unlocated).
pub(super) fn may_lack_shape(kind: Kind) -> bool {
    for_its_type!(kind, T => T::FIELDS.iter().any(|field| field.form == "maybe_footprint"))
}

/// Reads a feature of a kind that lies on `site`, or is one.
pub(super) fn read_feature(
    kind: Kind,
    fields: &mut Fields<'_>,
    known: &Gazetteer<'_>,
    site: Option<Result<SiteName, Reported>>,
    shape: Option<Result<Geometry, Reported>>,
) -> Result<Record, Reported> {
    for_its_type!(kind, T => {
        reading::read_feature::<T>(fields, known, site, shape).map(Record::from)
    })
}

/// The record alone, without dates and names.
pub(super) fn rows(record: &Record, measure: Measure) -> Vec<Vec<Cell>> {
    of_any_kind!(record, record => writing::rows(record, measure))
}

/// What is drawn of a place on a map; `None` for a record that is no place.
pub(super) fn shape(record: &Record) -> Option<Geometry> {
    of_any_kind!(record, record => writing::shape(record))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intake::property;

    #[test]
    fn columns_tell_each_kind_of_csv_and_no_other_kind_has_them() {
        for kind in SHEETS {
            assert!(telling(kind).count() > 0, "{kind:?}");
            for other in SHEETS.into_iter().filter(|other| *other != kind) {
                let has = |name| columns(other).iter().any(|column| column.name == name);
                assert!(!telling(kind).any(has), "{kind:?} and {other:?}");
            }
        }
    }

    #[test]
    fn no_kind_has_two_columns_of_one_name() {
        for kind in Kind::ALL {
            let mut names: Vec<_> = columns(kind).iter().map(|column| column.name).collect();
            names.sort_unstable();
            names.dedup();
            assert_eq!(names.len(), columns(kind).len(), "{kind:?}");
        }
    }

    #[test]
    fn every_kind_is_signed_and_a_feature_says_its_kind() {
        for kind in Kind::ALL {
            let has = |name| columns(kind).iter().any(|column| column.name == name);
            assert!(["date", "by", "recorded_on", "fact"].into_iter().all(has), "{kind:?}");
            assert_eq!(has(property::KIND.name), FEATURES.contains(&kind), "{kind:?}");
        }
        let named = |kind: &Kind| property::KIND.expected.contains(&format!("`{}`", kind.name()));
        assert!(FEATURES.iter().all(named));
    }
}
