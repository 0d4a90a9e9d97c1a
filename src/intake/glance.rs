//! Glances: one row is what one person judged to stand on one patch.

use super::cell::plain_amount;
use super::column::{BY, Cell, Column, DATE, FACT, Need, RECORDED_ON, SURE, VISIT};
use super::fields::{Fields, Signature, misfit};
use super::filed::Filed;
use super::known::Gazetteer;
use super::problem::{Finding, quoted};
use super::stand;
use super::tally::Reported;
use crate::records::{Crop, Glance};
use crate::units::{Amount, Measure};

impl Filed for Glance {
    const COLUMNS: &'static [Column] = &[
        stand::PATCH,
        stand::CROP,
        stand::LON,
        stand::LAT,
        stand::ACCURACY,
        DATE,
        BY,
        Column::text(
            "standing",
            Need::Telling,
            "what stands there by eye, over 0, like `3kg` or `14 heads`",
            "3kg",
        ),
        VISIT,
        SURE,
        RECORDED_ON,
        FACT,
    ];

    /// `None` where the position lies on no-take ground.
    fn read(
        fields: &mut Fields<'_>,
        known: &Gazetteer<'_>,
    ) -> Result<Option<(Self, Signature)>, Reported> {
        let signature = fields.signature_of_deed();
        let stand = stand::read(fields, known);
        let crop = match &stand {
            Ok(Some(stand)) => known.crop(&stand.crop).ok(),
            _ => None,
        };
        let standing = fields.required("standing", |text| standing(text, crop));
        let (stand, standing, signature) = (stand?, standing?, signature?);
        Ok(stand.map(|stand| (Self { patch: stand.patch, standing }, signature)))
    }

    fn rows(&self, _: Measure) -> Vec<Vec<Cell>> {
        vec![vec![("patch", self.patch.to_string()), ("standing", plain_amount(self.standing))]]
    }
}

fn standing(text: &str, crop: Option<&Crop>) -> Result<Amount, Finding> {
    let amount: Amount =
        text.parse().map_err(|error: crate::units::AmountError| error.to_string())?;
    if amount.value <= 0.0 {
        return Err(format!("{} is nothing to go by", quoted(text)).into());
    }
    match crop.and_then(|crop| misfit(crop, amount.measure)) {
        Some(found) => Err(found.into()),
        None => Ok(amount),
    }
}
