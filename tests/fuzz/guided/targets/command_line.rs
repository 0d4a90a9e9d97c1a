//! Command lines, their words parted by `|`: the body is that of tests/fuzz/readers.rs.

#![no_main]

#[allow(dead_code, reason = "each target reads one thing")]
#[path = "../../readers.rs"]
mod readers;

use libfuzzer_sys::fuzz_target;

static FOLDER: std::sync::LazyLock<tempfile::TempDir> = std::sync::LazyLock::new(|| {
    let folder = tempfile::tempdir().unwrap();
    std::fs::copy(readers::DEMO.book(), folder.path().join("stintbook.sqlite")).unwrap();
    folder
});

/// Of a desk and of files that land outside the folder nothing is tried.
fn is_tried(words: &[String]) -> bool {
    let stays = |word: &String| !word.contains('/') && !word.contains("..");
    words.iter().all(stays) && !words.iter().any(|word| word == "serve")
}

fuzz_target!(|bytes: &[u8]| {
    let line = String::from_utf8_lossy(bytes);
    let words: Vec<String> = line.split('|').map(str::to_owned).collect();
    if is_tried(&words) {
        readers::command_line(&words, FOLDER.path());
    }
});
