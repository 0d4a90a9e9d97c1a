//! What a phone shows: tables scroll in their own frames, the page never sideways.

use rayon::prelude::*;

use crate::Outcome;
use crate::chromium::{Chromium, Screen};
use crate::made::{Page, every_page};

const MEASURE: &str = "tell(innerWidth + ' ' + document.documentElement.scrollWidth)";

/// The least height of type on the page as it is shown, in px, and the words set in it: of what
/// hangs in the page's flow and of drawings, which may be scaled.
pub const SMALLEST: &str = "(() => {\
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);\
    let least = [1000, ''], read = 0;\
    while (walk.nextNode()) {\
      const text = walk.currentNode.data.trim(), held = walk.currentNode.parentElement;\
      if (!text || !held.getClientRects().length || /^(STYLE|SCRIPT|TITLE|DESC)$/i.test(held.tagName))\
        continue;\
      const drawn = held.getScreenCTM ? held.getScreenCTM() : null;\
      const scale = drawn ? Math.hypot(drawn.c, drawn.d) : 1;\
      const size = parseFloat(getComputedStyle(held).fontSize) * scale;\
      read += 1;\
      if (size < least[0]) least = [size, text];\
    }\
    return read + ' ' + least[0].toFixed(2) + ' ' + least[1].slice(0, 40);\
    })()";

/// The least that a phone shows well, in px.
const LEAST: f64 = 11.0;

/// What [`SMALLEST`] says of a page, in px, once it is no less than that.
pub fn well_shown(said: &str, page: &str) -> f64 {
    let mut words = said.split(' ').map(|word| word.parse::<f64>().unwrap_or_default());
    let (read, least) = (words.next().unwrap(), words.next().unwrap());
    assert!(read > 3.0, "{page}: {said}");
    assert!(least >= LEAST, "{page}: {said}");
    least
}

pub fn no_letter_is_too_small() -> Outcome {
    let chromium = Chromium::find()?;
    let pages: Vec<&Page> = every_page().collect();
    pages.par_iter().for_each(|page| {
        let said = chromium.told(page, &format!("tell({SMALLEST});"), Screen::Phone);
        println!("  {}: type from {} px", page.name, well_shown(&said, &page.name));
    });
    Ok(())
}

pub fn no_page_is_wider() -> Outcome {
    let chromium = Chromium::find()?;
    let pages: Vec<&Page> = every_page().collect();
    pages.par_iter().for_each(|page| {
        let said = chromium.told(page, MEASURE, Screen::Phone);
        assert_eq!(said, "390 390", "{}: width of the phone, and of the page", page.name);
    });
    Ok(())
}
