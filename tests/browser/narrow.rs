//! What a phone shows: tables scroll in their own frames, the page never sideways.

use rayon::prelude::*;

use crate::Outcome;
use crate::chromium::{Chromium, Screen};
use crate::made::{Page, every_page};

const MEASURE: &str = "tell(innerWidth + ' ' + document.documentElement.scrollWidth)";

pub fn no_page_is_wider() -> Outcome {
    let chromium = Chromium::find()?;
    let pages: Vec<&Page> = every_page().collect();
    pages.par_iter().for_each(|page| {
        let said = chromium.told(page, MEASURE, Screen::Phone);
        assert_eq!(said, "390 390", "{}: width of the phone, and of the page", page.name);
    });
    Ok(())
}
