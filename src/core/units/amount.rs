//! Amounts of a crop: grams, or a number of stems, heads, fruits.

use std::fmt;
use std::str::FromStr;

const GRAMS_PER_KILOGRAM: f64 = 1000.0;

/// What a crop is reckoned in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Measure {
    /// Fresh mass, in grams.
    Mass,
    /// Pieces: stems, heads, fruits.
    Count,
}

/// How much of a crop: `value` is grams for a mass and pieces for a count.
///
/// Written by people as `650g`, `1.2kg`, `14 stems` or `14`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Amount {
    /// Grams or pieces, as `measure` says; not rounded.
    pub value: f64,
    /// Whether it is a mass or a count.
    pub measure: Measure,
}

impl Amount {
    /// A mass, in grams.
    pub fn grams(value: f64) -> Self {
        Self { value, measure: Measure::Mass }
    }

    /// A number of pieces.
    pub fn count(value: f64) -> Self {
        Self { value, measure: Measure::Count }
    }

    /// A finite number of 0 or more.
    pub fn is_usable(self) -> bool {
        self.value.is_finite() && self.value >= 0.0
    }
}

/// Grams under a kilogram, kilograms above, bare numbers for counts.
impl fmt::Display for Amount {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        // A sum of nothing is −0.
        let value = self.value + 0.0;
        let text = match self.measure {
            Measure::Count if value < 10.0 => trim_zeros(format!("{value:.1}")),
            Measure::Count => format!("{value:.0}"),
            Measure::Mass if value < 9.95 => format!("{} g", trim_zeros(format!("{value:.1}"))),
            Measure::Mass if value < 999.5 => format!("{value:.0} g"),
            Measure::Mass => {
                let kilograms = value / GRAMS_PER_KILOGRAM;
                let decimals = if kilograms < 9.995 { 2 } else { 1 };
                format!("{} kg", trim_zeros(format!("{kilograms:.decimals$}")))
            }
        };
        out.pad(&text)
    }
}

fn trim_zeros(text: String) -> String {
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// Why a text is no amount; has the text.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum AmountError {
    /// Neither a number nor one with a unit.
    #[error("`{0}` is not an amount; write `250g`, `1.2kg` or `14 stems`")]
    Unreadable(String),
    /// `1,2kg`.
    #[error("`{0}` has a decimal comma; write it with a point, like `1.2kg`")]
    DecimalComma(String),
    /// Below 0, or no finite number.
    #[error("`{0}` is not an amount that can be cut; it must be a finite number, 0 or more")]
    Unusable(String),
}

impl FromStr for Amount {
    type Err = AmountError;

    fn from_str(text: &str) -> Result<Self, AmountError> {
        let text = text.trim();
        let number_end = text
            .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+')))
            .unwrap_or(text.len());
        let (number, unit) = text.split_at(number_end);
        if number.contains(',') {
            return Err(AmountError::DecimalComma(text.to_owned()));
        }
        let value: f64 = number.parse().map_err(|_| AmountError::Unreadable(text.to_owned()))?;
        let unit = unit.trim();
        let amount = match unit {
            "g" => Self::grams(value),
            "kg" => Self::grams(value * GRAMS_PER_KILOGRAM),
            noun if noun.chars().all(|c| c.is_alphabetic() || c == ' ') => Self::count(value),
            _ => return Err(AmountError::Unreadable(text.to_owned())),
        };
        if amount.is_usable() { Ok(amount) } else { Err(AmountError::Unusable(text.to_owned())) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_read_as_people_write_them() {
        assert_eq!("650g".parse(), Ok(Amount::grams(650.0)));
        assert_eq!("1.2kg".parse(), Ok(Amount::grams(1200.0)));
        assert_eq!("1.2 kg".parse(), Ok(Amount::grams(1200.0)));
        assert_eq!("14 stems".parse(), Ok(Amount::count(14.0)));
        assert_eq!("14".parse(), Ok(Amount::count(14.0)));
    }

    #[test]
    fn amounts_that_cannot_be_are_refused_with_the_way_out() {
        for bad in ["", "kg", "1,2kg", "-3g", "NaN", "1e308kg", "3 m2", "1.2.3g"] {
            assert!(bad.parse::<Amount>().is_err(), "`{bad}` was taken");
        }
        assert_eq!(
            "1,2kg".parse::<Amount>().unwrap_err().to_string(),
            "`1,2kg` has a decimal comma; write it with a point, like `1.2kg`"
        );
    }

    #[test]
    fn amounts_are_shown_short_with_their_unit() {
        for (amount, shown) in [
            (Amount::grams(0.0), "0 g"),
            (Amount::grams(-0.0), "0 g"),
            (Amount::grams(4.25), "4.2 g"),
            (Amount::grams(649.6), "650 g"),
            (Amount::grams(999.7), "1 kg"),
            (Amount::grams(1250.0), "1.25 kg"),
            (Amount::grams(12_340.0), "12.3 kg"),
            (Amount::count(14.0), "14"),
            (Amount::count(0.5), "0.5"),
        ] {
            assert_eq!(amount.to_string(), shown);
        }
    }
}
