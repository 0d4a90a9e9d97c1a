//! Names, amounts and seasons as they are typed: the body is that of tests/fuzz/readers.rs.

#![no_main]

#[allow(dead_code, reason = "each target reads one thing")]
#[path = "../../readers.rs"]
mod readers;

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    readers::words(bytes);
});
