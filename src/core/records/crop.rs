//! The profile of a crop: its season, how it recovers, what protects it and those who eat it.

use std::fmt;
use std::ops::RangeInclusive;
use std::sync::Arc;

use super::{CropField, LookAlike};
use crate::units::{Amount, Measure, Window};

/// A value and where it comes from: a citation, or `common practice, no source`.
#[derive(Clone, Debug, PartialEq)]
pub struct Sourced<T> {
    /// What is believed.
    pub value: T,
    /// A citation, or `common practice, no source`.
    pub source: Arc<str>,
}

/// A species and the part of it that is taken.
#[derive(Clone, Debug, PartialEq)]
pub struct Crop {
    /// `ramsons-leaf`.
    pub name: Arc<str>,
    /// What people call it: `Ramsons, leaf`.
    pub common_name: Arc<str>,
    /// Genus and species, or a genus where several count as one.
    pub scientific_name: Arc<str>,
    /// What is taken of the plant.
    pub part: PlantPart,
    /// What a cook uses it for: `green leaf`, `sour`. Walks and boxes may ask for it.
    pub kitchen_role: Arc<str>,
    /// How it comes back, from which follow its defaults.
    pub habit: Habit,
    /// Whether it is weighed or counted.
    pub measure: Measure,
    /// What one piece of a counted crop is called: `head`. Unused for a mass.
    pub piece: Arc<str>,
    /// The days of the year on which it may be cut.
    pub window: Sourced<Window>,
    /// How long the crop takes to come back from a cut.
    pub recovery: Sourced<Recovery>,
    /// Growth multiplier, 0 dormant to 1, January to December; `None` where not known.
    pub growth_by_month: Option<Sourced<[f64; 12]>>,
    /// How a full crop swings through the year, of a leaf: what stands in the middle of each month,
    /// January first, in any one unit; `None` where it is taken to stand at the same all year.
    pub full_by_month: Option<Sourced<[f64; 12]>>,
    /// By how many days that swing comes later here than its months say; under 0 earlier.
    pub full_late_days: Option<Sourced<i32>>,
    /// The part of the crop that always stays: theta of the take-limit model, in (0, 1).
    pub kept_standing: Sourced<f64>,
    /// The part of the full crop under which nothing is cut, in [0, 1).
    pub reserve: Sourced<f64>,
    /// What must be left on each square metre, in the crop's measure.
    pub leave_per_m2: Option<Sourced<f64>>,
    /// Visits with a cut that one season bears.
    pub cuts_per_season: Option<Sourced<u32>>,
    /// The part of a stand that a code of practice lets one visit take; `None` where none is known.
    pub code_cap: Option<Sourced<CodeCap>>,
    /// Most for one person in one visit by a code of practice.
    pub per_person_visit: Option<Sourced<Amount>>,
    /// The least that is worth a visit.
    pub smallest_useful: Sourced<Amount>,
    /// Whether it may be taken at all.
    pub status: Status,
    /// Whether one in N can be counted off in the field (canopy nuts cannot).
    pub countable: bool,
    /// How to cut so that it comes back.
    pub cut_method: Sourced<Arc<str>>,
    /// What it is mistaken for; may be empty.
    pub look_alikes: Vec<LookAlike>,
    /// Where the list of them comes from.
    pub look_alikes_source: Arc<str>,
    /// What whoever eats it must know.
    pub cautions: Sourced<Arc<str>>,
    /// What the law says of picking it; not legal advice.
    pub legal_note: Sourced<Arc<str>>,
}

/// Cut by `take_fraction`, the crop is back to 95 % of full after `days`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Recovery {
    /// In (0.05, 0.95).
    pub take_fraction: f64,
    /// Days, more than 0.
    pub days: f64,
}

/// A published cap on the part of a stand that one visit takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CodeCap {
    /// In (0, 1].
    pub fraction: f64,
}

/// How a crop comes back after a cut; it sets the model's defaults.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Habit {
    /// Leaf or shoot that is back within weeks.
    FastLeaf,
    /// Leaf or frond that needs a season.
    SlowLeaf,
    /// Flower, fruit, seed, nut or fruit body: one crop a year.
    OnceAYear,
    /// Root, bulb, bark, or a slow seaweed: years.
    Slow,
}

/// The part of a plant that is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PlantPart {
    /// A grown leaf.
    Leaf,
    /// A young stem with its leaves.
    Shoot,
    /// A single flower or a whole head.
    Flower,
    /// A berry or another soft fruit.
    Fruit,
    /// Dry seed.
    Seed,
    /// A nut in its shell.
    Nut,
    /// What lies in the ground and is dug.
    Root,
    /// A bulb, which ends the plant.
    Bulb,
    /// The leaf of a fern, or the blade of a seaweed.
    Frond,
    /// A mushroom: the fungus itself stays in the ground.
    FruitBody,
}

