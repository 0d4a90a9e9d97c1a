//! Lengths and areas.

use std::fmt;
use std::ops::{Add, Mul};

/// A length in metres.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Default)]
pub struct Metres(pub f64);

/// An area in square metres.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Default)]
pub struct SquareMetres(pub f64);

impl Mul for Metres {
    type Output = SquareMetres;

    fn mul(self, other: Self) -> SquareMetres {
        SquareMetres(self.0 * other.0)
    }
}

impl Mul<f64> for SquareMetres {
    type Output = Self;

    fn mul(self, factor: f64) -> Self {
        Self(self.0 * factor)
    }
}

impl Add for SquareMetres {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl std::iter::Sum for SquareMetres {
    fn sum<I: Iterator<Item = Self>>(parts: I) -> Self {
        parts.fold(Self(0.0), Add::add)
    }
}

impl fmt::Display for Metres {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        // A sum of nothing is −0.
        if self.0 < 999.5 {
            out.pad(&format!("{:.0} m", self.0 + 0.0))
        } else {
            out.pad(&format!("{:.1} km", self.0 / 1000.0))
        }
    }
}

impl fmt::Display for SquareMetres {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let decimals = usize::from(self.0 < 10.0);
        out.pad(&format!("{:.decimals$} m²", self.0))
    }
}
