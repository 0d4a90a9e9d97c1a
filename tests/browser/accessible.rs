//! Every rule of axe-core, which checks what can be checked of WCAG 2.

use std::fs;
use std::path::Path;

use rayon::prelude::*;
use serde_json::Value;

use crate::chromium::{Chromium, Screen};
use crate::made::{Page, every_page};
use crate::{Missing, Outcome};

const RUN: &str = "axe.run().then(result => {\
    tell(JSON.stringify({\
      passes: result.passes.length,\
      violations: result.violations.map(rule => ({\
        rule: rule.id, help: rule.help, where: rule.nodes.map(node => node.html)}))}));});";

pub fn in_light_and_dark() -> Outcome {
    check(&[Screen::Laptop, Screen::DarkLaptop])
}

pub fn on_a_phone() -> Outcome {
    check(&[Screen::Phone])
}

fn check(screens: &[Screen]) -> Outcome {
    let chromium = Chromium::find()?;
    let axe = axe()?;
    let pages: Vec<&Page> = every_page().collect();
    pages.par_iter().for_each(|page| {
        let script = format!("{axe};{RUN}");
        for screen in screens {
            let said = chromium.told(page, &script, *screen);
            let said: Value = serde_json::from_str(&said).unwrap();
            assert!(said["passes"].as_u64().unwrap() > 15, "{}: {said:#}", page.name);
            let violations = said["violations"].as_array().unwrap();
            assert!(violations.is_empty(), "{}, {screen:?}: {violations:#?}", page.name);
        }
    });
    Ok(())
}

pub fn axe() -> Result<String, Missing> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/browser/node_modules");
    fs::read_to_string(folder.join("axe-core/axe.min.js"))
        .map_err(|_| Missing("axe-core is not there; run `npm ci` in tests/browser"))
}
