//! Scales of cover: what a class stands for, from how many per cent to how many.

use std::fmt;
use std::str::FromStr;
use std::sync::Arc;

/// Per cent of the ground between which the cover lies; `low` = `high` where it was read
/// directly.
#[derive(Clone, Debug, PartialEq)]
pub struct CoverClass {
    /// As it was written down: `7`, `+`, `D`, or the number of per cent.
    pub name: Arc<str>,
    /// In per cent, 0 to 100.
    pub low: f64,
    /// In per cent, 0 to 100.
    pub high: f64,
}

/// The scale a survey's cover was read on. Sources differ, so that each survey names its own.
#[derive(Clone, Debug, PartialEq)]
pub enum CoverScale {
    /// Read directly, as a number from 0 to 100.
    Percent,
    /// The Domin scale: `+`, and 1 to 10.
    Domin,
    /// The Braun-Blanquet scale: `r`, `+`, and 1 to 5.
    BraunBlanquet,
    /// A scale without one standard, such as DAFOR, with the limits it was used with:
    /// `D 75-100; A 50-75; F 25-50; O 5-25; R 0-5`.
    Own(Arc<[CoverClass]>),
}

type Limits = (&'static str, f64, f64);

/// Limits as Shimwell 1971, The Description and Classification of Vegetation, has them.
const DOMIN: [Limits; 11] = [
    ("+", 0.0, 0.01),
    ("1", 0.01, 0.1),
    ("2", 0.1, 1.0),
    ("3", 1.0, 5.0),
    ("4", 5.0, 10.0),
    ("5", 10.0, 25.0),
    ("6", 25.0, 33.0),
    ("7", 33.0, 50.0),
    ("8", 50.0, 75.0),
    ("9", 75.0, 90.0),
    ("10", 90.0, 100.0),
];

/// The limits whose midpoints are the usual 0.5, 3, 15, 37.5, 62.5 and 87.5. What `r` means is
/// arbitrary, and sources differ on `1`.
const BRAUN_BLANQUET: [Limits; 7] = [
    ("r", 0.0, 1.0),
    ("+", 0.0, 1.0),
    ("1", 1.0, 5.0),
    ("2", 5.0, 25.0),
    ("3", 25.0, 50.0),
    ("4", 50.0, 75.0),
    ("5", 75.0, 100.0),
];

const PER_CENT: std::ops::RangeInclusive<f64> = 0.0..=100.0;

/// Why a scale, or a class of one, cannot be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CoverError {
    /// A name that is none of a scale; has it as it was written.
    #[error("`{0}` is not a scale of cover")]
    NoScale(String),
    /// DAFOR without the limits of its letters.
    #[error("DAFOR has no one standard, so the data must bring its limits")]
    NoLimits,
    /// A class of one's own without limits that can be read; has it as it was written.
    #[error("`{0}` is no class with its limits")]
    NoClass(String),
    /// Two classes of one name; has the name.
    #[error("the class `{0}` is there twice")]
    Twice(String),
}

impl CoverClass {
    /// In per cent: what the class counts as.
    pub fn midpoint(&self) -> f64 {
        f64::midpoint(self.low, self.high)
    }

    /// Of a cover that may lie anywhere in the class: width²/12.
    pub fn variance(&self) -> f64 {
        (self.high - self.low).powi(2) / 12.0
    }

    fn of(&(name, low, high): &Limits) -> Self {
        Self { name: name.into(), low, high }
    }
}

impl CoverScale {
    /// The class that goes by this name on the scale; `None` where it has none.
    pub fn class(&self, name: &str) -> Option<CoverClass> {
        let built_in = |limits: &[Limits]| {
            limits.iter().find(|limits| limits.0.eq_ignore_ascii_case(name)).map(CoverClass::of)
        };
        match self {
            Self::Percent => {
                let percent: f64 = name.trim_end_matches('%').trim_end().parse().ok()?;
                let name = percent.to_string().into();
                let class = CoverClass { name, low: percent, high: percent };
                PER_CENT.contains(&percent).then_some(class)
            }
            Self::Domin => built_in(&DOMIN),
            Self::BraunBlanquet => built_in(&BRAUN_BLANQUET),
            Self::Own(classes) => {
                classes.iter().find(|class| class.name.eq_ignore_ascii_case(name)).cloned()
            }
        }
    }

