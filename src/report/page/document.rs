//! A report as sections of ready words, tables and drawings, whatever they are laid out as.

use std::borrow::Cow;

use jiff::civil::Date;
use maud::{Markup, html};

use super::figure::{Figure, figure};
use super::table::{Leads, Table, leading_table, nowhere};
use super::{Head, bullets, page, paragraphs, section};
use crate::report::layout::held_together;
use crate::report::stress;
use crate::units::spoken_day;

/// An answer or a report, ready to be laid out.
#[derive(Clone, Debug)]
pub struct Document {
    /// Says in a line what it is of; an answer answers here.
    pub title: String,
    /// What kind of document it is.
    pub kind: &'static str,
    /// A sentence or two under the title.
    pub lead: String,
    /// In the order in which they are read.
    pub sections: Vec<Section>,
    /// Where it came from; a paragraph each.
    pub foot: Vec<String>,
}

/// A part of a document under a heading of its own.
#[derive(Clone, Debug)]
pub struct Section {
    /// The name that links use.
    pub id: &'static str,
    /// Empty for a section without one.
    pub heading: String,
    /// In the order in which they are read.
    pub blocks: Vec<Block>,
}

impl Section {
    /// A sentence or two without a heading.
    pub fn said(text: String) -> Self {
        Self { id: "said", heading: String::new(), blocks: vec![Block::Paragraph(text)] }
    }

    /// What things are, each behind its name.
    pub fn facts(id: &'static str, heading: &str, facts: Vec<Fact>) -> Self {
        Self { id, heading: heading.to_owned(), blocks: vec![Block::Facts(facts)] }
    }

    /// Nothing for an empty list.
    pub fn list(id: &'static str, heading: &str, items: Vec<String>) -> Option<Self> {
        let blocks = vec![Block::List(items.clone())];
        (!items.is_empty()).then(|| Self { id, heading: heading.to_owned(), blocks })
    }
}

/// One piece of a section.
#[derive(Clone, Debug)]
pub enum Block {
    /// A sentence or several.
    Paragraph(String),
    /// Paragraphs that belong together.
    Paragraphs(Vec<String>),
    /// What explains a table or a drawing, in small.
    Note(String),
    /// Over the blocks that follow.
    Subheading(String),
    /// Each with a mark before it.
    List(Vec<String>),
    /// A sentence with what it lists.
    Listed(String, Vec<String>),
    /// What is to be done, one after the other.
    Steps(Vec<String>),
    /// A list of short things, in columns where there is room.
    Columns(Vec<String>),
    /// What things are, each behind its name.
    Facts(Vec<Fact>),
    /// Lines that are copied elsewhere as they stand, however wide they are.
    Copied(String),
    /// Figures in large.
    Tally(Vec<Tally>),
    /// Questions with what is said to them.
    Answers(Vec<Answer>),
    /// A table with its caption.
    Table(Table),
    /// A picture with its caption.
    Drawing(Drawing),
    /// A drawing with, beside it where there is room, its key below other blocks.
    Beside(Vec<Block>, Drawing),
    /// The same for a terminal, where all is letters, and for a page.
    Either {
        /// On a terminal; may be empty.
        letters: Vec<Block>,
        /// Anywhere else; may be empty.
        page: Vec<Block>,
    },
}

/// What something is, behind its name.
#[derive(Clone, Debug)]
pub struct Fact {
    /// What it is a fact of.
    pub name: Cow<'static, str>,
    /// The fact, in words.
    pub said: String,
    /// Where it comes from, in small; may be empty.
    pub source: String,
}

impl Fact {
    /// Without a source.
    pub fn of(name: impl Into<Cow<'static, str>>, said: String) -> Self {
        Self { name: name.into(), said, source: String::new() }
    }

    /// The same with its source behind it.
    pub fn source(self, source: &str) -> Self {
        Self { source: format!("source: {source}"), ..self }
    }
}

/// A figure that a reader looks for first.
#[derive(Clone, Debug)]
pub struct Tally {
    /// The figure with its unit.
    pub value: String,
    /// What it is a figure of.
    pub words: String,
    /// By which the figure can be traced.
    pub id: String,
    /// Something to look at.
    pub marked: bool,
}

/// What a reader asks, and what is said to it.
#[derive(Clone, Debug)]
pub struct Answer {
    /// As a reader would ask it.
    pub question: String,
    /// A paragraph each.
    pub texts: Vec<String>,
    /// Something to look at.
    pub marked: bool,
}

