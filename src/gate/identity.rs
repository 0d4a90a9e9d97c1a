//! Which id a new fact gets.
//!
//! What a file brings without an id gets one made of what it says. So one file loaded into
//! two books makes the same facts in both, and loading it again finds them at once.

use jiff::civil::Date;
use sha2::{Digest, Sha256};
use uuid::Builder;

use crate::records::{Correction, Entry, FactId, Replacement};

/// Draws ids that nothing else has.
pub type Ids<'a> = &'a dyn Fn() -> FactId;

/// The id of what `entry` says, `written` as a file would have it: UUID version 8 (RFC 9562,
/// section 5.8) with the milliseconds of its day in front, as a version 7 has, so that ids
/// sort by day, and a SHA-256 of the text behind them.
///
/// When it was recorded and what its file is called do not count, unless the text says so.
pub(super) fn id_of(entry: &Entry, written: &str) -> FactId {
    id_of_change(entry, written, entry.recorded_on.unwrap_or(entry.happened_on))
}

/// The same for an entry that takes the place of a fact from a day on: it sorts behind it.
pub(super) fn id_of_change(entry: &Entry, written: &str, day: Date) -> FactId {
    let kind = entry.record.kind().name();
    made_of(day, &[kind, &entry.key, written])
}

/// Whether two such ids are made of the same words, on whatever days.
pub(super) fn of_the_same_words(one: FactId, other: FactId) -> bool {
    one.0.as_bytes()[6..] == other.0.as_bytes()[6..]
}

/// The id of a correction that a file brings about: made of what it corrects, and how.
pub(super) fn id_of_correction(correction: &Correction) -> FactId {
    let by = match correction.replacement {
        Replacement::By(id) => id.to_string(),
        Replacement::Withdrawn => "nothing".to_owned(),
    };
    let replaced = correction.replaced.to_string();
    made_of(correction.recorded_on, &["correction", &replaced, &by, &correction.why])
}

fn made_of(day: Date, texts: &[&str]) -> FactId {
    let mut hash = Sha256::new();
    for text in texts {
        // With its length, so that no two lists of texts run into the same bytes.
        hash.update((text.len() as u64).to_be_bytes());
        hash.update(text.as_bytes());
    }
    let mut bytes = [0; 16];
    bytes[..6].copy_from_slice(&milliseconds(day).to_be_bytes()[2..]);
    bytes[6..].copy_from_slice(&hash.finalize()[..10]);
    FactId(Builder::from_custom_bytes(bytes).into_uuid())
}

/// From 1970 to the day's midnight; 0 for days before.
fn milliseconds(day: Date) -> u64 {
    const EPOCH: Date = jiff::civil::date(1970, 1, 1);
    let days = (day - EPOCH).get_days();
    u64::try_from(days).unwrap_or(0) * 86_400_000
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::*;

    #[test]
    fn an_id_made_of_texts_sorts_by_day_and_is_the_same_each_time() {
        let early = made_of(date(2026, 9, 1), &["cut", "b"]);
        let late = made_of(date(2026, 9, 2), &["cut", "a"]);
        assert!(early < late);
        assert_eq!(early, made_of(date(2026, 9, 1), &["cut", "b"]));
        assert_ne!(early, made_of(date(2026, 9, 1), &["cutb"]));
        assert_eq!(early.0.get_version_num(), 8);
    }
}
