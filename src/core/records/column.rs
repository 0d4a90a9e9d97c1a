//! What a column of a CSV, or a property of a feature, is called and takes.
//!
//! Each kind of record declares its own, beside the record. The reader, the messages, the
//! templates and the tables of `sites/files.md` all go by them.

/// One column or property.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Column {
    /// As it stands in the header of a file.
    pub name: &'static str,
    /// Whether it may be left out, or left empty.
    pub need: Need,
    /// Whether it is written as a text or as a number.
    pub form: Form,
    /// Continues "expected …".
    pub expected: &'static str,
    /// A value as it may stand in a file; empty where an example row leaves it out.
    pub example: &'static str,
}

/// Whether a file can do without.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Need {
    /// In every row or feature.
    Filled,
    /// A column that tells a file's kind: it, or another such column of the kind, must be
    /// there, though cells may be empty.
    Telling,
    /// The column may be missing.
    Optional,
}

/// What a value looks like to a machine; GeoJSON writes numbers without quotes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// Stands in quotes.
    Text,
    /// Stands without quotes.
    Number,
}

impl Column {
    /// A column whose values are read as texts.
    pub const fn text(
        name: &'static str,
        need: Need,
        expected: &'static str,
        example: &'static str,
    ) -> Self {
        Self { name, need, form: Form::Text, expected, example }
    }

    /// A column whose values are numbers.
    pub const fn number(
        name: &'static str,
        need: Need,
        expected: &'static str,
        example: &'static str,
    ) -> Self {
        Self { name, need, form: Form::Number, expected, example }
    }
}

// Columns that several kinds have.

pub(super) const SITE: Column =
    Column::text("site", Need::Filled, "the name of a site", "north wood");

pub(super) const SITE_OF_PLACE: Column = Column::text(
    "site",
    Need::Filled,
    "the name of a site in this file or in the book",
    "north wood",
);

pub(super) const PATCH: Column = Column::text(
    "patch",
    Need::Filled,
    "the name of a patch, with its site where several have one: `north wood/bank`",
    "north wood/bank",
);

pub(super) const CROP: Column =
    Column::text("crop", Need::Filled, "the name of a crop in the catalogue", "nettle-tops");

/// A patch by its name, or by a crop and a position.
pub(super) const STAND: [Column; 5] = [
    Column::text(
        "patch",
        Need::Optional,
        "the name of a patch, like `north wood/bank`; or else `crop`, `lon` and `lat`",
        "north wood/bank",
    ),
    Column::text(
        "crop",
        Need::Optional,
        "the name of a crop in the catalogue; needed where no patch is named",
        "",
    ),
    Column::number("lon", Need::Optional, "degrees east, WGS84, from -180 to 180", ""),
    Column::number("lat", Need::Optional, "degrees north, WGS84, from -90 to 90", ""),
    Column::number(
        "accuracy_m",
        Need::Optional,
        "metres, more than 0, at most 1000; empty for 5",
        "",
    ),
];

/// The name of a patch beside a column `site`.
pub(super) const fn part_of_site(example: &'static str) -> Column {
    let expected = "the name of a patch of that site, without the site; empty for the whole site";
    Column::text("patch", Need::Optional, expected, example)
}

/// Grams or pieces.
pub(super) const AMOUNT: [Column; 2] = [
    Column::number("mass_g", Need::Optional, "a number of grams, 0 or more", "650"),
    Column::number("count", Need::Optional, "a whole number of pieces, 0 or more", ""),
];

pub(super) const fn taken(name: &'static str, need: Need) -> Column {
    let expected =
        "`all` of what was allowed, `part` of it, or `1 in 20` of what was seen; empty for all";
    Column::text(name, need, expected, "all")
}

pub(super) const DAY: Column =
    Column::text("day", Need::Filled, "the day of the walk, like `2027-03-20`", "2027-03-20");

pub(super) const RIPE: Column = Column::text(
    "ripe",
    Need::Optional,
    "of what comes once a year: how much of what will ripen this season is ripe, from `1 %` to \
     `100 %`; empty where all is, or nobody looked",
    "",
);

pub(super) const NOTE: Column = Column::text("note", Need::Optional, "plain words", "");

/// The day on which something was set down that stands until it is put right, where the file
/// may leave it out.
pub(super) const fn set_down(expected: &'static str) -> Column {
    Column::text("date", Need::Optional, expected, "")
}

/// The day of a deed, or of what bears no day of its own.
pub(super) const DATE: Column =
    Column::text("date", Need::Filled, "a day, year first, like `2027-03-14`", "2027-03-14");
