//! How the laws are tried.

use proptest::prelude::*;
use proptest::test_runner::RngSeed;

/// Fixed seed, nothing written to disk.
pub fn laws(cases: u32) -> ProptestConfig {
    ProptestConfig {
        cases,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(54),
        ..ProptestConfig::default()
    }
}
