//! The head of the page: title, what is shown, and one quiet key.

use jiff::civil::Date;

use super::course::{SURVEY_RADIUS, draw_drop};
use super::dress::Words;
use super::ink::{self, Stroke};
use super::layout::{head_line, key_place};
use super::pen::{Anchor, Drawn, Pen, Place};
use crate::units::{Season, spoken_day};

const TITLE_LINE: f64 = 24.0;
const LEAD_LINE: f64 = 42.0;
const KEY_LINE: f64 = 63.0;
/// Width of a sample in the key, and where its words begin.
const SAMPLE: f64 = 20.0;
const WORDS: f64 = 26.0;

/// Draws one entry of the key at a place.
type Sample = fn(&Pen, Place) -> Drawn;

pub(super) fn draw(pen: &Pen, words: &Words, season: Season, on: Date) -> Drawn {
    if !words.on_page {
        pen.text(&words.title, head_line(TITLE_LINE), ink::TITLE, Anchor::Start)?;
        pen.text(&words.lead, head_line(LEAD_LINE), ink::LEAD, Anchor::Start)?;
    }
    let marked = if season.contains(on) { spoken_day(on) } else { String::new() };
    let samples: [(&str, Sample); 9] = [
        ("crop, as modelled", |pen, at| sample_line(pen, at, ink::CROP_LINE)),
        ("likely range, 8 in 10", sample_band),
        ("as modelled, survey too old", |pen, (x, y)| {
            pen.dashes(&[(x, y), (x + SAMPLE, y)], ink::STALE_LINE, ink::STALE_DASH)
        }),
        ("full crop", |pen, at| sample_line(pen, at, ink::FULL_LINE)),
        ("a survey", |pen, at| pen.ring(middle(at), SURVEY_RADIUS, ink::SURVEY_RING)),
        ("a cut, hung below", |pen, at| draw_drop(pen, stem(at), false)),
        ("most the share allowed", |pen, (x, y)| {
            pen.dashes(&[(x, y), (x + SAMPLE, y)], ink::LIMIT_LINE, ink::LIMIT_DASH)
        }),
        ("a cut over what was allowed", |pen, at| draw_drop(pen, stem(at), true)),
        (&marked, |pen, at| {
            let (x, y) = middle(at);
            pen.line(&[(x, y - 5.0), (x, y + 5.0)], ink::TODAY_LINE)
        }),
    ];
    for (n, (words, sample)) in samples.into_iter().enumerate() {
        if words.is_empty() {
            continue;
        }
        let (x, y) = key_place(n, KEY_LINE);
        sample(pen, (x, y - 3.0))?;
        pen.text(words, (x + WORDS, y), ink::KEY, Anchor::Start)?;
    }
    Ok(())
}

fn middle((x, y): Place) -> Place {
    (x + SAMPLE / 2.0, y)
}

fn stem(at: Place) -> [Place; 2] {
    let (x, y) = middle(at);
    [(x, y - 5.0), (x, y + 3.0)]
}

fn sample_line(pen: &Pen, (x, y): Place, stroke: Stroke) -> Drawn {
    pen.line(&[(x, y), (x + SAMPLE, y)], stroke)
}

fn sample_band(pen: &Pen, (x, y): Place) -> Drawn {
    let (right, top, bottom) = (x + SAMPLE, y - 4.0, y + 4.0);
    pen.fill(&[(x, top), (right, top), (right, bottom), (x, bottom)], ink::BAND)
}
