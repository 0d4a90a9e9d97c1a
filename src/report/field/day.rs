//! One patch on one day, as the page shows it.

use crate::report::opening::conditions;
use serde::Serialize;

use super::texts::Texts;
use crate::assess::{Assessment, Briefing};
use crate::report::counting::goes_by_sentence;
use crate::report::reasons::{because, decides};
use crate::rules::Verdict;
use crate::units::spoken_day;

/// Texts by their positions.
#[derive(Debug, Serialize)]
pub(super) struct Day {
    /// The verdict.
    v: usize,
    /// Whether it may be cut.
    open: u8,
    /// The most, in the crop's measure; none where there is no limit, or nothing may be cut.
    #[serde(skip_serializing_if = "Option::is_none")]
    most: Option<f64>,
    /// What the permission leaves of the crop on the whole site, for all of its patches together;
    /// none where it sets no cap.
    #[serde(skip_serializing_if = "Option::is_none")]
    room: Option<f64>,
    /// The most in words.
    #[serde(skip_serializing_if = "Option::is_none")]
    said: Option<usize>,
    /// What it goes by.
    #[serde(skip_serializing_if = "Option::is_none")]
    by: Option<usize>,
    /// Count off one in so many.
    #[serde(skip_serializing_if = "Option::is_none")]
    n: Option<u32>,
    /// Why.
    #[serde(skip_serializing_if = "Option::is_none")]
    why: Option<usize>,
    /// Until when it is open, or when it opens.
    #[serde(skip_serializing_if = "Option::is_none")]
    then: Option<usize>,
    /// The occupier wants to be asked before.
    #[serde(skip_serializing_if = "is_no")]
    ask: u8,
}

fn is_no(ask: &u8) -> bool {
    *ask == 0
}

impl Day {
    pub(super) fn of(patch: &Assessment, texts: &mut Texts) -> Self {
        let (ruling, is_open) = (&patch.ruling, patch.is_open());
        let by = goes_by_sentence(patch).trim_start_matches(", ").to_owned();
        let most = ruling.most.filter(|_| is_open);
        let said = most.map_or("no upper limit".to_owned(), |most| patch.crop.show(most));
        Self {
            v: texts.put(ruling.verdict.name()),
            open: u8::from(is_open),
            most: most.map(to_the_safe_side),
            room: Some(patch.room_on_site)
                .filter(|room| is_open && room.is_finite())
                .map(to_the_safe_side),
            said: is_open.then(|| texts.put(said)),
            by: (is_open && !by.is_empty()).then(|| texts.put(by)),
            n: ruling.one_in.filter(|_| is_open),
            why: why(patch).map(|why| texts.put(why)),
            then: then(patch).map(|then| texts.put(then)),
            ask: u8::from(is_open && patch.ask_first),
        }
    }

    /// What a walk may take at its stops of the patch, and nothing else.
    pub(super) fn of_walk(patch: &Assessment, walk: &Briefing, texts: &mut Texts) -> Self {
        let stop = walk.stops.iter().find(|stop| stop.patch == patch.patch);
        let verdict = if stop.is_some() { Verdict::Open } else { Verdict::Held };
        let said = stop.map(|stop| texts.put(stop.crop.show(stop.quota)));
        let by = stop
            .and_then(|stop| stop.one_in)
            .map(|n| texts.put(format!("counting 1 in {n} of what you see")));
        Self {
            v: texts.put(verdict.name()),
            open: u8::from(stop.is_some()),
            most: stop.map(|stop| to_the_safe_side(stop.quota)),
            room: None,
            said,
            by,
            n: stop.and_then(|stop| stop.one_in),
            why: stop.map(|stop| texts.put(format!("{}.", because(&stop.why)))),
            then: None,
            ask: u8::from(patch.ask_first),
        }
    }
}

/// Whole grams or pieces: what is left of it is never more than there was.
fn to_the_safe_side(most: f64) -> f64 {
    if most < 10.0 { (most * 10.0).floor() / 10.0 } else { most.floor() }
}

fn why(patch: &Assessment) -> Option<String> {
    let ceiling = &patch.ruling.ceilings[patch.ruling.binding?];
    Some(decides(ceiling))
}

fn then(patch: &Assessment) -> Option<String> {
    if let Some(opening) = patch.opening {
        let day = spoken_day(opening.day);
        return Some(format!("opens on {day}{}", conditions(opening)));
    }
    let closing = patch.closing?;
    Some(format!("until {} ({})", spoken_day(closing.day), closing.rule))
}