    /// The names of its classes, for messages.
    pub fn classes(&self) -> String {
        let names = |limits: &[Limits]| limits.iter().map(|limits| limits.0).collect::<Vec<_>>();
        match self {
            Self::Percent => return "a number of per cent, 0 to 100".to_owned(),
            Self::Domin => names(&DOMIN),
            Self::BraunBlanquet => names(&BRAUN_BLANQUET),
            Self::Own(classes) => classes.iter().map(|class| &*class.name).collect(),
        }
        .join(", ")
    }
}

impl FromStr for CoverScale {
    type Err = CoverError;

    fn from_str(text: &str) -> Result<Self, CoverError> {
        match text.trim().to_ascii_lowercase().as_str() {
            "percent" | "%" => return Ok(Self::Percent),
            "domin" => return Ok(Self::Domin),
            "braun-blanquet" => return Ok(Self::BraunBlanquet),
            "dafor" => return Err(CoverError::NoLimits),
            _ if !text.contains('-') => return Err(CoverError::NoScale(text.to_owned())),
            _ => {}
        }
        let mut classes: Vec<CoverClass> = Vec::new();
        for part in text.split(';').map(str::trim).filter(|part| !part.is_empty()) {
            let class = own_class(part).ok_or_else(|| CoverError::NoClass(part.to_owned()))?;
            if classes.iter().any(|other| other.name.eq_ignore_ascii_case(&class.name)) {
                return Err(CoverError::Twice(class.name.to_string()));
            }
            classes.push(class);
        }
        Ok(Self::Own(classes.into()))
    }
}

/// `D 75-100`.
fn own_class(text: &str) -> Option<CoverClass> {
    let (name, limits) = text.split_once(char::is_whitespace)?;
    let (low, high) = limits.split_once('-')?;
    let number = |text: &str| text.trim().parse::<f64>().ok().filter(|x| PER_CENT.contains(x));
    let class = CoverClass { name: name.into(), low: number(low)?, high: number(high)? };
    (class.low < class.high).then_some(class)
}

/// As it is read.
impl fmt::Display for CoverScale {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Percent => out.write_str("percent"),
            Self::Domin => out.write_str("domin"),
            Self::BraunBlanquet => out.write_str("braun-blanquet"),
            Self::Own(classes) => {
                let class =
                    |class: &CoverClass| format!("{} {}-{}", class.name, class.low, class.high);
                out.write_str(&classes.iter().map(class).collect::<Vec<_>>().join("; "))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_midpoints_of_braun_blanquet_are_the_usual_ones() {
        let midpoints = BRAUN_BLANQUET.map(|limits| CoverClass::of(&limits).midpoint());
        assert_eq!(midpoints[1..], [0.5, 3.0, 15.0, 37.5, 62.5, 87.5]);
    }

    #[test]
    fn classes_of_a_scale_leave_no_gap() {
        for (scale, from) in [(&DOMIN[..], 0), (&BRAUN_BLANQUET[..], 1)] {
            assert_eq!((scale[from].1, scale[scale.len() - 1].2), (0.0, 100.0));
            assert!(scale[from..].windows(2).all(|pair| pair[0].2 == pair[1].1));
        }
    }

    #[test]
    fn a_scale_without_a_standard_brings_its_own_limits() {
        let text = "D 75-100; A 50-75; F 25-50; O 5-25; R 0-5";
        let scale: CoverScale = text.parse().unwrap();
        assert_eq!(scale.to_string(), text);
        assert_eq!(scale.class("f").map(|class| (class.low, class.high)), Some((25.0, 50.0)));
        assert_eq!(scale.class("X"), None);
        for (bad, told) in [
            ("DAFOR", "DAFOR has no one standard, so the data must bring its limits"),
            ("eyes", "`eyes` is not a scale of cover"),
            ("D 75-100; A 50-175", "`A 50-175` is no class with its limits"),
            ("D 75-100; d 50-75", "the class `d` is there twice"),
        ] {
            assert_eq!(bad.parse::<CoverScale>().unwrap_err().to_string(), told);
        }
    }

    #[test]
    fn cover_read_directly_has_no_width() {
        let class = CoverScale::Percent.class("35%").unwrap();
        assert_eq!((&*class.name, class.midpoint(), class.variance()), ("35", 35.0, 0.0));
        for bad in ["-1", "101", "NaN", "inf", "D"] {
            assert_eq!(CoverScale::Percent.class(bad), None);
        }
    }
}
