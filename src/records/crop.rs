//! The profile of a crop: its season, how it recovers, what protects it and those who eat it.

use std::fmt;
use std::ops::RangeInclusive;
use std::str::FromStr;
use std::sync::Arc;

use super::{Written, folded};
use crate::units::{Amount, Measure, Window};

/// A value and where it comes from: a citation, or `common practice, no source`.
#[derive(Clone, Debug, PartialEq)]
pub struct Sourced<T> {
    pub value: T,
    pub source: Arc<str>,
}

/// A species and the part of it that is taken.
#[derive(Clone, Debug, PartialEq)]
pub struct Crop {
    /// `ramsons-leaf`.
    pub name: Arc<str>,
    pub common_name: Arc<str>,
    pub scientific_name: Arc<str>,
    pub part: PlantPart,
    pub kitchen_role: Arc<str>,
    pub habit: Habit,
    pub measure: Measure,
    /// What one piece of a counted crop is called: `head`. Unused for a mass.
    pub piece: Arc<str>,
    pub window: Sourced<Window>,
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
    pub code_cap: Option<Sourced<CodeCap>>,
    /// Most for one person in one visit by a code of practice.
    pub per_person_visit: Option<Sourced<Amount>>,
    /// The least that is worth a visit.
    pub smallest_useful: Sourced<Amount>,
    pub status: Status,
    /// Whether one in N can be counted off in the field (canopy nuts cannot).
    pub countable: bool,
    pub cut_method: Sourced<Arc<str>>,
    pub look_alikes: Vec<LookAlike>,
    pub look_alikes_source: Arc<str>,
    pub cautions: Sourced<Arc<str>>,
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

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PlantPart {
    Leaf,
    Shoot,
    Flower,
    Fruit,
    Seed,
    Nut,
    Root,
    Bulb,
    Frond,
    FruitBody,
}

#[derive(Clone, Debug, PartialEq)]
pub enum Status {
    Ordinary,
    /// Nothing may be taken: the reason.
    Protected(Sourced<Arc<str>>),
    /// No upper limit for its own sake, but it must not be spread: the caution.
    Invasive(Sourced<Arc<str>>),
}

/// Something that is mistaken for the crop.
#[derive(Clone, Debug, PartialEq)]
pub struct LookAlike {
    pub name: Arc<str>,
    pub grade: LookAlikeGrade,
}

impl LookAlike {
    /// Whether people may mean it by that name: `hemlock` may be any that has the word.
    pub fn may_be_called(&self, name: &str) -> bool {
        let (known, asked) = (folded(&self.name), folded(name));
        let common = known.split(" (").next().unwrap_or(&known);
        asked.len() > 2 && (known.contains(&asked) || asked.contains(common))
    }
}

/// What eating the look-alike does, worst last.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LookAlikeGrade {
    Harmless,
    Irritant,
    Poisonous,
    Fatal,
}

/// The values of a crop that a user may replace for a site or patch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum CropField {
    Season,
    TakeFraction,
    RecoveryDays,
    GrowthByMonth,
    FullByMonth,
    FullLateDays,
    KeptStanding,
    Reserve,
    CutsPerSeason,
    CodeCap,
    SmallestUseful,
}

#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{field}`: `{found}` is not {expected}")]
pub struct CropError {
    pub field: &'static str,
    pub found: String,
    pub expected: &'static str,
}

impl Recovery {
    /// The take fraction at or under which "back to 95 %" says nothing.
    pub const LEAST_FRACTION: f64 = 0.05;

    pub const EXPECTED_FRACTION: &str = "a fraction over 0.05 and under 0.95: after a cut of 5 % or less the crop still stands \
         at 95 %, so the recovery says nothing";

    pub fn is_usable(self) -> bool {
        self.take_fraction > Self::LEAST_FRACTION
            && self.take_fraction < 1.0 - Self::LEAST_FRACTION
            && self.days.is_finite()
            && self.days > 0.0
    }
}

impl Habit {
    pub const ALL: [Self; 4] = [Self::FastLeaf, Self::SlowLeaf, Self::OnceAYear, Self::Slow];

    pub fn name(self) -> &'static str {
        match self {
            Self::FastLeaf => "fast leaf",
            Self::SlowLeaf => "slow leaf",
            Self::OnceAYear => "once a year",
            Self::Slow => "slow",
        }
    }

    pub fn is_leaf(self) -> bool {
        matches!(self, Self::FastLeaf | Self::SlowLeaf)
    }
}

