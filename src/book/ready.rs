//! Rows made ready by one thread while another, which alone may, writes.

use std::sync::mpsc;
use std::thread;

use foldhash::HashMap;

use super::append::NewFact;
use super::envelope::ENVELOPE;
use super::error::Failure;
use super::row::NewRow;
use super::seal::{Sealer, Seals};
use super::tables::{self, Seat, SummedParts, Summing, Writing};
use crate::records::{Kind, Listed, of_any_kind};

/// Rows that are made ready at once.
const AT_ONCE: usize = 2048;

/// How many times as many are ready before the writer takes them.
const AHEAD: usize = 2;

/// The columns of a kind that are sealed, in the order in which a row has them.
pub(super) fn sealed_columns<T: Listed>() -> String {
    format!("{ENVELOPE}, key, {}", tables::columns::<T>())
}

/// What is known of where a fact belongs.
#[derive(Clone, Copy, Debug)]
pub(super) struct Belongs {
    pub(super) place: i64,
    /// The number of its site, for a new patch.
    pub(super) on_site: Option<i64>,
}

/// A row with its checksums behind it, and the parts of a survey.
pub(super) struct Ready<'a> {
    pub(super) new: &'a NewFact,
    pub(super) place: i64,
    pub(super) row: NewRow<'a>,
    pub(super) seals: Seals,
    pub(super) parts: Option<SummedParts>,
}

/// Makes rows ready.
#[derive(Default)]
pub(super) struct Readying {
    sealers: HashMap<Kind, Sealer>,
    /// Made with the first survey.
    summing: Option<Summing>,
}

impl Readying {
    /// # Errors
    /// A refusal of a value that no book keeps, or of a survey without a quadrat.
    pub(super) fn ready<'a>(
        &mut self,
        new: &'a NewFact,
        belongs: Belongs,
    ) -> Result<Ready<'a>, Failure> {
        of_any_kind!(&new.fact.record, record => self.ready_as(record, new, belongs))
    }

    fn ready_as<'a, T: Listed>(
        &mut self,
        record: &'a T,
        new: &'a NewFact,
        Belongs { place, on_site }: Belongs,
    ) -> Result<Ready<'a>, Failure> {
        let mut row = NewRow::of(T::KIND, &new.key);
        row.bytes(new.fact.id.0.as_bytes());
        row.day("recorded_on", new.fact.recorded_on)?;
        row.whole(place);
        row.day("happened_on", new.fact.happened_on)?;
        row.text(&new.fact.by);
        row.maybe_text(new.fact.file.as_ref());
        row.text(&new.key);
        record.give(&mut Writing { row: &mut row, on_site })?;
        let sealer = self.sealers.entry(T::KIND);
        let sealer = sealer.or_insert_with(|| Sealer::of_list(&sealed_columns::<T>()));
        let seals = sealer.seals_of_values(row.values())?;
        row.whole(seals.limit);
        row.whole(seals.words);
        let seat = Seat { place, id: new.fact.id };
        let summing = &mut self.summing;
        let parts = record
            .method()
            .map(|method| summing.get_or_insert_with(Summing::new).sum_up(method, seat, &new.key));
        Ok(Ready { new, place, row, seals, parts: parts.transpose()? })
    }
}

/// Hands over the rows of deeds, each about the place of that number, some at a time and in their
/// order: while some are written, another thread makes the next ready. It is one of its own, since
/// those that are there for all may be busy with what is to be written next.
pub(super) fn each_ready<'a>(
    deeds: &[(i64, &'a NewFact)],
    put: &mut impl FnMut(Vec<Result<Ready<'a>, Failure>>) -> Result<(), Failure>,
) -> Result<(), Failure> {
    let (first, rest) = deeds.split_at(deeds.len().min(AT_ONCE));
    if rest.is_empty() {
        return put(ready_some(first));
    }
    thread::scope(|threads| {
        let (hand_over, handed) = mpsc::sync_channel(AHEAD);
        let make_ready = move || {
            // Nobody takes any more where one could not be written.
            let _ = rest.chunks(AT_ONCE).try_for_each(|some| hand_over.send(ready_some(some)));
        };
        let spawned = thread::Builder::new().spawn_scoped(threads, make_ready);
        put(ready_some(first))?;
        match spawned {
            Ok(_) => handed.iter().try_for_each(put),
            Err(_) => rest.chunks(AT_ONCE).map(ready_some).try_for_each(put),
        }
    })
}

fn ready_some<'a>(deeds: &[(i64, &'a NewFact)]) -> Vec<Result<Ready<'a>, Failure>> {
    let mut readying = Readying::default();
    let ready = |(place, new): &(i64, &'a NewFact)| {
        readying.ready(new, Belongs { place: *place, on_site: None })
    };
    deeds.iter().map(ready).collect()
}