/// What holds of a species by law, or for its own sake.
#[derive(Clone, Debug, PartialEq)]
pub enum Status {
    /// Neither protected nor invasive.
    Ordinary,
    /// Nothing may be taken: the reason.
    Protected(Sourced<Arc<str>>),
    /// No upper limit for its own sake, but it must not be spread: the caution.
    Invasive(Sourced<Arc<str>>),
}

/// A value of a crop that cannot be: which, what was found, what would do.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{field}`: `{found}` is not {expected}")]
pub struct CropError {
    /// Which value, as files call it.
    pub field: &'static str,
    /// What was written.
    pub found: String,
    /// Continues "expected …".
    pub expected: &'static str,
}

impl Recovery {
    /// The take fraction at or under which "back to 95 %" says nothing.
    pub const LEAST_FRACTION: f64 = 0.05;

    /// What is expected of a take fraction: continues "expected …".
    pub const EXPECTED_FRACTION: &str = "a fraction over 0.05 and under 0.95: after a cut of 5 % or less the crop still stands \
         at 95 %, so the recovery says nothing";

    /// Whether a growth rate follows from it: a fraction that says something, and a number of days
    /// over 0.
    pub fn is_usable(self) -> bool {
        self.take_fraction > Self::LEAST_FRACTION
            && self.take_fraction < 1.0 - Self::LEAST_FRACTION
            && self.days.is_finite()
            && self.days > 0.0
    }
}

impl Habit {
    /// Every habit, the quickest to come back first.
    pub const ALL: [Self; 4] = [Self::FastLeaf, Self::SlowLeaf, Self::OnceAYear, Self::Slow];

    /// As files and people write it: `fast leaf`.
    pub fn name(self) -> &'static str {
        match self {
            Self::FastLeaf => "fast leaf",
            Self::SlowLeaf => "slow leaf",
            Self::OnceAYear => "once a year",
            Self::Slow => "slow",
        }
    }

    /// Whether it is a leaf, whose full crop may swing through the year.
    pub fn is_leaf(self) -> bool {
        matches!(self, Self::FastLeaf | Self::SlowLeaf)
    }
}

impl PlantPart {
    /// Every part, as the catalogue lists them.
    pub const ALL: [Self; 10] = [
        Self::Leaf,
        Self::Shoot,
        Self::Flower,
        Self::Fruit,
        Self::Seed,
        Self::Nut,
        Self::Root,
        Self::Bulb,
        Self::Frond,
        Self::FruitBody,
    ];

    /// As files and people write it: `fruit body`.
    pub fn name(self) -> &'static str {
        match self {
            Self::Leaf => "leaf",
            Self::Shoot => "shoot",
            Self::Flower => "flower",
            Self::Fruit => "fruit",
            Self::Seed => "seed",
            Self::Nut => "nut",
            Self::Root => "root",
            Self::Bulb => "bulb",
            Self::Frond => "frond",
            Self::FruitBody => "fruit body",
        }
    }
}

impl Crop {
    /// The crop with one value replaced, read from text; used by the catalogue and by
    /// overrides alike.
    ///
    /// # Errors
    /// Names the field, what was found and what would be right.
    pub fn set(&mut self, field: CropField, text: &str, source: &str) -> Result<(), CropError> {
        let refuse = || CropError {
            field: field.name(),
            found: text.to_owned(),
            expected: field.expected(),
        };
        let source: Arc<str> = source.into();
        let number = || text.trim().parse::<f64>().ok().filter(|x| x.is_finite());
        match field {
            CropField::Season => {
                let value = text.parse().map_err(|_| refuse())?;
                self.window = Sourced { value, source };
            }
            CropField::TakeFraction | CropField::RecoveryDays => {
                let number = number().ok_or_else(refuse)?;
                let mut value = self.recovery.value;
                if field == CropField::TakeFraction {
                    value.take_fraction = number;
                } else {
                    value.days = number;
                }
                if !value.is_usable() {
                    return Err(refuse());
                }
                self.recovery = Sourced { value, source };
            }
            CropField::GrowthByMonth => {
                let value = growth_months(text).ok_or_else(refuse)?;
                self.growth_by_month = Some(Sourced { value, source });
            }
            CropField::FullByMonth => {
                let value = full_months(text).ok_or_else(refuse)?;
                if !self.habit.is_leaf() && swings(&value) {
                    return Err(refuse());
                }
                self.full_by_month = Some(Sourced { value, source });
            }
            CropField::FullLateDays => {
                let days = text.trim().parse().ok();
                let value = days.filter(|days| LATE_DAYS.contains(days)).ok_or_else(refuse)?;
                self.full_late_days = Some(Sourced { value, source });
            }
            CropField::KeptStanding => {
                let value = number().filter(|x| *x > 0.0 && *x < 1.0).ok_or_else(refuse)?;
                self.kept_standing = Sourced { value, source };
            }
            CropField::Reserve => {
                let value = number().filter(|x| (0.0..1.0).contains(x)).ok_or_else(refuse)?;
                self.reserve = Sourced { value, source };
            }
            CropField::CutsPerSeason => {
                let value = text.trim().parse().ok().filter(|n| *n > 0).ok_or_else(refuse)?;
                self.cuts_per_season = Some(Sourced { value, source });
            }
            CropField::CodeCap => {
                let fraction = number().filter(|x| *x > 0.0 && *x <= 1.0).ok_or_else(refuse)?;
                self.code_cap = Some(Sourced { value: CodeCap { fraction }, source });
            }
            CropField::SmallestUseful => {
                let value = text.parse::<Amount>().map_err(|_| refuse())?;
                if value.measure != self.measure || value.value <= 0.0 {
                    return Err(refuse());
                }
                self.smallest_useful = Sourced { value, source };
            }
        }
        Ok(())
    }

