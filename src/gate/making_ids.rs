//! The ids of what files bring, made before they are asked for, by whoever has time.

use rayon::ThreadPoolBuilder;
use rayon::prelude::*;

use super::delivery::Delivery;
use super::identity::id_of;
use super::places::Surroundings;
use crate::intake::written;
use crate::records::{Entry, FactId};

/// From so many entries on, their ids are made by all cores.
const MANY: usize = 2000;

/// The entry as a file would have it.
pub(super) fn written_among(entry: &Entry, surroundings: &Surroundings) -> String {
    written(entry, surroundings.measure_of(&entry.record))
}

impl Delivery {
    /// Makes the ids of its entries, for whoever has time before they are sorted. The surroundings
    /// must be those among which they will be.
    pub fn make_ids(&mut self, surroundings: &Surroundings) {
        self.made = Some(made_by_all(&self.entries, |entry| id(entry, surroundings)));
    }
}

/// What `meanwhile` gives, and makes the ids that are not made yet; none of a few, which are soon
/// made. All cores but one make them, in a pool of their own: `meanwhile` needs the common one.
pub(super) fn with_ids_beside<T>(
    deliveries: &mut [Delivery],
    surroundings: &Surroundings,
    meanwhile: impl FnOnce() -> T,
) -> T {
    let is_large =
        |delivery: &&mut Delivery| delivery.made.is_none() && delivery.entries.len() >= MANY;
    let large: Vec<&mut Delivery> = deliveries.iter_mut().filter(is_large).collect();
    if large.is_empty() {
        return meanwhile();
    }
    let others = rayon::current_num_threads().saturating_sub(1).max(1);
    let Ok(others) = ThreadPoolBuilder::new().num_threads(others).build() else {
        return meanwhile();
    };
    others.in_place_scope(|others| {
        others.spawn(|_| large.into_iter().for_each(|delivery| delivery.make_ids(surroundings)));
        meanwhile()
    })
}

/// The ids of entries on their sites.
pub(super) fn ids_of(
    entries: &[(Entry, Option<Entry>)],
    surroundings: &Surroundings,
) -> Vec<FactId> {
    made_by_all(entries, |(entry, _)| id(entry, surroundings))
}

/// The id of the entry: the one that it bears, or one made of what it says.
fn id(entry: &Entry, surroundings: &Surroundings) -> FactId {
    entry.id.unwrap_or_else(|| id_of(entry, &written_among(entry, surroundings)))
}

/// By all cores, where there are many.
fn made_by_all<E: Sync>(entries: &[E], id: impl Fn(&E) -> FactId + Sync + Send) -> Vec<FactId> {
    if entries.len() < MANY {
        entries.iter().map(id).collect()
    } else {
        entries.par_iter().map(id).collect()
    }
}
