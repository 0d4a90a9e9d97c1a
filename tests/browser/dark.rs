//! Light and dark follow the reader.

use rayon::prelude::*;

use crate::Outcome;
use crate::chromium::{Chromium, Screen};
use crate::made::pages;

const LIGHTNESS: &str = "const lightness = element => \
    getComputedStyle(element).backgroundColor.match(/\\d+/g).slice(0, 3)\
      .reduce((sum, part) => sum + Number(part), 0) / 765;\
    tell(lightness(document.body).toFixed(2))";

pub fn follows_the_reader() -> Outcome {
    let chromium = Chromium::find()?;
    pages().par_iter().for_each(|page| {
        let lightness = |screen| {
            let told = chromium.told(page, LIGHTNESS, screen);
            told.parse::<f64>().unwrap_or_else(|_| panic!("{}: `{told}`", page.name))
        };
        assert!(lightness(Screen::Laptop) > 0.95, "{} is not light", page.name);
        assert!(lightness(Screen::DarkLaptop) < 0.2, "{} is not dark", page.name);
    });
    Ok(())
}
