//! A report as sections of ready words, tables and drawings, whatever they are laid out as.

use maud::{Markup, html};

use super::figure::{Figure, figure};
use super::table::{Table, table};
use super::{Head, bullets, page, section};
use crate::report::layout::held_together;
use crate::report::stress;

#[derive(Clone, Debug)]
pub struct Document {
    pub title: String,
    /// What kind of document it is.
    pub kind: &'static str,
    /// A sentence or two under the title.
    pub lead: String,
    pub sections: Vec<Section>,
    /// Where it came from; a paragraph each.
    pub foot: Vec<String>,
}

#[derive(Clone, Debug)]
pub struct Section {
    /// The name that links use.
    pub id: &'static str,
    pub heading: String,
    pub blocks: Vec<Block>,
}

impl Section {
    /// A sentence or two without a heading.
    pub fn said(text: String) -> Self {
        Self { id: "said", heading: String::new(), blocks: vec![Block::Paragraph(text)] }
    }
}

#[derive(Clone, Debug)]
pub enum Block {
    Paragraph(String),
    /// What explains a table or a drawing, in small.
    Note(String),
    Subheading(String),
    List(Vec<String>),
    /// A list of short things, in columns where there is room.
    Columns(Vec<String>),
    Tally(Vec<Tally>),
    Answers(Vec<Answer>),
    Table(Table),
    Drawing(Drawing),
    /// A drawing with, beside it where there is room, its key below other blocks.
    Beside(Vec<Block>, Drawing),
}

/// A figure that a reader looks for first.
#[derive(Clone, Debug)]
pub struct Tally {
    pub value: String,
    pub words: String,
    /// By which the figure can be traced.
    pub id: String,
    /// Something to look at.
    pub marked: bool,
}

/// What a reader asks, and what is said to it.
#[derive(Clone, Debug)]
pub struct Answer {
    pub question: String,
    /// A paragraph each.
    pub texts: Vec<String>,
    /// Something to look at.
    pub marked: bool,
}

impl Answer {
    pub fn marked(self, marked: bool) -> Self {
        Self { marked, ..self }
    }
}

/// A picture with its caption, and a key to the numbers on it.
#[derive(Clone, Debug)]
pub struct Drawing {
    pub svg: String,
    pub caption: String,
    pub wide: bool,
    pub on_paper: bool,
    pub key: Vec<KeyEntry>,
}

/// A number on a drawing, what it stands for, and a word on it.
#[derive(Clone, Debug)]
pub struct KeyEntry {
    pub number: usize,
    pub name: String,
    pub said: String,
}

impl Document {
    pub fn html(&self) -> String {
        let head = Head { title: &self.title, kind: self.kind, lead: &self.lead };
        let body = html! {
            @for part in &self.sections {
                (section(part.id, &part.heading, &blocks(&part.blocks)))
            }
        };
        let html = page(&head, &body, &html! { @for text in &self.foot { p { (text) } } });
        stress::plain(&html)
    }
}

fn blocks(all: &[Block]) -> Markup {
    html! {
        @for block in all {
            @match block {
                Block::Paragraph(text) => p { (held_together(text)) },
                Block::Note(text) => p.note { (held_together(text)) },
                Block::Subheading(text) => h3 { (held_together(text)) },
                Block::List(texts) => (bullets(texts)),
                Block::Columns(texts) => ul.columns.small {
                    @for text in texts { li { (held_together(text)) } }
                },
                Block::Tally(tallies) => (tally(tallies)),
                Block::Answers(all) => (answers(all)),
                Block::Table(rows) => (table(rows)),
                Block::Drawing(drawing) => div.keyed { (pictured(drawing)) (key(&drawing.key)) },
                Block::Beside(others, drawing) => div.beside {
                    div { (blocks(others)) (key(&drawing.key)) }
                    (pictured(drawing))
                },
            }
        }
    }
}

fn tally(tallies: &[Tally]) -> Markup {
    html! {
        ul.tally {
            @for one in tallies {
                li class=[one.marked.then_some("mark")] title=(one.id) {
                    b { @if one.marked { "▲ " } (held_together(&one.value)) }
                    (held_together(&one.words))
                }
            }
        }
    }
}

fn answers(all: &[Answer]) -> Markup {
    html! {
        dl.answers {
            @for answer in all {
                div class=[answer.marked.then_some("mark")] {
                    dt { @if answer.marked { "▲ " } (held_together(&answer.question)) }
                    @for text in &answer.texts { dd { (held_together(text)) } }
                }
            }
        }
    }
}

fn pictured(drawing: &Drawing) -> Markup {
    let Drawing { svg, caption, wide, on_paper, .. } = drawing;
    figure(&Figure { svg, caption, wide: *wide, on_paper: *on_paper })
}

/// Nothing for an empty one.
fn key(entries: &[KeyEntry]) -> Markup {
    if entries.is_empty() {
        return html! {};
    }
    html! {
        ol.key {
            @for entry in entries {
                li {
                    b { (entry.number) }
                    (entry.name)
                    @if !entry.said.is_empty() { span { " · " (held_together(&entry.said)) } }
                }
            }
        }
    }
}
