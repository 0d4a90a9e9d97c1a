//! Rows made ready by all cores, for one alone writes.

use foldhash::HashMap;
use rayon::prelude::*;

use super::append::NewFact;
use super::envelope::ENVELOPE;
use super::error::Failure;
use super::row::NewRow;
use super::seal::{Sealer, Seals};
use super::tables::{self, Seat, SummedParts, Summing, Writing};
use crate::records::{Kind, Listed, of_any_kind};

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

/// Makes the rows of deeds ready, each about the place of that number.
pub(super) fn ready_all<'a>(deeds: &[(i64, &'a NewFact)]) -> Vec<Result<Ready<'a>, Failure>> {
    let ready = |readying: &mut Readying, (place, new): &(i64, &'a NewFact)| {
        readying.ready(new, Belongs { place: *place, on_site: None })
    };
    match deeds {
        [only] => vec![ready(&mut Readying::default(), only)],
        several => several.par_iter().map_init(Readying::default, ready).collect(),
    }
}
