//! How much of a crop was ripe.

use std::fmt;
use std::str::FromStr;

use super::Written;

/// The part of what will ripen in a season that is ripe on a day: more than 0, at most 1.
///
/// Written `40 %`. A number alone would leave open whether 0.4 or 40 is meant, so that the sign
/// must be there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ripe(f64);

/// A text that says nothing of how much is ripe; has the text.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is no part of what will ripen; write it from `1 %` to `100 %`, like `40 %`")]
pub struct RipeError(String);

impl Ripe {
    /// The least that can be told: one in a hundred.
    const LEAST: f64 = 0.01;

    /// `None` for a part that cannot be told.
    pub fn of(part: f64) -> Option<Self> {
        (Self::LEAST..=1.0).contains(&part).then_some(Self(part))
    }

    /// 0.01 to 1.
    pub fn part(self) -> f64 {
        self.0
    }
}

impl FromStr for Ripe {
    type Err = RipeError;

    fn from_str(text: &str) -> Result<Self, RipeError> {
        let percent = text.trim().strip_suffix('%').map(str::trim_end);
        let part = percent.and_then(|number| number.parse::<f64>().ok()).map(|n| n / 100.0);
        part.and_then(Self::of).ok_or_else(|| RipeError(text.to_owned()))
    }
}

impl Written for Ripe {}

/// As it is read.
impl fmt::Display for Ripe {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        // Rounded where a hundredth of a part is no binary number.
        write!(out, "{} %", (self.0 * 1e8).round() / 1e6)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_that_is_ripe_is_read_as_it_is_written() {
        for (text, part) in [("40 %", 0.4), ("100 %", 1.0), ("1 %", 0.01), ("12.5 %", 0.125)] {
            let ripe: Ripe = text.parse().unwrap();
            assert_eq!((ripe.part(), ripe.to_string()), (part, text.to_owned()));
        }
        assert_eq!("40%".parse::<Ripe>().unwrap().to_string(), "40 %");
        for bad in ["", "40", "0.4", "0 %", "101 %", "NaN %", "-3 %", "some"] {
            assert!(bad.parse::<Ripe>().is_err(), "`{bad}` was taken");
        }
    }
}
