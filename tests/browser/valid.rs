//! Every page is valid HTML, by html-validate, runs nothing and fetches nothing.
//!
//! One rule of it is left off: a frame in which a table scrolls is a `div` with the role of a
//! region, and no `section`, since it is no part of the text.

use std::path::Path;
use std::process::Command;

use rayon::prelude::*;
use serde_json::Value;

use crate::made::{Page, every_page};
use crate::{Missing, Outcome};

/// What would run a program or fetch a file.
const FETCHES: [&str; 7] =
    ["<script", "<iframe", "<link", " src=", "@import", "url(http", "url(//"];

pub fn by_html_validate() -> Outcome {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/browser");
    let program = folder.join("node_modules/.bin/html-validate");
    if !program.exists() {
        return Err(Missing("html-validate is not there; run `npm ci` in tests/browser"));
    }
    let pages: Vec<&Page> = every_page().collect();
    // A page at a time: what it says of one with many faults is all that a pipe holds.
    pages.par_iter().for_each(|page| {
        let mut command = Command::new(&program);
        command.arg("--config").arg(folder.join(".htmlvalidate.json"));
        let said = command.args(["--formatter", "json"]).arg(&page.path).output().unwrap();
        let text = String::from_utf8(said.stdout).unwrap();
        let found: Result<Value, _> = serde_json::from_str(&text);
        let is_valid = found.is_ok_and(|found| found.as_array().is_some_and(Vec::is_empty));
        let until = text.char_indices().nth(600).map_or(text.len(), |(at, _)| at);
        assert!(is_valid, "{}: {}", page.name, &text[..until]);
    });
    Ok(())
}

pub fn runs_and_fetches_nothing() -> Outcome {
    for page in every_page() {
        for fetches in FETCHES {
            assert!(!page.text.contains(fetches), "{} has `{fetches}`", page.name);
        }
    }
    Ok(())
}
