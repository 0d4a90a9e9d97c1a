//! What a deed changes in the coming weeks, in words.

use jiff::civil::Date;

use super::layout::{hanging, paragraph};
use super::reasons::of_then;
use crate::assess::{Effect, Effects, Shift};
use crate::units::spoken_day;

/// A heading and a line for each patch and span of days, or that nothing changes.
/// `is_tried_out` says that nothing was recorded.
pub fn effects_list(effects: &Effects, is_tried_out: bool, width: usize) -> String {
    let until = spoken_day(effects.last);
    let mut text = match (effects.all.is_empty(), is_tried_out) {
        (true, true) => format!("It would change nothing that may be cut by {until}."),
        (true, false) => format!("It changes nothing that may be cut by {until}."),
        (false, true) => format!("What it would change by {until}:"),
        (false, false) => format!("What it changes by {until}:"),
    };
    text = paragraph(&text, width, "");
    text.extend(effects.all.iter().map(|effect| hanging(&said(effect), width, "  - ", "    ")));
    if is_tried_out {
        text += "Nothing was recorded.\n";
    }
    text
}

fn said(effect: &Effect) -> String {
    let Effect { patch, crop, first, last, what } = effect;
    let span = span(*first, *last);
    let on = spoken_day(*first);
    let amount = |most: &Option<f64>| match most {
        Some(most) => format!("{} of {}", crop.show(*most), crop.name),
        None => format!("any amount of {}", crop.name),
    };
    let said = match what {
        Shift::Shut { verdict, was } => {
            format!("{verdict} {span}; {} might have gone on {on}", amount(was))
        }
        Shift::Gone { was } => {
            format!("no patch any more; {} might have gone on {on}", amount(was))
        }
        Shift::Open { was, most } => {
            format!("may be cut {span}, {} on {on}; {}", amount(most), of_then(*was))
        }
        Shift::New { most } => {
            format!("may be cut {span} as a patch of its own, {} on {on}", amount(most))
        }
        Shift::Most { was, is } => {
            let is_more = is.unwrap_or(f64::INFINITY) > was.unwrap_or(f64::INFINITY);
            let on_to = match (first == last, is_more) {
                (true, _) => String::new(),
                (false, true) => format!(", and more than it was until {}", spoken_day(*last)),
                (false, false) => format!(", and less than it was until {}", spoken_day(*last)),
            };
            let was = was.map_or("any amount".to_owned(), |was| crop.show(was));
            format!("{} instead of {was} on {on}{on_to}", amount(is))
        }
        Shift::Unkept(promise) => format!(
            "{} set aside for {} on {on} is no longer to be had; `stintbook walk hold \"{}\" \
             --again` sets aside anew",
            crop.show(promise.amount),
            promise.walk,
            promise.walk
        ),
        Shift::Kept(promise) => format!(
            "{} set aside for {} on {on} is to be had after all",
            crop.show(promise.amount),
            promise.walk
        ),
    };
    format!("{patch}: {said}")
}

fn span(first: Date, last: Date) -> String {
    if first == last {
        return format!("on {}", spoken_day(first));
    }
    format!("from {} to {}", spoken_day(first), spoken_day(last))
}
