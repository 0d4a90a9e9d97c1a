//! A report as sections of ready words, tables and drawings, whatever they are laid out as.

use maud::{Markup, html};

use super::figure::{Figure, figure};
use super::table::{Table, table};
use super::{Head, bullets, page, section};
use crate::report::layout::held_together;

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

#[derive(Clone, Debug)]
pub enum Block {
    Paragraph(String),
    Subheading(String),
    List(Vec<String>),
    /// A list of short things, in columns where there is room.
    Columns(Vec<String>),
    Tally(Vec<Tally>),
    Table(Table),
    Drawing(Drawing),
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
        page(&head, &body, &html! { @for text in &self.foot { p { (text) } } })
    }
}

fn blocks(all: &[Block]) -> Markup {
    html! {
        @for block in all {
            @match block {
                Block::Paragraph(text) => p { (held_together(text)) },
                Block::Subheading(text) => h3 { (held_together(text)) },
                Block::List(texts) => (bullets(texts)),
                Block::Columns(texts) => ul.columns.small {
                    @for text in texts { li { (held_together(text)) } }
                },
                Block::Tally(tallies) => (tally(tallies)),
                Block::Table(rows) => (table(rows)),
                Block::Drawing(drawing) => (drawn(drawing)),
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

fn drawn(drawing: &Drawing) -> Markup {
    let Drawing { svg, caption, wide, on_paper, key } = drawing;
    html! {
        (figure(&Figure { svg, caption, wide: *wide, on_paper: *on_paper }))
        @if !key.is_empty() {
            ol.key {
                @for entry in key {
                    li {
                        b { (entry.number) }
                        (entry.name)
                        @if !entry.said.is_empty() { span { " · " (held_together(&entry.said)) } }
                    }
                }
            }
        }
    }
}
