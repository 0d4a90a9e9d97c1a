//! What a large book has packed of its patches: the body is that of tests/fuzz/readers.rs.

#![no_main]

#[allow(dead_code, reason = "each target reads one thing")]
#[path = "../../readers.rs"]
mod readers;

use libfuzzer_sys::fuzz_target;

static FOLDER: std::sync::LazyLock<tempfile::TempDir> =
    std::sync::LazyLock::new(|| tempfile::tempdir().unwrap());

fuzz_target!(|bytes: &[u8]| {
    readers::packs(bytes, &FOLDER.path().join("a.sqlite"));
});