impl Answer {
    /// The same, marked as something to look at or not.
    pub fn marked(self, marked: bool) -> Self {
        Self { marked, ..self }
    }
}

/// A picture with its caption, and a key to the numbers on it.
#[derive(Clone, Debug)]
pub struct Drawing {
    /// An SVG element.
    pub svg: String,
    /// What it shows, in a sentence.
    pub caption: String,
    /// Whether it is too wide for a phone.
    pub wide: bool,
    /// Whether its colours are those of white paper only.
    pub on_paper: bool,
    /// What its numbers stand for; empty for a drawing without any.
    pub key: Vec<KeyEntry>,
}

/// A number on a drawing, what it stands for, and a word on it.
#[derive(Clone, Debug)]
pub struct KeyEntry {
    /// As on the drawing.
    pub number: usize,
    /// What bears it.
    pub name: String,
    /// A word on it; may be empty.
    pub said: String,
}

impl Document {
    /// The same, saying that it answers from no more than was known by a day.
    pub fn as_known_on(self, day: Option<Date>) -> Self {
        let Some(day) = day else { return self };
        let known = format!("From what was known on {}:", spoken_day(day));
        let lead = if self.lead.is_empty() { known } else { format!("{}. {known}", self.lead) };
        Self { lead, ..self }
    }

    /// Of a section: with a number where others before it are called the same.
    fn id(&self, n: usize) -> String {
        let id = self.sections[n].id;
        match self.sections[..n].iter().filter(|other| other.id == id).count() {
            0 => id.to_owned(),
            before => format!("{id}-{}", before + 1),
        }
    }

    /// As a page: one HTML file that fetches and runs nothing.
    pub fn html(&self) -> String {
        let head = Head { title: &self.title, kind: self.kind, lead: &self.lead };
        let html = page(&head, &self.body(&nowhere), &self.foot());
        stress::in_html(&html)
    }

    /// Its sections; names in its tables lead where `leads` says.
    pub fn body(&self, leads: Leads<'_>) -> Markup {
        html! { @for part in self.parts(leads) { (part) } }
    }

    /// The same, one by one.
    pub fn parts(&self, leads: Leads<'_>) -> Vec<Markup> {
        let part = |(n, part): (usize, &Section)| {
            section(&self.id(n), &part.heading, &blocks(&part.blocks, leads))
        };
        self.sections.iter().enumerate().map(part).collect()
    }

    /// Where it came from, a paragraph each.
    pub fn foot(&self) -> Markup {
        html! { @for text in &self.foot { p { (text) } } }
    }
}

fn blocks(all: &[Block], leads: Leads<'_>) -> Markup {
    html! {
        @for block in all {
            @match block {
                Block::Paragraph(text) => p { (held_together(text)) },
                Block::Paragraphs(texts) => (paragraphs(texts)),
                Block::Note(text) => p.note { (held_together(text)) },
                Block::Subheading(text) => h3 { (held_together(text)) },
                Block::List(texts) => (bullets(texts)),
                Block::Listed(said, texts) => { p { (held_together(said)) } (bullets(texts)) },
                Block::Steps(texts) => ol {
                    @for text in texts { li { (held_together(text)) } }
                },
                Block::Columns(texts) => ul.columns.small {
                    @for text in texts { li { (held_together(text)) } }
                },
                Block::Facts(facts) => (known(facts)),
                Block::Copied(lines) => pre { (lines) },
                Block::Tally(tallies) => (tally(tallies)),
                Block::Answers(all) => (answers(all)),
                Block::Table(rows) => (leading_table(rows, leads)),
                Block::Drawing(drawing) => div.keyed { (pictured(drawing)) (key(&drawing.key)) },
                Block::Either { page, .. } => (blocks(page, leads)),
                Block::Beside(others, drawing) => div.beside {
                    div { (blocks(others, leads)) (key(&drawing.key)) }
                    (pictured(drawing))
                },
            }
        }
    }
}

fn known(facts: &[Fact]) -> Markup {
    html! {
        dl.facts {
            @for fact in facts {
                dt { (fact.name) }
                dd {
                    (held_together(&fact.said))
                    @if !fact.source.is_empty() { span.under { (fact.source) } }
                }
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
/// With more of them a key is set closer on paper.
const FEW_KEYS: usize = 16;

fn key(entries: &[KeyEntry]) -> Markup {
    if entries.is_empty() {
        return html! {};
    }
    html! {
        ol.key.many[entries.len() > FEW_KEYS] {
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
