//! The same document as Markdown, for e-mail and plain archives: narrow lines, no tables, since
//! a table that a mail program folds can be read by nobody.

use super::document::{Answer, Block, Document, Drawing, Fact, Tally};
use super::table::{Cell, Table};
use crate::report::layout::hanging_with_links;
use crate::report::stress;

const WIDTH: usize = 76;

impl Document {
    /// As Markdown, in narrow lines; drawings are told by their captions.
    pub fn markdown(&self) -> String {
        let mut text = format!("# {}\n\n", plain(&self.title));
        text += &flowing(format!("*{}.* {}", self.kind, plain(&self.lead)).trim_end());
        for section in &self.sections {
            if !section.heading.is_empty() {
                text += &format!("\n## {}\n", plain(&section.heading));
            }
            text.extend(section.blocks.iter().map(block));
        }
        text += if self.foot.is_empty() { "" } else { "\n---\n" };
        text.extend(self.foot.iter().map(|foot| format!("\n{}", flowing(&plain(foot)))));
        stress::plain(&text)
    }
}

fn block(one: &Block) -> String {
    let body = match one {
        Block::Paragraph(text) | Block::Note(text) => flowing(&plain(text)),
        Block::Paragraphs(texts) => {
            let texts: Vec<String> = texts.iter().map(|text| flowing(&plain(text))).collect();
            texts.join("\n")
        }
        Block::Subheading(text) => format!("### {}\n", plain(text)),
        Block::List(texts) | Block::Columns(texts) => texts.iter().map(|text| item(text)).collect(),
        Block::Facts(facts) => facts.iter().map(fact).collect(),
        Block::Copied(lines) => format!("```\n{}\n```\n", lines.trim_end()),
        Block::Listed(said, texts) => {
            let texts: String = texts.iter().map(|text| item(text)).collect();
            format!("{}\n{texts}", flowing(&plain(said)))
        }
        Block::Steps(texts) => (1..).zip(texts).map(|(n, text)| step(n, text)).collect(),
        Block::Tally(tallies) => tallies.iter().map(tally).collect(),
        Block::Answers(answers) => answers.iter().map(answer).collect(),
        Block::Table(table) => rows(table),
        Block::Drawing(drawing) => described(drawing),
        Block::Either { page, .. } => page.iter().map(block).collect::<String>(),
        Block::Beside(others, drawing) => {
            let others: String = others.iter().map(block).collect();
            format!("{}\n{}", others.trim_start_matches('\n'), described(drawing))
        }
    };
    if body.is_empty() { body } else { format!("\n{body}") }
}

fn flowing(text: &str) -> String {
    hanging_with_links(text, WIDTH, "", "")
}

fn item(text: &str) -> String {
    hanging_with_links(&plain(text), WIDTH, "- ", "  ")
}

fn step(n: usize, text: &str) -> String {
    hanging_with_links(&plain(text), WIDTH, &format!("{n}. "), "   ")
}

fn fact(fact: &Fact) -> String {
    let source = match &*fact.source {
        "" => String::new(),
        source => format!(" ({})", plain(source)),
    };
    let text = format!("**{}** {}{source}", plain(&fact.name), plain(&fact.said));
    hanging_with_links(&text, WIDTH, "- ", "  ")
}

fn tally(tally: &Tally) -> String {
    let mark = if tally.marked { "(!) " } else { "" };
    let text = format!("{mark}**{}** {}", plain(&tally.value), plain(&tally.words));
    hanging_with_links(&text, WIDTH, "- ", "  ")
}

fn answer(answer: &Answer) -> String {
    let mark = if answer.marked { "(!) " } else { "" };
    let said = plain(&answer.texts.join(" "));
    let text = format!("{mark}**{}** {said}", plain(&answer.question));
    hanging_with_links(&text, WIDTH, "- ", "  ")
}

/// A row a bullet: its name, then each cell behind its heading.
fn rows(table: &Table) -> String {
    let mut text = flowing(&plain(&table.caption)) + "\n";
    for row in &table.rows {
        let Some((name, cells)) = row.split_first() else { continue };
        if cells.is_empty() && table.columns.len() > 1 {
            text += &format!("\n{}\n\n", said(name));
            continue;
        }
        let named: Vec<String> = table.columns[1..]
            .iter()
            .zip(cells)
            .filter(|(column, cell)| !cell.text.is_empty() && column.is_on_pages())
            .map(|(column, cell)| match (&*column.heading, column.under, &*cell.under) {
                ("", ..) => said(cell),
                (heading, "", _) | (heading, _, "") => {
                    format!("{}: {}", heading.to_lowercase(), said(cell))
                }
                (heading, below, under) => format!(
                    "{}: {}; {below}: {}",
                    heading.to_lowercase(),
                    said(&Cell { under: String::new(), ..cell.clone() }),
                    plain(under)
                ),
            })
            .collect();
        let line = format!("**{}**: {}", said(name), named.join("; "));
        text += &hanging_with_links(&line, WIDTH, "- ", "  ");
    }
    text
}

fn said(cell: &Cell) -> String {
    let mark = if cell.marked { "(!) " } else { "" };
    let under =
        if cell.under.is_empty() { String::new() } else { format!(" ({})", plain(&cell.under)) };
    format!("{mark}{}{under}", plain(&cell.text))
}

fn described(drawing: &Drawing) -> String {
    let mut text = flowing(&format!("[{}]", plain(&drawing.caption)));
    if !drawing.key.is_empty() {
        text.push('\n');
    }
    for entry in &drawing.key {
        let said = if entry.said.is_empty() { String::new() } else { format!(": {}", entry.said) };
        text += &item(&format!("{} {}{said}", entry.number, entry.name));
    }
    text
}

/// What Markdown would take for its own marks stands for itself.
fn plain(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for letter in text.chars() {
        if matches!(letter, '*' | '_' | '`' | '<' | '[' | ']' | '#' | '|' | '\\') {
            plain.push('\\');
        }
        plain.push(letter);
    }
    plain
}
