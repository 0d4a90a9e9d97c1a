//! What became of cells and of rows, for whoever says it.

use jiff::civil::Date;

/// What grows on a patch is not what the row says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OtherCrop {
    /// Its name.
    pub patch: String,
    /// What it bears.
    pub crop: String,
    /// What the row says.
    pub said: String,
}

/// What the cells say that their text does not, each with an example and how often.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Taken {
    /// A common or Latin name for a crop.
    CropName,
    /// A unit in the cell.
    Unit,
    /// A word of people's for one of files.
    Word,
    /// A gap for what stands above it.
    Gap,
    /// The middle of a range, or what is only about right.
    Rough,
    /// By eye anyway.
    ByEye,
}

/// Why a row comes back unread.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Held {
    /// As `intake` says it.
    Unreadable {
        /// The column of files; `None` for the row as a whole.
        field: Option<String>,
        /// What it says.
        found: String,
        /// Continues "expected …".
        expected: String,
    },
    /// It names a crop that its patch does not bear.
    OtherCrop(OtherCrop),
    /// Its amount is that of several rows together; has the column.
    Shared(String),
    /// What was seen or done cannot lie ahead.
    Ahead(Date),
    /// It belongs to one survey with a row that cannot be read.
    Beside(u64),
}
