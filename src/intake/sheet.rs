//! Rows of one kind, whatever they come from, and the entries they make.

use foldhash::HashMap;
use xxhash_rust::xxh3::xxh3_128;

use super::column::columns;
use super::fields::{Fields, Signature};
use super::kinds::read_row;
use super::known::Gazetteer;
use super::problem::{Finding, Place};
use super::survey::{self, MOST_VISITS};
use super::tally::{Reported, Tally};
use super::value;
use crate::records::{Entry, Kind, Record};

#[derive(Debug)]
pub(super) struct Sheet {
    kind: Kind,
    entries: Vec<Entry>,
    surveys: survey::Gathering,
    /// By a checksum of the key: a file may have a million of them.
    repeats: HashMap<u128, u32>,
}

impl Sheet {
    pub fn new(kind: Kind) -> Self {
        let (surveys, repeats) = Default::default();
        Self { kind, entries: Vec::new(), surveys, repeats }
    }

    /// Reads one row; `values` are in the order of the kind's columns.
    pub fn row(
        &mut self,
        values: Vec<&str>,
        place: &Place,
        known: &Gazetteer<'_>,
        tally: &mut Tally,
    ) -> Result<(), Reported> {
        let fields = Fields::new(columns(self.kind), values, place, tally);
        let fields = &mut fields.inspect_err(|_| self.miss_row())?;
        if self.kind == Kind::Survey {
            return self.surveys.add(fields, known);
        }
        let Some((record, signature)) = read_row(self.kind, fields, known)? else {
            return Ok(());
        };
        let key = record.natural_key(signature.happened_on, &signature.by);
        let repeat = self.repeat(&key);
        if repeat > 1 && self.kind == Kind::Override {
            let found = "this value is already replaced further up".to_owned();
            return Err(fields.refuse("field", Finding::new(found, "one row for each value")));
        }
        let plain = entry_of_key(key, record, signature, repeat);
        let entry = match self.kind {
            deed if deed.is_deed() => Entry {
                taken_unsaid: self.kind == Kind::Cut && !fields.is_filled("taken"),
                sure: value::is_sure(fields)?,
                again: fields.optional("visit", |text| value::whole(text, MOST_VISITS))? > Some(1),
                ..plain
            },
            _ => plain,
        };
        self.entries.push(entry);
        Ok(())
    }

    /// Notes that a row could not even be taken apart.
    pub fn miss_row(&mut self) {
        self.surveys.miss();
    }

    fn repeat(&mut self, key: &str) -> u32 {
        let repeat = self.repeats.entry(xxh3_128(key.as_bytes())).or_default();
        *repeat += 1;
        *repeat
    }

    pub fn finish(mut self, tally: &mut Tally) -> Vec<Entry> {
        let surveys = self.surveys.finish(tally).into_iter();
        self.entries
            .extend(surveys.map(|(record, signature, visit)| entry(record, signature, visit)));
        self.entries
    }
}

pub(super) fn entry(record: Record, signature: Signature, repeat: u32) -> Entry {
    let key = record.natural_key(signature.happened_on, &signature.by);
    entry_of_key(key, record, signature, repeat)
}

fn entry_of_key(mut key: String, record: Record, signature: Signature, repeat: u32) -> Entry {
    let Signature { id, happened_on, recorded_on, by, sure } = signature;
    if repeat > 1 {
        key.push_str(&format!(" #{repeat}"));
    }
    Entry {
        id,
        key,
        happened_on,
        recorded_on,
        by,
        record,
        taken_unsaid: false,
        sure,
        again: false,
        unruled: false,
    }
}
