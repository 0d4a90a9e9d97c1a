//! Tables that print with their headings on every sheet and scroll sideways on a phone.

use std::borrow::Cow;

use maud::{Markup, html};

use crate::report::layout::held_together;

/// A table of ready words.
#[derive(Clone, Debug)]
pub struct Table {
    pub caption: String,
    pub columns: Vec<Column>,
    /// One cell a column; the first names the row. A cell alone is a heading over the rows that
    /// follow.
    pub rows: Vec<Vec<Cell>>,
}

#[derive(Clone, Debug)]
pub struct Column {
    pub heading: Cow<'static, str>,
    pub kind: Kind,
}

/// What stands in a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// What the row is about; the first column is always taken for one.
    Name,
    Words,
    /// Figures stand at the right.
    Figures,
    /// Figures that are looked for first.
    Amount,
    /// Sentences.
    Note,
}

/// A cell with, under it in small, what belongs to it.
#[derive(Clone, Debug, Default)]
pub struct Cell {
    pub text: String,
    pub under: String,
    /// Something to look at: shown bold, with a mark.
    pub marked: bool,
    /// The name by which the figure can be traced; shown to who points at it.
    pub id: String,
}

impl Column {
    pub const fn words(heading: &'static str) -> Self {
        Self::of(heading, Kind::Words)
    }

    pub fn headed(heading: String) -> Self {
        Self { heading: Cow::Owned(heading), kind: Kind::Words }
    }

    pub const fn figures(heading: &'static str) -> Self {
        Self::of(heading, Kind::Figures)
    }

    pub const fn name(heading: &'static str) -> Self {
        Self::of(heading, Kind::Name)
    }

    pub const fn amount(heading: &'static str) -> Self {
        Self::of(heading, Kind::Amount)
    }

    pub const fn note(heading: &'static str) -> Self {
        Self::of(heading, Kind::Note)
    }

    const fn of(heading: &'static str, kind: Kind) -> Self {
        Self { heading: Cow::Borrowed(heading), kind }
    }

    fn is_figures(&self) -> bool {
        matches!(self.kind, Kind::Figures | Kind::Amount)
    }
}

impl Cell {
    pub fn of(text: impl Into<String>) -> Self {
        Self { text: text.into(), ..Self::default() }
    }

    pub fn under(self, under: impl Into<String>) -> Self {
        Self { under: under.into(), ..self }
    }

    pub fn marked(self, marked: bool) -> Self {
        Self { marked, ..self }
    }

    pub fn id(self, id: impl Into<String>) -> Self {
        Self { id: id.into(), ..self }
    }
}

/// Nothing for a table without rows.
pub fn table(table: &Table) -> Markup {
    if table.rows.is_empty() {
        return html! {};
    }
    html! {
        div.scrolls tabindex="0" role="region" aria-label=(table.caption) {
            table {
                caption { span { (held_together(&table.caption)) } }
                thead {
                    tr {
                        @for column in &table.columns {
                            th scope="col" class=[column.is_figures().then_some("figures")] { (held_together(&column.heading)) }
                        }
                    }
                }
                tbody { @for cells in &table.rows { tr { (row(&table.columns, cells)) } } }
            }
        }
    }
}

fn row(columns: &[Column], cells: &[Cell]) -> Markup {
    if let ([shared], true) = (cells, columns.len() > 1) {
        return html! { th scope="rowgroup" colspan=(columns.len()) { (inside(shared)) } };
    }
    html! {
        @for (n, (column, cell)) in columns.iter().zip(cells).enumerate() {
            @if n == 0 {
                th scope="row" { (inside(cell)) }
            } @else {
                td class=[column.is_figures().then_some("figures")] { (inside(cell)) }
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
