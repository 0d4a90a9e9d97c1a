//! What a book holds that only a person can settle, for `merge` and `verify`.

use super::context::Context;
use super::failure::Failure;
use crate::assess::{Asker, Double, namesakes, overpromised, prepare_for, shared_ground};
use crate::records::{Clash, HistoryLine, Ledger};
use crate::report::Unsettled;
use crate::report::page::Section;

/// A section for each sort of thing there is to settle.
pub fn unsettled(
    context: &Context,
    ledger: &Ledger,
    clashes: &[Clash],
    misplaced: &[HistoryLine],
    likely: &[Double],
) -> Result<Vec<Section>, Failure> {
    let today = context.on;
    let prepared = prepare_for(ledger, context.catalogue()?, today, Asker { today, walk: None })?;
    let promises: Vec<_> = prepared.iter().flat_map(|patch| overpromised(patch, today)).collect();
    let unsettled = Unsettled {
        clashes,
        namesakes: &namesakes(ledger),
        shared: &shared_ground(ledger, today),
        misplaced,
        likely,
        promises: &promises,
    };
    Ok(unsettled.sections())
}