impl PlantPart {
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

impl LookAlikeGrade {
    pub const ALL: [Self; 4] = [Self::Harmless, Self::Irritant, Self::Poisonous, Self::Fatal];

    /// How a doubt is settled.
    pub const RULE: &str = "Where sources disagree the graver counts, and a group counts as its \
                            worst member.";

    pub fn name(self) -> &'static str {
        match self {
            Self::Harmless => "harmless",
            Self::Irritant => "irritant",
            Self::Poisonous => "poisonous",
            Self::Fatal => "fatal",
        }
    }

    /// Continues the name and a colon.
    pub fn meaning(self) -> &'static str {
        match self {
            Self::Harmless => "no harm by it is known to us; still not the crop",
            Self::Irritant => "it burns mouth, gut or skin for a while",
            Self::Poisonous => {
                "it makes people ill, some gravely, but of no death in our time do we know"
            }
            Self::Fatal => {
                "people have died of it, or a source of our time says that they may: a poison \
                 centre, a hospital, a paper or a field guide"
            }
        }
    }
}

impl CropField {
    pub const ALL: [Self; 11] = [
        Self::Season,
        Self::TakeFraction,
        Self::RecoveryDays,
        Self::GrowthByMonth,
        Self::FullByMonth,
        Self::FullLateDays,
        Self::KeptStanding,
        Self::Reserve,
        Self::CutsPerSeason,
        Self::CodeCap,
        Self::SmallestUseful,
    ];

    pub const fn name(self) -> &'static str {
        match self {
            Self::Season => "season",
            Self::TakeFraction => "take_fraction",
            Self::RecoveryDays => "recovery_days",
            Self::GrowthByMonth => "growth_by_month",
            Self::FullByMonth => "full_by_month",
            Self::FullLateDays => "full_late_days",
            Self::KeptStanding => "kept_standing",
            Self::Reserve => "reserve",
            Self::CutsPerSeason => "cuts_per_season",
            Self::CodeCap => "code_cap",
            Self::SmallestUseful => "smallest_useful",
        }
    }

    /// What the field takes, for messages and help.
    pub const fn expected(self) -> &'static str {
        match self {
            Self::Season => "a span of days, like `11-15..03-20` or `all year`",
            Self::TakeFraction => Recovery::EXPECTED_FRACTION,
            Self::RecoveryDays => "a number of days, more than 0",
            Self::GrowthByMonth => {
                "`all year`, a span of months like `3-10`, or twelve multipliers from 0 to 1 \
                 separated by spaces"
            }
            Self::FullByMonth => {
                "`all year` for a full crop that stands at the same all year, or, for a leaf, twelve \
                 figures of 0 or more separated by spaces, January first: what a full crop comes to \
                 in the middle of each month"
            }
            Self::FullLateDays => {
                "a whole number of days from -60 to 60: how much later the season of the full crop \
                 comes here than the catalogue says, with a minus for earlier"
            }
            Self::KeptStanding => "a fraction over 0 and under 1",
            Self::Reserve => "a fraction from 0 to under 1",
            Self::CutsPerSeason => "a whole number, 1 or more",
            Self::CodeCap => "a fraction over 0, at most 1",
            Self::SmallestUseful => "an amount over 0 in the crop's measure, like `50g` or `1`",
        }
    }
}

#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not a value that can be replaced")]
pub struct CropFieldError(String);

impl FromStr for CropField {
    type Err = CropFieldError;

    fn from_str(text: &str) -> Result<Self, CropFieldError> {
        let named = Self::ALL.into_iter().find(|field| field.name() == text);
        named.ok_or_else(|| CropFieldError(text.to_owned()))
    }
}

impl Written for CropField {}

impl fmt::Display for CropField {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.pad(self.name())
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
        let amount = Amount { value, measure: self.measure };
        match self.measure {
            Measure::Mass => amount.to_string(),
            Measure::Count => {
                let number = amount.to_string();
                let plural = if number == "1" { "" } else { "s" };
                format!("{number} {}{plural}", self.piece)
            }
        }
    }

    /// The first of its gravest look-alikes.
    pub fn gravest_look_alike(&self) -> Option<&LookAlike> {
        self.look_alikes.iter().rev().max_by_key(|look_alike| look_alike.grade)
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
