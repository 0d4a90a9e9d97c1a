//! From entries to facts of the book: ids, days of recording, free keys.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use jiff::civil::Date;
use uuid::{Builder, Uuid};

use super::context::Context;
use super::failure::Failure;
use crate::book::{Book, NewFact};
use crate::records::{Entry, Fact, FactId};

/// A seed drawn by a command is at most this, so that it is easily typed again.
const SHORT_SEEDS: u128 = 999_999;

/// Up to six digits of what makes an id unlike every other, and never 0.
pub fn drawn_seed() -> u32 {
    (new_id().0.as_u128() % SHORT_SEEDS) as u32 + 1
}

pub fn new_id() -> FactId {
    FactId(Uuid::now_v7())
}

/// Where the ids of loaded facts come from.
#[derive(Debug, Default)]
pub enum Ids {
    /// The clock and chance.
    #[default]
    New,
    /// One after the other, the same each time: for the demo, whose reports name their facts.
    Counted(AtomicU64),
}

impl Ids {
    /// 1 September 2025, 00:00 UTC, in milliseconds: earlier than any id from the clock.
    const COUNTED_SINCE: u64 = 1_756_684_800_000;

    pub fn counted() -> Self {
        Self::Counted(AtomicU64::new(0))
    }

    pub fn next(&self) -> FactId {
        match self {
            Self::New => new_id(),
            Self::Counted(last) => {
                let number = last.fetch_add(1, Ordering::Relaxed) + 1;
                let mut rest = [0; 10];
                rest[2..].copy_from_slice(&number.to_be_bytes());
                FactId(Builder::from_unix_timestamp_millis(Self::COUNTED_SINCE, &rest).into_uuid())
            }
        }
    }
}

impl Context {
    /// A fact counts as known from the day it was written down: as stated, else today, but
    /// never before it happened.
    pub fn recorded_on(&self, stated: Option<Date>, happened_on: Date) -> Date {
        stated.unwrap_or(self.today.max(happened_on))
    }

    pub fn new_fact(&self, entry: Entry, file: Option<&Arc<str>>) -> NewFact {
        let recorded_on = self.recorded_on(entry.recorded_on, entry.happened_on);
        let fact = Fact {
            id: self.ids.next(),
            happened_on: entry.happened_on,
            recorded_on,
            by: entry.by,
            file: file.cloned(),
            record: entry.record,
        };
        NewFact { key: entry.key, fact }
    }

    /// Records something typed at the keyboard, under a key that nothing else has.
    pub fn record(&self, book: &mut Book, mut entry: Entry) -> Result<FactId, Failure> {
        let kind = entry.record.kind();
        let plain = entry.key.clone();
        for n in 2.. {
            if book.versions(kind, &entry.key)?.is_empty() {
                break;
            }
            entry.key = format!("{plain} #{n}");
        }
        let fact = self.new_fact(entry, None);
        let id = fact.fact.id;
        book.append(&[fact], &[])?;
        Ok(id)
    }
}
