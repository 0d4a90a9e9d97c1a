//! Rows made ready by one thread while another, which alone may, writes.

use std::iter;
use std::sync::mpsc;
use std::thread;

use foldhash::HashMap;

use super::append::NewFact;
use super::bundle::{Bundle, Bundles};
use super::envelope::ENVELOPE;
use super::error::Failure;
use super::packed::WrittenSection;
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

/// A deed about a place of that number.
#[derive(Clone, Copy, Debug)]
pub(super) struct Deed<'a> {
    pub(super) place: i64,
    pub(super) new: &'a NewFact,
    /// Whether it is to be packed.
    pub(super) is_packed: bool,
}

/// Rows of deeds, and what was packed of them: of which place and section.
pub(super) struct ReadyRows<'a> {
    pub(super) rows: Vec<Result<Ready<'a>, Failure>>,
    pub(super) bundles: Vec<(i64, usize, Bundle)>,
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
    kinds: HashMap<Kind, OfKind>,
    /// Made with the first survey.
    summing: Option<Summing>,
}

struct OfKind {
    sealer: Sealer,
    section: Option<WrittenSection>,
}

impl Readying {
    /// # Errors
    /// A refusal of a value that no book keeps, or of a survey without a quadrat.
    pub(super) fn ready<'a>(
        &mut self,
        new: &'a NewFact,
        belongs: Belongs,
    ) -> Result<Ready<'a>, Failure> {
        self.ready_and_packed(new, belongs, None)
    }

    fn ready_and_packed<'a>(
        &mut self,
        new: &'a NewFact,
        belongs: Belongs,
        bundles: Option<&mut Bundles>,
    ) -> Result<Ready<'a>, Failure> {
        of_any_kind!(&new.fact.record, record => self.ready_as(record, new, belongs, bundles))
    }

    fn ready_as<'a, T: Listed>(
        &mut self,
        record: &'a T,
        new: &'a NewFact,
        Belongs { place, on_site }: Belongs,
        mut bundles: Option<&mut Bundles>,
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
        let OfKind { sealer, section } = self.kinds.entry(T::KIND).or_insert_with(|| {
            let columns = sealed_columns::<T>();
            let section = WrittenSection::of(T::NAME, &columns);
            OfKind { sealer: Sealer::of_list(&columns), section }
        });
        let seals = sealer.seals_of_values(row.values())?;
        if let (Some(bundles), Some(section)) = (&mut bundles, section) {
            section.pack(row.values(), seals, bundles)?;
        }
        row.whole(seals.limit);
        row.whole(seals.words);
        let seat = Seat { place, id: new.fact.id };
        let summing = &mut self.summing;
        let parts = record.method().map(|method| {
            summing.get_or_insert_with(Summing::new).sum_up(method, seat, &new.key, bundles)
        });
        Ok(Ready { new, place, row, seals, parts: parts.transpose()? })
    }
}

/// Hands over the rows of deeds, which are in the order of their places, some at a time: while some
/// are written, another thread makes the next ready. It is one of its own, since those that are
/// there for all may be busy with what is to be written next.
pub(super) fn each_ready<'a>(
    mut deeds: &[Deed<'a>],
    put: &mut impl FnMut(ReadyRows<'a>) -> Result<(), Failure>,
) -> Result<(), Failure> {
    let first = split_some(&mut deeds);
    if deeds.is_empty() {
        return put(ready_some(first));
    }
    let rest = some_at_a_time(deeds);
    thread::scope(|threads| {
        let (hand_over, handed) = mpsc::sync_channel(AHEAD);
        let ahead = rest.clone();
        let make_ready = move || {
            // Nobody takes any more where one could not be written.
            let _ = ahead.map(ready_some).try_for_each(|some| hand_over.send(some));
        };
        let spawned = thread::Builder::new().spawn_scoped(threads, make_ready);
        put(ready_some(first))?;
        match spawned {
            Ok(_) => handed.iter().try_for_each(put),
            Err(_) => rest.map(ready_some).try_for_each(put),
        }
    })
}

fn some_at_a_time<'d, 'a>(
    mut deeds: &'d [Deed<'a>],
) -> impl Iterator<Item = &'d [Deed<'a>]> + Clone {
    iter::from_fn(move || (!deeds.is_empty()).then(|| split_some(&mut deeds)))
}

/// Takes off the first: with them all of their last place, that these make one bundle, unless a place
/// has so many that it will not be packed.
fn split_some<'d, 'a>(deeds: &mut &'d [Deed<'a>]) -> &'d [Deed<'a>] {
    let least = deeds.len().min(AT_ONCE);
    let last = deeds[..least].last().map(|deed| deed.place);
    let more = deeds[least..].iter().take(AT_ONCE).take_while(|deed| Some(deed.place) == last);
    let (some, rest) = deeds.split_at(least + more.count());
    *deeds = rest;
    some
}

fn ready_some<'a>(deeds: &[Deed<'a>]) -> ReadyRows<'a> {
    let mut readying = Readying::default();
    let mut ready = ReadyRows { rows: Vec::with_capacity(deeds.len()), bundles: Vec::new() };
    for of_place in deeds.chunk_by(|one, next| one.place == next.place) {
        let Deed { place, is_packed, .. } = of_place[0];
        let mut bundles = is_packed.then(Bundles::default);
        ready.rows.extend(of_place.iter().map(|deed| {
            let belongs = Belongs { place, on_site: None };
            readying.ready_and_packed(deed.new, belongs, bundles.as_mut())
        }));
        let done = bundles.into_iter().flat_map(Bundles::done);
        ready.bundles.extend(done.map(|(section, bundle)| (place, section, bundle)));
    }
    ready
}
