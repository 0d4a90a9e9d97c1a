//! The page that every printed report stands on: one HTML file with nothing to fetch or run.
//!
//! What is laid out here is ready to read: numbers come as words, with nothing left to work out.

mod document;
mod figure;
mod laid;
mod markdown;
mod table;
mod text;

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::layout::held_together;

pub use document::{Answer, Block, Document, Drawing, Fact, KeyEntry, Section, Tally};
pub use figure::{Figure, figure};
pub use table::{Cell, Column, Kind, Leads, Table, nowhere, table};

/// The sheet of every page.
pub const STYLE: &str = include_str!("style.css");

/// What stands at the top of a page.
#[derive(Clone, Debug)]
pub struct Head<'a> {
    /// `Wendlestow, season 2026/27`: the page's only heading of the first rank.
    pub title: &'a str,
    /// What kind of page it is, over the title: `Season report`.
    pub kind: &'a str,
    /// A sentence or two under the title; may be empty.
    pub lead: &'a str,
}

/// A whole page. `body` is made of sections that begin with an `h2`; `foot` says where the page
/// came from.
pub fn page(head: &Head, body: &Markup, foot: &Markup) -> String {
    styled_page(head, "", body, foot)
}

/// A whole page with a style of its own besides.
pub fn styled_page(head: &Head, own_style: &str, body: &Markup, foot: &Markup) -> String {
    let style = html! { style { (PreEscaped(STYLE)) (PreEscaped(own_style)) } };
    let top = top(&format!("{} · {}", head.title, head.kind), &style);
    let frame = Frame { top, class: None, ways: html! {} };
    framed(&frame, head, body, foot).into_string() + "\n"
}

/// What is around what a page says.
#[derive(Clone, Debug)]
pub struct Frame<'a> {
    /// As [`top`] makes it.
    pub top: Markup,
    /// Of the page's body, for sheets.
    pub class: Option<&'a str>,
    /// Where one can go from here.
    pub ways: Markup,
}

/// A whole page in its frame.
pub fn framed(frame: &Frame, head: &Head, body: &Markup, foot: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en-GB" {
            (frame.top)
            body class=[frame.class] {
                (skip())
                (frame.ways)
                header.masthead {
                    p.kind { (head.kind) }
                    h1 { (head.title) }
                    @if !head.lead.is_empty() { p.lead { (held_together(head.lead)) } }
                }
                main #content tabindex="-1" { (body) }
                footer { (foot) }
            }
        }
    }
}

/// What a browser is told of every page before it shows it; `rest` are its sheets, and what else it
/// needs.
pub fn top(name: &str, rest: &Markup) -> Markup {
    html! {
        head {
            meta charset="utf-8";
            meta name="viewport" content="width=device-width, initial-scale=1";
            meta name="color-scheme" content="light dark";
            meta name="generator" content="Stintbook";
            title { (name) }
            (rest)
        }
    }
}

/// For whoever goes by keyboard.
pub fn skip() -> Markup {
    html! { a.skip href="#content" { "Skip to the content" } }
}

/// A section under its heading, if it has one; `id` is the name that links use.
pub fn section(id: &str, heading: &str, body: &Markup) -> Markup {
    if heading.is_empty() {
        return html! { section id=(id) { (body) } };
    }
    let named_by = format!("{id}-heading");
    html! {
        section id=(id) aria-labelledby=(named_by) {
            h2 id=(named_by) { (heading) }
            (body)
        }
    }
}

/// A paragraph for each sentence or group of sentences given.
pub fn paragraphs<T: AsRef<str>>(texts: &[T]) -> Markup {
    html! { @for text in texts { p { (held_together(text.as_ref())) } } }
}

/// A list of sentences; nothing for an empty one.
pub fn bullets<T: AsRef<str>>(texts: &[T]) -> Markup {
    html! { @if !texts.is_empty() { ul { @for text in texts { li { (held_together(text.as_ref())) } } } } }
}
