//! Numbers and amounts of a row: what they are in, how rough they are.

use super::answers::Rough;
use super::became::Taken;
use super::cell::Cell;
use super::quantity::{
    Mark, Measured, Quantity, Shows, Unit, measured, pointed, quantity, shows, unit,
};
use super::question::Ask;
use super::reading::{Amount, Reading};
use super::roles::{How, Role};
use crate::records::{Column, Crop, folded};
use crate::units::Measure;

impl<'r> Reading<'r> {
    /// A number as its column is reckoned.
    pub(super) fn number(
        &mut self,
        column: &Column,
        n: usize,
        cell: &Cell,
        crop: Option<&'r Crop>,
    ) -> String {
        let own = measured(column.name);
        let of_header = self.unit_of(n).filter(|unit| Some(unit.of) == own);
        let said = self.say(cell);
        if let Cell::Number(_) = cell {
            return of_header.map_or(said.clone(), |unit| times(&said, unit.factor));
        }
        let Some(quantity) = quantity(&said) else { return said };
        let Some(number) = self.plain(n, &said, &quantity) else { return said };
        match unit(quantity.unit) {
            _ if quantity.unit.is_empty() => {
                of_header.map_or(number.clone(), |unit| times(&number, unit.factor))
            }
            Some(unit) if Some(unit.of) == own => {
                self.take(Taken::Unit, &said, &times(&number, unit.factor));
                times(&number, unit.factor)
            }
            _ if own == Some(Measured::Pieces) && is_piece(quantity.unit, crop) => number,
            _ => said,
        }
    }

    fn unit_of(&self, n: usize) -> Option<Unit> {
        let told = self.answers.unit(&self.matched[n].header).and_then(unit);
        told.or(self.headings[self.matched[n].at].unit)
    }

    /// `3 kg` for what stands there by eye; what is rough is so anyway.
    pub(super) fn standing(&mut self, n: usize, cell: &Cell, crop: Option<&'r Crop>) -> String {
        match self.amount(n, cell, crop) {
            Ok(Amount::Grams(grams)) => format!("{grams}g"),
            Ok(Amount::Pieces(pieces)) => pieces,
            Err(said) => said,
        }
    }

    /// Grams or pieces; what is neither as it was written.
    pub(super) fn amount(
        &mut self,
        n: usize,
        cell: &Cell,
        crop: Option<&'r Crop>,
    ) -> Result<Amount, String> {
        let said = self.say(cell);
        let header = self.matched[n].header.clone();
        let of_header = self.unit_of(n);
        let bare = |number: &str| match of_header {
            Some(Unit { of: Measured::Mass, factor }) => Some(Amount::Grams(times(number, factor))),
            Some(Unit { of: Measured::Pieces, .. }) => Some(Amount::Pieces(number.to_owned())),
            // As files have it: of what is counted a bare number is pieces.
            None if self.matched[n].how == How::Named
                && crop.is_some_and(|crop| crop.measure == Measure::Count) =>
            {
                Some(Amount::Pieces(number.to_owned()))
            }
            _ => None,
        };
        if let Cell::Number(_) = cell {
            return bare(&said).ok_or_else(|| {
                self.ask(Ask::Unit { header, number: said.clone() });
                said
            });
        }
        let quantity = quantity(&said).ok_or_else(|| said.clone())?;
        let number = self.plain(n, &said, &quantity).ok_or_else(|| said.clone())?;
        if quantity.unit.is_empty() {
            return bare(&number).ok_or_else(|| {
                self.ask(Ask::Unit { header, number: said.clone() });
                said
            });
        }
        match unit(quantity.unit) {
            Some(Unit { of: Measured::Mass, factor }) => {
                let grams = times(&number, factor);
                self.take(Taken::Unit, &said, &format!("{grams} g"));
                Ok(Amount::Grams(grams))
            }
            Some(Unit { of: Measured::Pieces, .. }) => Ok(Amount::Pieces(number)),
            Some(_) => Err(said),
            None => self.pieces(&said, &number, quantity.unit, crop),
        }
    }

