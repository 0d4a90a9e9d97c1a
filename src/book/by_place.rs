//! Maps from the numbers of places.

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};

/// A map from a place's number. Millions of facts are looked up by place when a book is read,
/// and the numbers are the book's own, so a hash that nobody can guess would buy nothing.
pub(super) type ByPlace<T> = HashMap<i64, T, BuildHasherDefault<PlaceHasher>>;

/// Spreads small numbers over all 64 bits (Fibonacci hashing: 2⁶⁴ over the golden ratio).
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct PlaceHasher(u64);

const SPREAD: u64 = 0x9e37_79b9_7f4a_7c15;

impl Hasher for PlaceHasher {
    fn write(&mut self, bytes: &[u8]) {
        for byte in bytes {
            self.0 = (self.0.rotate_left(8) ^ u64::from(*byte)).wrapping_mul(SPREAD);
        }
    }

    fn write_i64(&mut self, number: i64) {
        self.0 = number.cast_unsigned().wrapping_mul(SPREAD);
    }

    fn finish(&self) -> u64 {
        self.0
    }
}
