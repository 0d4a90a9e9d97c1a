//! The same document as text for a terminal: no name and no number is ever cut, at any width.

use unicode_width::UnicodeWidthStr;

use super::document::{Answer, Block, Document, Fact, Section, Tally};
use super::table::{Cell, Kind, Table};
use crate::report::layout::{BELOW, hanging, hanging_with_links, paragraph, widest};
use crate::report::stress::Stress;

const INDENT: usize = 2;
const GAP: usize = 2;
/// The fewest cells in which a note reads well beside its row.
const NOTE: usize = 30;
/// The fewest and the most cells that the names of facts take.
const NAMES: usize = 15;
const MOST_NAMES: usize = 20;

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
        format!("\n{}", self.alone(width))
    }

    /// As all that is said.
    pub fn alone(&self, width: usize) -> String {
        let mut text = match &*self.heading {
            "" => String::new(),
            heading => hanging(&shouted(heading), width, "", "  "),
        };
        for (n, one) in self.blocks.iter().enumerate() {
            let is_headed = n > 0 && matches!(self.blocks[n - 1], Block::Subheading(_));
            if n > 0 && !is_headed && !matches!(one, Block::Subheading(_)) {
                text.push('\n');
            }
            text += &block(one, if is_headed { BELOW } else { "  " }, width);
        }
        text
    }
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
            facts.iter().map(|one| fact(one, names, width)).collect()
        }
        Block::Copied(lines) => lines.clone(),
        Block::Tally(tallies) => tallies.iter().map(|one| tally(one, width)).collect(),
        Block::Answers(answers) => answers.iter().map(|one| answer(one, width)).collect(),
        Block::Table(table) => table.text(width),
        Block::Drawing(drawing) => paragraph(&drawing.caption, width, ""),
        Block::Beside(others, _) => others.iter().map(|one| block(one, indent, width)).collect(),
    }
}

fn step(n: usize, text: &str, width: usize) -> String {
    hanging_with_links(text, width, &format!("  {n}. "), "     ")
}

fn fact(fact: &Fact, names: usize, width: usize) -> String {
    let name = format!("  {:<names$} ", fact.name);
    let said = hanging(&fact.said, width, &name, &" ".repeat(names + 3));
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

impl Table {
    /// A row of one cell alone is what the rows below it share.
    pub fn text(&self, width: usize) -> String {
        if self.rows.is_empty() {
            return String::new();
        }
        let laid = Laid::out(self, width);
        let rows = self.rows.iter().map(|cells| match cells.as_slice() {
            [shared] if self.columns.len() > 1 => hanging(&shared.text, width, " ", "   "),
            cells => laid.row(&cells.iter().map(shown).collect::<Vec<_>>()),
        });
        laid.header() + &rows.collect::<String>()
    }
}

fn shown(cell: &Cell) -> String {
    match (&*cell.under, cell.marked) {
        ("", true) => Stress::Danger.on(&cell.text),
        ("", false) => cell.text.clone(),
        (under, _) => format!("{} ({under})", cell.text),
    }
}

/// How the cells of a row stand, the widest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stand {
    /// All on one line.
    Beside,
    /// All but the first name, which stand below it.
    Stacked,
    /// The names on a line of their own, the figures below.
    Under,
    /// The names, and below them each figure behind what it is.
    Told,
}

struct Laid<'t> {
    table: &'t Table,
    stand: Stand,
    /// Cells of each column; none of one that is empty throughout.
    widths: Vec<usize>,
    width: usize,
}

impl<'t> Laid<'t> {
    fn out(table: &'t Table, width: usize) -> Self {
        let rows = || table.rows.iter().filter(|row| row.len() > 1 || table.columns.len() == 1);
        let column = |n: usize| {
            let cells = rows().filter_map(move |row| row.get(n)).map(|cell| shown(cell).width());
            match cells.max().unwrap_or(0) {
                0 => 0,
                widest => widest.max(table.columns[n].heading.width()),
            }
        };
        let widths = (0..table.columns.len()).map(column).collect();
        let mut laid = Self { table, stand: Stand::Beside, widths, width };
        laid.stand = [Stand::Beside, Stand::Stacked, Stand::Under]
            .into_iter()
            .find(|stand| laid.room(*stand) <= width)
            .unwrap_or(Stand::Told);
        if laid.stand == Stand::Stacked {
            let below = laid.names().skip(1).map(|n| laid.widths[n] + INDENT).max().unwrap_or(0);
            laid.widths[0] = laid.widths[0].max(below);
        }
        laid
    }

    fn kind(&self, n: usize) -> Kind {
        self.table.columns[n].kind
    }