    /// `3 bunches`: pieces where the crop is counted in them, else what one is said to weigh.
    fn pieces(
        &mut self,
        said: &str,
        number: &str,
        noun: &str,
        crop: Option<&'r Crop>,
    ) -> Result<Amount, String> {
        if is_piece(noun, crop) {
            return Ok(Amount::Pieces(number.to_owned()));
        }
        let one = singular(noun);
        let told = self.answers.meant(&one).or_else(|| self.answers.meant(noun)).map(str::to_owned);
        let Some(told) = told else {
            if let Some(crop) = crop {
                self.ask(Ask::Piece { noun: one, crop: crop.name.to_string() });
            }
            return Err(said.to_owned());
        };
        let each = quantity(&told).ok_or_else(|| said.to_owned())?;
        let factor: f64 = pointed(each.low, Mark::Point)
            .and_then(|each| each.parse().ok())
            .ok_or_else(|| said.to_owned())?;
        match (each.unit, unit(each.unit)) {
            (_, Some(Unit { of: Measured::Mass, factor: grams })) => {
                let all = times(number, factor * grams);
                self.take(Taken::Unit, said, &format!("{all} g"));
                Ok(Amount::Grams(all))
            }
            ("", _) => Ok(Amount::Pieces(times(number, factor))),
            (noun, _) if is_piece(noun, crop) => Ok(Amount::Pieces(times(number, factor))),
            _ => Err(said.to_owned()),
        }
    }

    /// The number with a decimal point; `None` where it is asked about, or cannot be read.
    fn plain(&mut self, n: usize, said: &str, quantity: &Quantity<'_>) -> Option<String> {
        let usual = self.habits.decimal.unwrap_or(Mark::Point);
        let pointed = |number: &str| match shows(number) {
            Shows::Mark(own) => pointed(number, own),
            Shows::Nothing | Shows::TwoWays => pointed(number, usual),
        };
        let low = pointed(quantity.low)?;
        if !quantity.is_rough() {
            return Some(low);
        }
        let is_by_eye =
            matches!(self.matched[n].role, Role::Field(column) if column.name == "standing");
        if is_by_eye && quantity.high.is_none() {
            self.take(Taken::ByEye, said, &low);
            return Some(low);
        }
        let middle = match quantity.high {
            None => low,
            Some(high) => {
                let (low, high): (f64, f64) = (low.parse().ok()?, pointed(high)?.parse().ok()?);
                if high < low {
                    return None;
                }
                Cell::Number(f64::midpoint(low, high)).to_string()
            }
        };
        match self.answers.rough {
            Some(Rough::Middle) => {
                self.take(Taken::Rough, said, &middle);
                Some(middle)
            }
            Some(Rough::Unread) => None,
            None => {
                let header = self.matched[n].header.clone();
                self.ask(Ask::Rough { header, amount: said.to_owned() });
                None
            }
        }
    }
}

/// Whether a noun is what one piece of a counted crop is called.
fn is_piece(noun: &str, crop: Option<&Crop>) -> bool {
    crop.is_some_and(|crop| {
        crop.measure == Measure::Count && singular(noun) == singular(&crop.piece)
    })
}

fn singular(noun: &str) -> String {
    let noun = folded(noun);
    let hisses = ["ches", "shes", "xes", "ses"].into_iter().any(|end| noun.ends_with(end));
    let cut = if hisses { "es" } else { "s" };
    noun.strip_suffix(cut).filter(|one| one.len() > 2).map(str::to_owned).unwrap_or(noun)
}

/// A number so many times; as it was written where that is once.
fn times(number: &str, factor: f64) -> String {
    match number.parse::<f64>() {
        Ok(value) if factor != 1.0 => Cell::Number(value * factor).to_string(),
        _ => number.to_owned(),
    }
}