    /// The twelve months of a full crop that swings through the year; `None` for one that does
    /// not.
    pub fn full_swings(&self) -> Option<&Sourced<[f64; 12]>> {
        self.full_by_month.as_ref().filter(|months| swings(&months.value))
    }

    /// An amount in this crop's measure, shown with its unit: `650 g`, `1 head`, `14 heads`.
    pub fn show(&self, value: f64) -> String {
        self.amount(value).to_string()
    }

    /// So much of it, which says itself as `show` does.
    pub fn amount(&self, value: f64) -> CropAmount {
        let piece = (self.measure == Measure::Count).then(|| self.piece.clone());
        CropAmount { amount: Amount { value, measure: self.measure }, piece }
    }

    /// The first of its gravest look-alikes.
    pub fn gravest_look_alike(&self) -> Option<&LookAlike> {
        self.look_alikes.iter().rev().max_by_key(|look_alike| look_alike.grade)
    }
}

/// So much of a crop: `1.5 kg`, `14 heads`.
#[derive(Clone, Debug, PartialEq)]
pub struct CropAmount {
    amount: Amount,
    /// What one of it is called, where it is counted.
    piece: Option<Arc<str>>,
}

impl fmt::Display for CropAmount {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let number = self.amount.to_string();
        match &self.piece {
            None => out.pad(&number),
            Some(piece) if number == "1" => out.pad(&format!("{number} {piece}")),
            Some(piece) => out.pad(&format!("{number} {piece}s")),
        }
    }
}

/// A season further off than this is another crop's.
const LATE_DAYS: RangeInclusive<i32> = -60..=60;

/// Reads `all year` or twelve figures, not all 0.
fn full_months(text: &str) -> Option<[f64; 12]> {
    if text.trim() == "all year" {
        return Some([1.0; 12]);
    }
    let months = text.split_whitespace().map(|part| part.parse().ok());
    let months: Vec<f64> = months.collect::<Option<_>>()?;
    let are_figures = months.iter().all(|month| month.is_finite() && *month >= 0.0);
    let any_stands = months.iter().any(|month| *month > 0.0);
    months.try_into().ok().filter(|_| are_figures && any_stands)
}

fn swings(months: &[f64; 12]) -> bool {
    months.iter().any(|month| *month != months[0])
}

/// Reads `all year`, `3-10` (months, may wrap) or twelve multipliers.
fn growth_months(text: &str) -> Option<[f64; 12]> {
    let text = text.trim();
    if text == "all year" {
        return Some([1.0; 12]);
    }
    if let Some((from, to)) = text.split_once('-') {
        let month = |part: &str| part.parse::<usize>().ok().filter(|m| (1..=12).contains(m));
        let (from, to) = (month(from)?, month(to)?);
        let grows = |m: usize| {
            if from <= to { from <= m && m <= to } else { m >= from || m <= to }
        };
        return Some(std::array::from_fn(|i| if grows(i + 1) { 1.0 } else { 0.0 }));
    }
    let multipliers: Vec<f64> = text
        .split_whitespace()
        .map(|part| part.parse().ok().filter(|g| (0.0..=1.0).contains(g)))
        .collect::<Option<_>>()?;
    multipliers.try_into().ok()
}