    fn of_kind(&self, is: fn(Kind) -> bool) -> impl Iterator<Item = usize> + '_ {
        (0..self.widths.len()).filter(move |n| self.widths[*n] > 0 && is(self.kind(*n)))
    }

    /// The first column is one, whatever it holds.
    fn names(&self) -> impl Iterator<Item = usize> + '_ {
        let others = self.of_kind(|kind| kind == Kind::Name).filter(|n| *n > 0);
        [0].into_iter().chain(others)
    }

    fn figures(&self) -> impl Iterator<Item = usize> + '_ {
        self.of_kind(|kind| !matches!(kind, Kind::Name | Kind::Note)).filter(|n| *n > 0)
    }

    /// Cells that a line takes.
    fn room(&self, stand: Stand) -> usize {
        let figures: usize = self.figures().map(|n| self.widths[n] + GAP).sum();
        let below = self.names().skip(1).map(|n| self.widths[n]);
        let names = match stand {
            Stand::Beside => self.widths[0] + below.map(|width| width + GAP).sum::<usize>(),
            Stand::Stacked => {
                self.widths[0].max(below.map(|width| width + INDENT).max().unwrap_or(0))
            }
            Stand::Under | Stand::Told => return BELOW.len() + figures.saturating_sub(GAP),
        };
        INDENT + names + figures
    }

    fn header(&self) -> String {
        let headings = self.table.columns.iter().map(|column| column.heading.to_string());
        let headings: Vec<String> = headings.collect();
        let is_told = self.stand == Stand::Told;
        if is_told || headings.iter().all(String::is_empty) {
            return String::new();
        }
        let on_top = |n: usize| match self.kind(n) {
            Kind::Note if self.room(Stand::Beside) + GAP + NOTE > self.width => String::new(),
            _ => headings[n].clone(),
        };
        self.row(&(0..headings.len()).map(on_top).collect::<Vec<_>>())
    }

    fn row(&self, cells: &[String]) -> String {
        let cell = |n: usize| cells.get(n).map_or("", String::as_str);
        let names: Vec<&str> = self.names().map(cell).filter(|name| !name.is_empty()).collect();
        let placed = |columns: &mut dyn Iterator<Item = usize>| {
            let placed: Vec<String> = columns.map(|n| self.placed(n, cell(n))).collect();
            placed.join(&" ".repeat(GAP))
        };
        let indent = " ".repeat(INDENT);
        let line = match self.stand {
            Stand::Beside => {
                indent + &placed(&mut (0..self.widths.len()).filter(|n| self.is_placed(*n)))
            }
            Stand::Stacked => {
                let first = placed(&mut [0].into_iter().chain(self.figures()));
                let below = names.iter().skip(1).map(|name| format!("\n    {name}"));
                format!("{indent}{}{}", first.trim_end(), below.collect::<String>())
            }
            Stand::Under | Stand::Told => {
                let above = hanging(&names.join(", "), self.width, &indent, "    ");
                let below = match self.stand {
                    Stand::Told => self.told(&cell),
                    _ => format!("{BELOW}{}\n", placed(&mut self.figures()).trim_end()),
                };
                format!("{above}{}", if below.trim().is_empty() { "" } else { &below })
            }
        };
        let note = self.of_kind(|kind| kind == Kind::Note).map(cell).find(|note| !note.is_empty());
        self.noted(&line, note.unwrap_or_default())
    }

    fn is_placed(&self, n: usize) -> bool {
        n == 0 || (self.widths[n] > 0 && self.kind(n) != Kind::Note)
    }

    fn placed(&self, n: usize, text: &str) -> String {
        let gap = " ".repeat(self.widths[n].saturating_sub(text.width()));
        match self.kind(n) {
            Kind::Amount => gap + &Stress::Strong.on(text),
            Kind::Figures => gap + text,
            Kind::Name | Kind::Words | Kind::Note => format!("{text}{gap}"),
        }
    }

    fn told(&self, cell: &dyn Fn(usize) -> &'t str) -> String {
        let told = self.figures().filter(|n| !cell(*n).is_empty()).map(|n| {
            let heading = &*self.table.columns[n].heading;
            format!("{heading} {}", cell(n)).trim_start().to_owned()
        });
        let told: Vec<String> = told.collect();
        if told.is_empty() { String::new() } else { paragraph(&told.join("; "), self.width, BELOW) }
    }

    /// With the note beside it where there is room, or else below.
    fn noted(&self, line: &str, note: &str) -> String {
        let line = line.trim_end();
        if note.is_empty() {
            return format!("{line}\n");
        }
        let from = self.room(Stand::Beside) + GAP;
        if self.stand == Stand::Beside && from + note.width().min(NOTE) <= self.width {
            let first = format!("{line}{}", " ".repeat(from.saturating_sub(line.width())));
            return hanging(note, self.width, &first, &" ".repeat(from));
        }
        format!("{line}\n{}", paragraph(note, self.width, BELOW))
    }
}
