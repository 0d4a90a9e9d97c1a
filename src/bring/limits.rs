//! How much a file may hold, and why one cannot be opened at all.

/// The largest file, in bytes.
pub const MOST_BYTES: u64 = 64 << 20;
/// What a workbook may grow to when it is unpacked, in bytes: some four hundred thousand rows.
pub(super) const MOST_UNPACKED: u64 = 128 << 20;
/// Files within a workbook.
pub(super) const MOST_PARTS: usize = 2000;
pub(super) const MOST_SHEETS: usize = 100;
/// The most rows of a sheet: as many as spreadsheets have (ECMA-376, part 1, 18.3.1.73).
pub(super) const MOST_ROWS: u64 = 1 << 20;
pub(super) const MOST_COLUMNS: usize = 400;
/// Cells of all sheets together.
pub(super) const MOST_CELLS: usize = 6_000_000;

/// Why a file is no table that can be read, with the way out.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Unopened {
    /// The file has too many bytes.
    #[error("it is larger than {} MB; bring it in parts", MOST_BYTES >> 20)]
    Bytes,
    /// A packed file would grow too large.
    #[error(
        "it grows to more than {} MB when it is unpacked, as no table of a season does; save the \
         sheets that are wanted as CSV",
        MOST_UNPACKED >> 20
    )]
    Unpacked,
    /// A sheet has too many rows.
    #[error("it has more than {MOST_ROWS} rows; bring it in parts")]
    Rows,
    /// A row has too many columns.
    #[error(
        "it has more than {MOST_COLUMNS} columns; keep those that are wanted, or save it as CSV"
    )]
    Columns,
    /// A sheet has too many cells.
    #[error("it has more than {MOST_CELLS} cells; bring it in parts")]
    Cells,
    /// A workbook has too many sheets.
    #[error("it has more than {MOST_SHEETS} sheets; save those that are wanted by themselves")]
    Sheets,
    /// It opens with a password only.
    #[error("it is locked by a password; save it without one")]
    Locked,
    /// It is some other sort of file; has which.
    #[error("it is {0}, and no table; save it as XLSX, ODS or CSV")]
    Other(&'static str),
    /// It cannot be taken apart; has what its reader says.
    #[error("it is damaged, or no workbook ({0}); open it and save it anew as XLSX, ODS or CSV")]
    Damaged(String),
    /// What looks like rows stands within quotes; has the line where they open.
    #[error(
        "line {0} opens a quote that closes only behind what looks like rows of their own, or behind \
         more than a cell holds; close it, or take it out"
    )]
    Quote(u64),
    /// No sheet of it has anything in it.
    #[error("there is nothing in it")]
    Empty,
}
