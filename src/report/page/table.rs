//! Tables that print with their headings on every sheet and scroll sideways on a phone.

use std::borrow::Cow;

use maud::{Markup, html};

use crate::report::layout::held_together;

/// As long as a day: `2027-03-15`.
const SHORT: usize = 10;

/// A table of ready words.
#[derive(Clone, Debug)]
pub struct Table {
    /// What it is a table of.
    pub caption: String,
    /// In order; the first names the rows.
    pub columns: Vec<Column>,
    /// One cell a column; the first names the row. A cell alone is a heading over the rows that
    /// follow.
    pub rows: Vec<Vec<Cell>>,
}

/// A column with what stands in it.
#[derive(Clone, Debug)]
pub struct Column {
    /// May be empty.
    pub heading: Cow<'static, str>,
    /// What stands below, in each cell and under the heading. Where a column has it, a terminal
    /// gives each row a second line.
    pub under: &'static str,
    /// How its cells are set.
    pub kind: Kind,
    /// The headings of a strip: each in less room than the one before.
    pub strips: Vec<String>,
}

/// What stands in a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// What the row is about; the first column is always taken for one.
    Name,
    /// A word or two.
    Words,
    /// Figures stand at the right.
    Figures,
    /// Figures that are looked for first.
    Amount,
    /// Sentences.
    Note,
    /// Drawn in letters, for a terminal alone: a page has a drawing.
    Strip,
}

/// A cell with, under it in small, what belongs to it.
#[derive(Clone, Debug, Default)]
pub struct Cell {
    /// What it says.
    pub text: String,
    /// In small, below it; may be empty.
    pub under: String,
    /// Something to look at: shown bold, with a mark.
    pub marked: bool,
    /// The name by which the figure can be traced; shown to who points at it.
    pub id: String,
    /// Of a strip: its lines in as much room as each heading of its column takes.
    pub strips: Vec<Vec<String>>,
}

impl Column {
    /// A column of words.
    pub const fn words(heading: &'static str) -> Self {
        Self::of(heading, Kind::Words)
    }

    /// The same, under a heading that is made up.
    pub fn headed(heading: String) -> Self {
        Self { heading: Cow::Owned(heading), ..Self::words("") }
    }

    /// Drawn in letters, under headings of which each takes less room than the one before.
    pub fn strip(strips: Vec<String>) -> Self {
        Self { strips, ..Self::of("", Kind::Strip) }
    }

    /// The same with something below each cell.
    pub fn over(self, under: &'static str) -> Self {
        Self { under, ..self }
    }

    /// A column of figures.
    pub const fn figures(heading: &'static str) -> Self {
        Self::of(heading, Kind::Figures)
    }

    /// A column of names.
    pub const fn name(heading: &'static str) -> Self {
        Self::of(heading, Kind::Name)
    }

    /// A column of figures that are looked for first.
    pub const fn amount(heading: &'static str) -> Self {
        Self::of(heading, Kind::Amount)
    }

    /// A column of sentences.
    pub const fn note(heading: &'static str) -> Self {
        Self::of(heading, Kind::Note)
    }

    const fn of(heading: &'static str, kind: Kind) -> Self {
        Self { heading: Cow::Borrowed(heading), under: "", kind, strips: Vec::new() }
    }

    /// Whether a page shows it.
    pub(super) fn is_on_pages(&self) -> bool {
        self.kind != Kind::Strip
    }

    fn is_figures(&self) -> bool {
        matches!(self.kind, Kind::Figures | Kind::Amount)
    }
}

impl Cell {
    /// A cell of one text.
    pub fn of(text: impl Into<String>) -> Self {
        Self { text: text.into(), ..Self::default() }
    }

    /// A strip: its lines, in less and less room.
    pub fn strip(strips: Vec<Vec<String>>) -> Self {
        Self { strips, ..Self::default() }
    }

    /// The same with something in small below it.
    pub fn under(self, under: impl Into<String>) -> Self {
        Self { under: under.into(), ..self }
    }

    /// The same, marked as something to look at or not.
    pub fn marked(self, marked: bool) -> Self {
        Self { marked, ..self }
    }

