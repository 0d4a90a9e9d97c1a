//! How much of a full crop stands through the year, as far as that is published.
//!
//! The built-in profile of a leaf has its curve as `full_by_month`. What comes once a year does not:
//! there a window rises twentyfold in a month, half a month's error would be a factor of four, and
//! how much is ripe is asked instead. What needs years to come back stands at much the same all
//! year.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use toml::{Table, Value};

use crate::records::{Crop, Sourced};

/// Months of a year.
const MONTHS: usize = 12;
const CURVES: &str = include_str!("season_curves.toml");

static PUBLISHED: LazyLock<BTreeMap<String, PublishedCurve>> =
    LazyLock::new(|| read(CURVES).expect("a test reads the curves"));

/// One crop's curve and what supports it.
#[derive(Clone, Debug, PartialEq)]
pub struct PublishedCurve {
    /// Mid-month values against the peak, January first: in [0.03, 1], the largest 1.
    pub months: [f64; MONTHS],
    /// How well it is supported.
    pub basis: Basis,
    /// A citation.
    pub source: String,
    /// What the source leaves open; may be empty.
    pub note: String,
}

/// What stands behind a curve.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// Weights or counts through the year.
    Measured,
    /// The months of rise, peak and die-back are published, the heights are not.
    Phenology,
    /// No source for most of its months.
    CommonPractice,
}

impl Basis {
    /// In a word or two: `common practice`.
    pub fn name(self) -> &'static str {
        match self {
            Self::Measured => "measured",
            Self::Phenology => "phenology",
            Self::CommonPractice => "common practice",
        }
    }
}

/// The curve of a crop of the built-in catalogue; `None` where nothing is known that would make
/// one.
pub fn season_curve(crop: &str) -> Option<&'static PublishedCurve> {
    PUBLISHED.get(crop)
}

/// The crop with its published curve, if it is a leaf.
pub(super) fn with_season(crop: Crop) -> Crop {
    let curve = season_curve(&crop.name).filter(|_| crop.habit.is_leaf());
    let full_by_month =
        curve.map(|curve| Sourced { value: curve.months, source: curve.in_a_source().into() });
    Crop { full_by_month: crop.full_by_month.clone().or(full_by_month), ..crop }
}

impl PublishedCurve {
    fn in_a_source(&self) -> String {
        let rests = match self.basis {
            Basis::Measured | Basis::CommonPractice => "",
            Basis::Phenology => "months published, heights this project's reading of them; ",
        };
        format!("{rests}{}", self.source)
    }
}

/// Every curve, by the name of its crop; the first thing that is wrong where the file is not
/// what it must be.
fn read(toml: &str) -> Result<BTreeMap<String, PublishedCurve>, String> {
    let table: Table = toml.parse().map_err(|error| format!("{error}"))?;
    let curves = table.into_iter().map(|(crop, value)| {
        let curve = of(&value).ok_or_else(|| format!("the curve of `{crop}` lacks a field"))?;
        Ok((crop, curve))
    });
    curves.collect()
}

fn of(value: &Value) -> Option<PublishedCurve> {
    let text = |field: &str| value.get(field)?.as_str().map(str::to_owned);
    let months: Option<Vec<f64>> =
        value.get("months")?.as_array()?.iter().map(Value::as_float).collect();
    let basis = [Basis::Measured, Basis::Phenology, Basis::CommonPractice];
    let named = text("basis")?;
    Some(PublishedCurve {
        months: months?.try_into().ok()?,
        basis: basis.into_iter().find(|basis| basis.name() == named)?,
        source: text("source")?,
        note: text("note")?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;
    use jiff::civil::date;

    #[test]
    fn every_curve_is_read_has_a_source_and_peaks_at_1() {
        let curves = read(CURVES).unwrap();
        assert!(curves.len() > 50, "{}", curves.len());
        for (crop, curve) in curves {
            assert!(curve.months.iter().all(|value| (0.03..=1.0).contains(value)), "{crop}");
            assert_eq!(curve.months.iter().copied().fold(0.0, f64::max), 1.0, "{crop}");
            assert!(!curve.source.is_empty(), "{crop}");
            let is_practice = curve.source.starts_with("common practice, no source");
            assert_eq!(is_practice, curve.basis == Basis::CommonPractice, "{crop}");
        }
    }

    /// A curve whose peak lay outside the months in which its crop is gathered would be that of
    /// another part of the plant.
    #[test]
    fn every_curve_is_that_of_a_crop_and_stands_high_in_some_day_of_its_season() {
        for (crop, curve) in read(CURVES).unwrap() {
            let known = Catalogue::built_in().crop(&crop);
            let window = known.unwrap_or_else(|| panic!("no crop `{crop}`")).window.value;
            let high = (1..=12).any(|month| {
                let is_in_season = window.contains(date(2027, month, 15));
                is_in_season && curve.months[month as usize - 1] >= 0.5
            });
            assert!(high, "{crop}");
        }
    }
}
