//! The same document as text for a terminal: no name and no number is ever cut, at any width.

use super::document::{Answer, Block, Document, Fact, Section, Tally};
use crate::report::layout::{BELOW, hanging, hanging_with_links, paragraph, widest};
use crate::report::stress::Stress;

/// The fewest and the most cells that the names of facts take.
const NAMES: usize = 15;
const MOST_NAMES: usize = 20;
/// With fewer cells, facts stand behind their names and not beside them.
const NARROW: usize = 70;

impl Document {
    /// Lines of at most `width` cells, but for a name that is wider.
    pub fn text(&self, width: usize) -> String {
        let title = paragraph(&self.title, width, "");
        let lead =
            if self.lead.is_empty() { String::new() } else { paragraph(&self.lead, width, "") };
        title + &lead + &self.sections.iter().map(|part| part.text(width)).collect::<String>()
    }
}

impl Section {
    /// Behind an empty line.
    pub fn text(&self, width: usize) -> String {
        let text = self.alone(width);
        if text.is_empty() { text } else { format!("\n{text}") }
    }

    /// As all that is said; nothing of what only a page shows.
    pub fn alone(&self, width: usize) -> String {
        let text = stacked(&self.blocks, "  ", width);
        match (&*self.heading, text.is_empty()) {
            ("", _) | (_, true) => text,
            (heading, false) => hanging(&shouted(heading), width, "", "  ") + &text,
        }
    }
}

/// One below the other, with an empty line between.
fn stacked(blocks: &[Block], indent: &str, width: usize) -> String {
    let mut text = String::new();
    for (n, one) in blocks.iter().enumerate() {
        let is_headed = n > 0 && matches!(blocks[n - 1], Block::Subheading(_));
        let said = block(one, if is_headed { BELOW } else { indent }, width);
        let is_apart = !is_headed && !matches!(one, Block::Subheading(_));
        if is_apart && !text.is_empty() && !said.is_empty() {
            text.push('\n');
        }
        text += &said;
    }
    text
}

/// In capitals up to what qualifies it.
fn shouted(heading: &str) -> String {
    let end = heading.find([':', ',', '(']).unwrap_or(heading.len());
    format!("{}{}", heading[..end].to_uppercase(), &heading[end..])
}

/// What stands below a heading of its own has another indent.
fn block(one: &Block, indent: &str, width: usize) -> String {
    let each = |texts: &[String], mark: &str| -> String {
        let (first, rest) = (format!("{indent}{mark}"), format!("{indent}  "));
        texts.iter().map(|text| hanging_with_links(text, width, &first, &rest)).collect()
    };
    match one {
        Block::Paragraph(text) | Block::Note(text) => paragraph(text, width, ""),
        Block::Paragraphs(texts) => texts.iter().map(|text| paragraph(text, width, "")).collect(),
        Block::Subheading(text) => hanging(text, width, "  ", BELOW),
        Block::List(texts) => each(texts, "- "),
        Block::Listed(said, texts) => paragraph(said, width, "") + &each(texts, "- "),
        Block::Steps(texts) => (1..).zip(texts).map(|(n, text)| step(n, text, width)).collect(),
        Block::Columns(texts) => each(texts, ""),
        Block::Facts(facts) => {
            let names = widest(facts.iter().map(|fact| &*fact.name), NAMES, MOST_NAMES);
            let names = if width < NARROW { 0 } else { names };
            facts.iter().map(|one| fact(one, names, width)).collect()
        }
        Block::Copied(lines) => lines.clone(),
        Block::Tally(tallies) => tallies.iter().map(|one| tally(one, width)).collect(),
        Block::Answers(answers) => answers.iter().map(|one| answer(one, width)).collect(),
        Block::Table(table) => table.text(width),
        Block::Drawing(drawing) => paragraph(&drawing.caption, width, ""),
        Block::Beside(others, _) => others.iter().map(|one| block(one, indent, width)).collect(),
        Block::Either { letters, .. } => stacked(letters, indent, width),
    }
}

fn step(n: usize, text: &str, width: usize) -> String {
    hanging_with_links(text, width, &format!("  {n}. "), "     ")
}

fn fact(fact: &Fact, names: usize, width: usize) -> String {
    let said = match names {
        0 => hanging(
            format!("{}: {}", fact.name, fact.said).trim_start_matches(": "),
            width,
            "  ",
            "    ",
        ),
        _ => {
            let name = format!("  {:<names$} ", fact.name);
            hanging(&fact.said, width, &name, &" ".repeat(names + 3))
        }
    };
    match fact.source.is_empty() {
        true => said,
        false => said + &hanging_with_links(&fact.source, width, BELOW, BELOW),
    }
}

fn tally(tally: &Tally, width: usize) -> String {
    let text = format!("{} {}", Stress::Strong.on(&tally.value), tally.words);
    hanging(&text, width, "  ", "    ")
}

fn answer(answer: &Answer, width: usize) -> String {
    let text = format!("{} {}", Stress::Strong.on(&answer.question), answer.texts.join(" "));
    hanging(&text, width, "  ", "    ")
}
