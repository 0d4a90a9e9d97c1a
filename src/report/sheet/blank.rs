//! Lines to write on by hand.

use maud::{Markup, html};

/// What is written there, and what is known of it beforehand.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Blank {
    label: String,
    known: Option<String>,
}

impl Blank {
    pub(super) fn of(label: impl Into<String>) -> Self {
        Self { label: label.into(), known: None }
    }

    pub(super) fn known(label: impl Into<String>, known: impl Into<String>) -> Self {
        Self { label: label.into(), known: Some(known.into()) }
    }
}

/// A list of them, each with room for a pencil.
pub(super) fn blanks(all: &[Blank]) -> Markup {
    html! {
        dl.blanks {
            @for blank in all {
                div {
                    dt { (blank.label) }
                    @match &blank.known {
                        Some(known) => dd.known { (known) },
                        None => dd.line { span.unseen { "to be written by hand" } },
                    }
                }
            }
        }
    }
}
