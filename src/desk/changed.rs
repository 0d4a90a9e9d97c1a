//! What was recorded about something since its form was opened.

use std::time::{SystemTime, UNIX_EPOCH};

use maud::{Markup, html};

use super::page::sections;
use crate::records::{FactId, HistoryLine};

use crate::report::history_document;
use crate::report::page::nowhere;

/// How much was recorded at a moment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seen {
    /// About what.
    name: String,
    facts: usize,
    /// Those that no longer count.
    gone: usize,
    /// Milliseconds since 1970.
    at: u64,
}

impl Seen {
    pub fn now(name: String, lines: &[HistoryLine]) -> Self {
        let gone = lines.iter().filter(|line| !line.counts()).count();
        let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
        let at = u64::try_from(since.as_millis()).unwrap_or(u64::MAX);
        Self { name, facts: lines.len(), gone, at }
    }

    /// As a form has it.
    pub fn written(&self) -> String {
        format!("{}-{}-{}-{}", self.facts, self.gone, self.at, self.name)
    }

    pub fn read(text: &str) -> Option<Self> {
        let mut parts = text.splitn(4, '-');
        let facts = parts.next()?.parse().ok()?;
        let gone = parts.next()?.parse().ok()?;
        let at = parts.next()?.parse().ok()?;
        Some(Self { name: parts.next()?.to_owned(), facts, gone, at })
    }

    /// Whether the book says otherwise of the same thing by now.
    pub fn is_other(&self, now: &Self) -> bool {
        self.name == now.name && (self.facts, self.gone) != (now.facts, now.gone)
    }
}

/// What changed since: the facts that were typed or put right since, as far as their ids tell when.
pub fn since(lines: &[HistoryLine], then: &Seen) -> Markup {
    let is_later = |id: FactId| {
        id.0.get_timestamp().is_some_and(|drawn| {
            let (seconds, nanos) = drawn.to_unix();
            seconds * 1000 + u64::from(nanos / 1_000_000) >= then.at
        })
    };
    let later = lines.iter().filter(|line| {
        is_later(line.fact.id) || line.correction.as_ref().is_some_and(|made| is_later(made.id))
    });
    let later: Vec<HistoryLine> = later.cloned().collect();
    html! {
        div.asks role="alert" {
            h2 { "The book has changed since you opened this form" }
            @if later.is_empty() { p { "A file was taken in; look at the records." } }
            @else { (sections(&history_document(None, &later), &nowhere)) }
        }
    }
}
