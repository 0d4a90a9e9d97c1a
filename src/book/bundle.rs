//! The rows of one table about one place, packed.

use rusqlite::types::ValueRef;

use super::packing::{Packing, put_number};
use super::seal::Seals;
use super::tally::Tally;

/// Rows being packed.
#[derive(Debug, Default)]
pub(super) struct Bundling {
    tally: Tally,
    packing: Packing,
}

impl Bundling {
    /// Takes in the next row: those of its values that are packed.
    pub(super) fn add<'v>(
        &mut self,
        seals: Seals,
        values: impl IntoIterator<Item = rusqlite::Result<ValueRef<'v>>>,
    ) -> rusqlite::Result<()> {
        self.tally.add(seals);
        values.into_iter().try_for_each(|value| {
            self.packing.put(value?);
            Ok(())
        })
    }

    pub(super) fn done(self) -> Bundle {
        Bundle { tally: self.tally, bytes: self.packing.into_bytes().into() }
    }
}

/// Rows about one place being packed, by the sections in which a pack has them.
#[derive(Debug, Default)]
pub(super) struct Bundles(Vec<(usize, Bundling)>);

impl Bundles {
    pub(super) fn of_section(&mut self, section: usize) -> &mut Bundling {
        let Self(bundles) = self;
        let known = bundles.iter().position(|(of, _)| *of == section);
        let at = known.unwrap_or_else(|| {
            bundles.push((section, Bundling::default()));
            bundles.len() - 1
        });
        &mut bundles[at].1
    }

    pub(super) fn done(self) -> impl Iterator<Item = (usize, Bundle)> {
        self.0.into_iter().map(|(section, bundling)| (section, bundling.done()))
    }
}

/// Rows that are packed.
#[derive(Debug, Default)]
pub(super) struct Bundle {
    tally: Tally,
    bytes: Box<[u8]>,
}

impl Bundle {
    pub(super) fn is_empty(&self) -> bool {
        self.tally.rows == 0
    }
}

/// Bundles one behind the other, each with how many rows and how many bytes it has, and the tally of
/// all of them.
pub(super) fn joined(bundles: &[Bundle]) -> (Tally, Vec<u8>) {
    const HEADS: usize = 4;
    let mut tally = Tally::default();
    let length = bundles.iter().map(|bundle| bundle.bytes.len() + HEADS).sum();
    let mut joined = Vec::with_capacity(length);
    for bundle in bundles {
        tally.join(bundle.tally);
        put_number(&mut joined, bundle.tally.rows.cast_unsigned());
        put_number(&mut joined, bundle.bytes.len() as u64);
        joined.extend_from_slice(&bundle.bytes);
    }
    (tally, joined)
}
