//! A table as text: the widest way of standing that has room, so that nothing is cut.

use unicode_width::UnicodeWidthStr;

use super::table::{Cell, Kind, Table};
use crate::report::layout::{BELOW, hanging, paragraph};
use crate::report::stress::Stress;

const INDENT: usize = 2;
const GAP: usize = 2;
/// The fewest cells in which a note reads well beside its row.
const NOTE: usize = 30;
/// The fewest cells that a name takes beside figures of two lines.
const LEAST_NAME: usize = 16;
/// So many figures in a row can be told a part at a time.
const MANY: usize = 8;

impl Table {
    /// A row of one cell alone is what the rows below it share.
    pub fn text(&self, width: usize) -> String {
        if self.rows.is_empty() {
            return String::new();
        }
        let laid = Laid::out(self, width);
        if let Some(parts) = laid.in_parts() {
            return parts;
        }
        let rows = self.rows.iter().map(|cells| match cells.as_slice() {
            [shared] if self.columns.len() > 1 => hanging(&shared.text, width, " ", "   "),
            cells => laid.lines(cells),
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
    /// Whether rows have a second line.
    is_paired: bool,
    /// Which headings and cells of the strips have room; `None` where there is none or no room.
    strip: Option<usize>,
    /// Cells of each column; none of one that is empty throughout.
    widths: Vec<usize>,
    width: usize,
}

impl<'t> Laid<'t> {
    fn out(table: &'t Table, width: usize) -> Self {
        let is_paired = table.columns.iter().any(|column| !column.under.is_empty());
        let finest_first =
            0..table.columns.iter().map(|column| column.strips.len()).max().unwrap_or(0);
        let mut strips: Vec<Option<usize>> = finest_first.map(Some).collect();
        if is_paired || strips.is_empty() {
            strips.push(None);
        }
        let stands: &[Stand] = match is_paired {
            true => &[Stand::Beside],
            false => &[Stand::Beside, Stand::Stacked, Stand::Under],
        };
        let tried = stands.iter().flat_map(|stand| strips.iter().map(|strip| (*stand, *strip)));
        let laid = |(stand, strip)| {
            let laid = Self { table, stand, is_paired, strip, widths: Vec::new(), width };
            laid.measured()
        };
        let last = || laid((Stand::Told, strips.last().copied().flatten()));
        tried.map(laid).find(|laid| laid.room(laid.stand) <= width).unwrap_or_else(last)
    }

    fn measured(mut self) -> Self {
        self.widths = (0..self.table.columns.len()).map(|n| self.widest(n)).collect();
        let others = self.room(Stand::Beside).saturating_sub(self.widths[0]);
        let below = self.names().skip(1).map(|n| self.widths[n] + INDENT).max().unwrap_or(0);
        self.widths[0] = match self.stand {
            Stand::Stacked => self.widths[0].max(below),
            Stand::Beside if self.is_paired => {
                self.widths[0].min(self.width.saturating_sub(others).max(LEAST_NAME))
            }
            _ => self.widths[0],
        };
        self
    }

    /// Cells of a column's widest line; none where it is empty throughout.
    fn widest(&self, n: usize) -> usize {
        let rows = self.table.rows.iter();
        let rows = rows.filter(|row| row.len() > 1 || self.table.columns.len() == 1);
        let cells = rows.filter_map(|row| row.get(n)).flat_map(|cell| self.cell(n, cell));
        match cells.map(|line| line.width()).max().unwrap_or(0) {
            0 => 0,
            widest => self.heading(n).iter().map(|line| line.width()).fold(widest, usize::max),
        }
    }

    /// The lines of a cell.
    fn cell(&self, n: usize, cell: &Cell) -> Vec<String> {
        match (self.kind(n), self.is_paired) {
            (Kind::Strip, _) => {
                self.strip.and_then(|strip| cell.strips.get(strip).cloned()).unwrap_or_default()
            }
            (_, false) => vec![shown(cell)],
            (_, true) => {
                let above = shown(&Cell { under: String::new(), ..cell.clone() });
                vec![above, self.below(n, &cell.under)]
            }
        }
    }

    fn heading(&self, n: usize) -> Vec<String> {
        let column = &self.table.columns[n];
        match (column.kind, self.is_paired) {
            (Kind::Strip, _) => {
                self.strip.and_then(|strip| column.strips.get(strip).cloned()).into_iter().collect()
            }
            (_, false) => vec![column.heading.to_string()],
            (_, true) => vec![column.heading.to_string(), self.below(n, column.under)],
        }
    }

    /// What is below a name stands a little to the right.
    fn below(&self, n: usize, under: &str) -> String {
        if n == 0 && !under.is_empty() { format!("  {under}") } else { under.to_owned() }
    }

    /// A strip beside figures of two lines takes all there is.
    fn indent(&self) -> usize {
        if self.is_paired && self.strip.is_some() { 0 } else { INDENT }
    }

    /// A row of a table in which many figures stand side by side, as months do, goes a part at a
    /// time where a whole one has no room.
    fn in_parts(&self) -> Option<String> {
        let figures: Vec<usize> = self.figures().collect();
        if self.stand == Stand::Beside || figures.len() < MANY {
            return None;
        }
        let part = |of: &[usize]| {
            let kept = || [0].into_iter().chain(of.iter().copied());
            let row = |row: &Vec<Cell>| match row.len() {
                1 => row.clone(),
                _ => kept().filter_map(|n| row.get(n).cloned()).collect(),
            };
            let columns = kept().map(|n| self.table.columns[n].clone()).collect();
            let rows = self.table.rows.iter().map(row).collect();
            Table { caption: String::new(), columns, rows }
        };
        [6, 4, 3, 2].into_iter().find_map(|many| {
            let parts: Vec<Table> = figures.chunks(many).map(part).collect();
            let fits = |part: &Table| Laid::out(part, self.width).stand == Stand::Beside;
            parts.iter().all(fits).then(|| parts.iter().map(|part| part.text(self.width)).collect())
        })
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
        self.indent() + names + figures
    }

    fn header(&self) -> String {
        let headings: Vec<Vec<String>> = (0..self.widths.len()).map(|n| self.heading(n)).collect();
        let is_empty = |lines: &Vec<String>| lines.iter().all(String::is_empty);
        if self.stand == Stand::Told || headings.iter().all(is_empty) {
            return String::new();
        }
        if self.is_paired {
            return self.pair(&headings);
        }
        let on_top = |n: usize| match self.kind(n) {
            Kind::Note if self.room(Stand::Beside) + GAP + NOTE > self.width => String::new(),
            _ => headings[n].first().cloned().unwrap_or_default(),
        };
        self.row(&(0..headings.len()).map(on_top).collect::<Vec<_>>())
    }

    fn lines(&self, cells: &[Cell]) -> String {
        let lines: Vec<Vec<String>> =
            cells.iter().enumerate().map(|(n, cell)| self.cell(n, cell)).collect();
        match (self.is_paired, self.stand) {
            (true, Stand::Beside) => self.pair(&lines),
            (true, _) => {
                let names = lines.first().map(|name| name.join(",").replace(",  ", ", "));
                let name = hanging(
                    names.unwrap_or_default().trim_end_matches(','),
                    self.width,
                    "  ",
                    "    ",
                );
                name + &self.told(&|n| lines.get(n).map_or(&[], Vec::as_slice))
            }
            (false, _) => {
                let first = lines.iter().map(|lines| lines.first().cloned().unwrap_or_default());
                self.row(&first.collect::<Vec<_>>())
            }
        }
    }

    /// A row of several lines. A name that is too long for its column stands on one of its own.
    fn pair(&self, lines: &[Vec<String>]) -> String {
        let line = |n: usize, of: usize| lines.get(n).and_then(|lines| lines.get(of));
        let indent = " ".repeat(self.indent());
        let most = lines.iter().map(Vec::len).max().unwrap_or(0);
        let mut text = String::new();
        for of in 0..most {
            let mut name = line(0, of).map_or("", String::as_str);
            if name.width() > self.widths[0] {
                text += &hanging(name, self.width, &indent, "    ");
                name = "";
            }
            let columns = [0].into_iter().chain(self.figures());
            let placed = columns.map(|n| match n {
                0 => self.placed(0, name),
                n => self.placed(n, line(n, of).map_or("", String::as_str)),
            });
            let placed = placed.collect::<Vec<_>>().join(&" ".repeat(GAP));
            if !placed.trim().is_empty() {
                text += &format!("{indent}{}\n", placed.trim_end());
            }
        }
        text
    }

    fn row(&self, cells: &[String]) -> String {
        let cell = |n: usize| cells.get(n).map_or("", String::as_str);
        let names: Vec<&str> = self.names().map(cell).filter(|name| !name.is_empty()).collect();
        let placed = |columns: &mut dyn Iterator<Item = usize>| {
            let placed: Vec<String> = columns.map(|n| self.placed(n, cell(n))).collect();
            placed.join(&" ".repeat(GAP))
        };
        let indent = " ".repeat(self.indent());
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
                    Stand::Told => self.told(&|n| cells.get(n..=n).unwrap_or_default()),
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
            Kind::Name | Kind::Words | Kind::Note | Kind::Strip => format!("{text}{gap}"),
        }
    }

    /// Each line of each figure behind what it is.
    fn told<'l>(&self, lines: &dyn Fn(usize) -> &'l [String]) -> String {
        let told = self.figures().flat_map(|n| {
            let headings = self.heading(n);
            let told = lines(n).iter().enumerate().filter(|(_, line)| !line.is_empty());
            let told = told.map(|(of, line)| {
                let heading = headings.get(of).map_or("", |heading| heading.trim());
                format!("{heading} {line}").trim_start().to_owned()
            });
            told.collect::<Vec<_>>()
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