    /// The same under the name of its figure.
    pub fn id(self, id: impl Into<String>) -> Self {
        Self { id: id.into(), ..self }
    }
}

/// Where a name in a table leads to, if anywhere: given the heading over its rows, or nothing, and
/// the name.
pub type Leads<'a> = &'a dyn Fn(&str, &str) -> Option<String>;

/// Of a page that stands alone.
pub fn nowhere(_: &str, _: &str) -> Option<String> {
    None
}

/// Nothing for a table without rows.
pub fn table(table: &Table) -> Markup {
    leading_table(table, &nowhere)
}

/// The same whose names lead somewhere.
pub fn leading_table(table: &Table, leads: Leads<'_>) -> Markup {
    if table.rows.is_empty() {
        return html! {};
    }
    html! {
        div.scrolls tabindex="0" role="region" aria-label={ "Table: " (table.caption) } {
            table {
                caption { span { (held_together(&table.caption)) } }
                @if table.columns.iter().any(|column| !column.heading.is_empty()) {
                    thead { tr { @for column in shown(&table.columns) { (heading(column)) } } }
                }
                tbody {
                    @for (cells, over) in table.rows.iter().zip(headings(&table.rows)) {
                        tr { (row(&table.columns, cells, &|name| leads(over, name))) }
                    }
                }
            }
        }
    }
}

fn shown(columns: &[Column]) -> impl Iterator<Item = &Column> {
    columns.iter().filter(|column| column.is_on_pages())
}

/// Where nothing heads a column, it is no heading.
fn heading(column: &Column) -> Markup {
    let class = column.is_figures().then_some("figures");
    html! {
        @if column.heading.is_empty() { td class=[class] {} }
        @else { th scope="col" class=[class] {
            (held_together(&column.heading))
            @if !column.under.is_empty() { span.under { (column.under) } }
        } }
    }
}

/// The heading over each row, or nothing.
fn headings(rows: &[Vec<Cell>]) -> impl Iterator<Item = &str> {
    rows.iter().scan("", |over, cells| {
        if let [heading] = cells.as_slice() {
            *over = &heading.text;
        }
        Some(*over)
    })
}

fn row(columns: &[Column], cells: &[Cell], leads: &dyn Fn(&str) -> Option<String>) -> Markup {
    if let ([shared], true) = (cells, columns.len() > 1) {
        return html! { th scope="rowgroup" colspan=(shown(columns).count()) { (inside(shared)) } };
    }
    html! {
        @for (n, (column, cell)) in columns.iter().zip(cells).enumerate().filter(|it| it.1.0.is_on_pages()) {
            @if n == 0 {
                th scope="row" { (linked(cell, leads)) }
            } @else {
                td class=[class(column, cell)] { (linked(cell, leads)) }
            }
        }
    }
}

/// Figures and single short words are never broken; sentences have room, where a table scrolls.
fn class(column: &Column, cell: &Cell) -> Option<&'static str> {
    let is_short = || cell.text.len() <= SHORT && !cell.text.contains(' ');
    match column.kind {
        Kind::Figures | Kind::Amount => Some("figures"),
        Kind::Note => Some("says"),
        _ => is_short().then_some("whole"),
    }
}

fn linked(cell: &Cell, leads: &dyn Fn(&str) -> Option<String>) -> Markup {
    match leads(&cell.text) {
        None => inside(cell),
        Some(to) => {
            let name = Cell { under: String::new(), ..cell.clone() };
            html! {
                a href=(to) { (inside(&name)) }
                @if !cell.under.is_empty() { span.under { (held_together(&cell.under)) } }
            }
        }
    }
}

fn inside(cell: &Cell) -> Markup {
    html! {
        @let id = Some(&cell.id).filter(|id| !id.is_empty());
        @let text = held_together(&cell.text);
        @if cell.marked {
            strong.mark title=[id] { "▲ " (text) }
        } @else if id.is_some() {
            span title=[id] { (text) }
        } @else {
            (text)
        }
        @if !cell.under.is_empty() { span.under { (held_together(&cell.under)) } }
    }
}
