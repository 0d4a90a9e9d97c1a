//! Texts that stay whole where they have little room: their letters come out narrower.

use super::ink::Type;
use super::pen::PIXELS;

/// Parts a text from the room that it is given; nobody writes one.
const BOUND: char = '\u{2063}';

/// `text` for the pen, bound to `room` page units where it may take more of them.
pub(super) fn bound(text: &str, room: f64, lettering: Type) -> String {
    match lettering.width_of(text) > room {
        true => format!("{text}{BOUND}{}", (room * PIXELS).round()),
        false => text.to_owned(),
    }
}

/// The drawing with each bound text squeezed into its room.
pub(super) fn squeezed(drawing: &str) -> String {
    let mut texts = drawing.split("<text");
    let first = texts.next().unwrap_or_default().to_owned();
    texts.fold(first, |drawn, text| match text.split_once(BOUND) {
        None => drawn + "<text" + text,
        Some((text, rest)) => {
            let end = rest.find(|letter: char| !letter.is_ascii_digit()).unwrap_or(rest.len());
            let (room, rest) = rest.split_at(end);
            let how = format!("<text textLength=\"{room}\" lengthAdjust=\"spacingAndGlyphs\"");
            drawn + &how + text + rest
        }
    })
}
