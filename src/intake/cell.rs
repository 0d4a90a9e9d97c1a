//! Texts as they stand in the cells of a file.

use super::column::Cell;
use crate::records::GpsPoint;
use crate::units::{Amount, Measure};

/// An amount to its last digit, as `Amount` itself reads it back.
pub(super) fn plain_amount(amount: Amount) -> String {
    match amount.measure {
        Measure::Mass => format!("{}g", amount.value),
        Measure::Count => amount.value.to_string(),
    }
}

/// Cells of two lists that have nothing to do with each other, row beside row.
pub(super) fn beside(
    mut rows: Vec<Vec<Cell>>,
    more: impl ExactSizeIterator<Item = Cell>,
) -> Vec<Vec<Cell>> {
    rows.resize_with(rows.len().max(more.len()), Vec::new);
    for (row, cell) in rows.iter_mut().zip(more) {
        row.push(cell);
    }
    rows
}

/// The columns `lon`, `lat` and `accuracy_m`.
pub(super) fn position(at: Option<GpsPoint>) -> Vec<Cell> {
    at.map_or(Vec::new(), |at| {
        vec![
            ("lon", at.lon.to_string()),
            ("lat", at.lat.to_string()),
            ("accuracy_m", at.accuracy.0.to_string()),
        ]
    })
}
