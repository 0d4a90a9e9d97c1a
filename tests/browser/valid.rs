//! Every page is valid HTML, by html-validate, runs nothing and fetches nothing.
//!
//! One rule of it is left off: a frame in which a table scrolls is a `div` with the role of a
//! region, and no `section`, since it is no part of the text.

use std::path::Path;
use std::process::Command;

use serde_json::Value;

use crate::made::every_page;
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
    let mut command = Command::new(program);
    command.arg("--config").arg(folder.join(".htmlvalidate.json")).args(["--formatter", "json"]);
    let said = command.args(every_page().map(|page| &page.path)).output().unwrap();
    let said: Value = serde_json::from_slice(&said.stdout).unwrap();
    let found = said.as_array().unwrap();
    assert!(found.is_empty(), "{found:#?}");
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
