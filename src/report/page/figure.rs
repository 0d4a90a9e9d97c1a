//! A drawing with its caption.

use maud::{Markup, PreEscaped, html};

use crate::report::layout::held_together;

/// A drawing on a page.
#[derive(Clone, Debug)]
pub struct Figure<'a> {
    /// An SVG element with a title and a description of its own.
    pub svg: &'a str,
    /// What it shows, in a sentence.
    pub caption: &'a str,
    /// Whether it is too wide for a phone: it then scrolls sideways in its own frame.
    pub wide: bool,
    /// Whether its colours are those of white paper only: a dark page then turns them round.
    pub on_paper: bool,
}

/// The drawing and its caption, never parted by a page break.
pub fn figure(figure: &Figure) -> Markup {
    let kind = if figure.on_paper { "on-paper" } else { "own-colours" };
    html! {
        figure class=(kind) {
            @if figure.wide {
                div.scrolls tabindex="0" role="region" aria-label=(figure.caption) {
                    (PreEscaped(figure.svg))
                }
            } @else {
                (PreEscaped(figure.svg))
            }
            figcaption { (held_together(figure.caption)) }
        }
    }
}
