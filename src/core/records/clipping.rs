//! One day of a recovery test: the marked squares are cut, and what they gave is weighed.

use std::fmt;
use std::str::FromStr;
use std::sync::Arc;

use jiff::civil::Date;

use super::column::{AMOUNT, Column, NOTE, Need, PATCH};
use super::declared::{Written, fields};
use super::{Contradiction, Cut, Land, PatchName, Recorded, SiteName, Taken};
use crate::units::{Amount, Measure, SquareMetres};

/// What the marked squares gave on one of the two days of a test.
#[derive(Clone, Debug, PartialEq)]
pub struct Clipping {
    /// Where the squares lie.
    pub patch: PatchName,
    /// The day on which the test was begun; `None` on that day itself.
    pub begun: Option<Date>,
    /// Whether the same squares are cut twice, or pairs are compared.
    pub design: TestDesign,
    /// How many squares were cut that are cut on both days; 1 or more.
    pub squares: u32,
    /// The area of one square.
    pub square: SquareMetres,
    /// The part of what stood in a square that was left standing.
    pub left: f64,
    /// What those squares gave, together.
    pub cut: Amount,
    /// Of pairs, on the second day: what the squares gave that had not been cut before.
    pub uncut: Option<Amount>,
    /// Somebody or something cut, grazed or trod a square in between.
    pub disturbed: bool,
    /// Where the squares are, one for each or for each pair.
    pub places: Vec<SquarePlace>,
    /// In words of one's own; kept out of every report.
    pub note: Option<Arc<str>>,
}

fields! { Clipping {
    patch: patch([PATCH]),
    begun: last_day([Column::text(
        "begun",
        Need::Optional,
        "the day on which the squares were cut first; empty on that day itself",
        "2027-03-14",
    )]),
    design: written([Column::text(
        "design", Need::Telling, "`pairs` or `same squares`", "pairs",
    )]),
    squares: how_many([Column::number(
        "squares", Need::Filled, "how many squares, or pairs of them, 1 to 100", "8",
    )]),
    square: area([Column::number(
        "square_m2", Need::Filled, "the area of one square in square metres, over 0, at most 25", "0.25",
    )]),
    left: part([Column::number(
        "left_standing",
        Need::Optional,
        "the part of what stood there that was left, from 0.1 to 0.5; empty for 0.25",
        "",
    )]),
    cut: amount(AMOUNT),
    uncut: cap([
        Column::number(
            "uncut_g",
            Need::Optional,
            "of pairs, on the second day: grams from the squares that had not been cut before",
            "900",
        ),
        Column::number(
            "uncut_count", Need::Optional, "the same in pieces, a whole number", "",
        ),
    ]),
    disturbed: yes_or_no([Column::text(
        "disturbed",
        Need::Optional,
        "`yes` where a square was cut, grazed or trodden in between; the test then tells nothing",
        "no",
    )]),
    places: list([Column::text(
        "places",
        Need::Optional,
        "where the squares are, each as longitude and latitude, like \
         `-3.21005 54.05012; -3.2101 54.0502`",
        "",
    )]),
    note: maybe_word([NOTE]),
} }

impl Recorded for Clipping {
    const NAME: &'static str = "clipping";
    const PLURAL: &'static str = "clippings";
    const WHAT: &'static str = "Clippings: a row for each of the two days on which the marked \
                                squares of a recovery test were cut and weighed.";
    const LAND: Land = Land::Patch;
    const IS_DEED: bool = true;

    fn site(&self) -> &SiteName {
        self.patch.site()
    }

    fn patch(&self) -> Option<&str> {
        Some(self.patch.patch())
    }

    fn key(&self, happened_on: Date, by: &str) -> String {
        format!("{} {happened_on} {by}", self.patch)
    }

    fn gist(&self) -> String {
        let squares = match (self.design, self.squares) {
            (TestDesign::Pairs, 1) => "a pair of squares".to_owned(),
            (TestDesign::Pairs, n) => format!("{n} pairs of squares"),
            (TestDesign::SameSquares, 1) => "a square".to_owned(),
            (TestDesign::SameSquares, n) => format!("{n} squares"),
        };
        let beside = self.uncut.map_or(String::new(), |uncut| format!(" beside {uncut} uncut"));
        let which = match self.begun {
            None => "first".to_owned(),
            Some(begun) => format!("again, begun on {begun}"),
        };
        format!("{} from {squares} of {}{beside}, {which}", self.cut, self.patch)
    }

    fn contradiction(&self) -> Option<Contradiction> {
        let (column, found, expected) = match (self.design, self.begun, self.uncut) {
            (TestDesign::Pairs, Some(_), None) => (
                "uncut_g",
                "nothing is said of the squares that had not been cut before".to_owned(),
                "what they gave on the second day, or `same squares` as the design",
            ),
            (TestDesign::Pairs, None, Some(uncut)) => (
                "uncut_g",
                format!("`{uncut}` of squares that are not cut on the first day"),
                "the day on which the test was begun, in `begun`, or nothing here",
            ),
            (TestDesign::SameSquares, _, Some(uncut)) => (
                "uncut_g",
                format!("`{uncut}` of uncut squares, where the same squares are cut twice"),
                "nothing here, or `pairs` as the design",
            ),
            (_, _, Some(uncut)) if uncut.measure != self.cut.measure => (
                "uncut_g",
                format!("`{uncut}` beside `{}`", self.cut),
                "both in grams, or both in pieces",
            ),
            _ => return None,
        };
        Some(Contradiction { column, found, expected })
    }
}

impl Clipping {
    /// The part left where nothing is said: three stems in four are cut.
    pub const LEFT: f64 = 0.25;
    /// The most squares that one test has: more is a slip.
    pub const MOST_SQUARES: u32 = 100;
    /// In square metres.
    pub const LARGEST_SQUARE: f64 = 25.0;
    /// The least that may be left standing, as a part.
    pub const LEAST_LEFT: f64 = 0.1;
    /// The most that may be left standing, as a part.
    pub const MOST_LEFT: f64 = 0.5;

    /// What was taken from the patch, as any other cut: squares are a small part of it, so that
    /// it is charged by weight.
    pub fn as_cut(&self) -> Cut {
        let (patch, amount) = (self.patch.clone(), self.taken());
        Cut { patch, amount, taken: Taken::ByWeight, people: None, method: None, walk: None }
    }

    /// All that was cut that day.
    pub fn taken(&self) -> Amount {
        let uncut = self.uncut.map_or(0.0, |uncut| uncut.value);
        let value = self.cut.value + uncut;
        match self.cut.measure {
            Measure::Mass => Amount::grams(value),
            Measure::Count => Amount::count(value),
        }
    }
}

/// How the squares are compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TestDesign {
    /// The same squares on both days: the second basket against the first.
    SameSquares,
    /// Neighbouring squares in pairs of which one is cut on the first day and both on the
    /// second: what was cut against what was not, on one day, so that the year and the season
    /// bear on both alike.
    Pairs,
}

impl TestDesign {
    /// Every way in which squares are laid out.
    pub const ALL: [Self; 2] = [Self::Pairs, Self::SameSquares];

    /// As files write it.
    pub fn name(self) -> &'static str {
        match self {
            Self::SameSquares => "same squares",
            Self::Pairs => "pairs",
        }
    }
}

impl fmt::Display for TestDesign {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.pad(self.name())
    }
}

impl Written for TestDesign {}

#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is no way to compare squares; write `pairs` or `same squares`")]
pub struct TestDesignError(String);

impl FromStr for TestDesign {
    type Err = TestDesignError;

    fn from_str(text: &str) -> Result<Self, TestDesignError> {
        let wanted = text.trim().to_ascii_lowercase().replace('-', " ");
        let found = Self::ALL.into_iter().find(|design| design.to_string() == wanted);
        found.ok_or_else(|| TestDesignError(text.to_owned()))
    }
}

/// Where a square is, in degrees on WGS84.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SquarePlace {
    /// East of Greenwich, in degrees.
    pub lon: f64,
    /// North of the equator, in degrees.
    pub lat: f64,
}

impl fmt::Display for SquarePlace {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.pad(&format!("{} {}", self.lon, self.lat))
    }
}

impl Written for SquarePlace {
    fn is_unusable(&self) -> Option<&'static str> {
        (!self.is_on_earth()).then_some("longitude and latitude in degrees")
    }
}

impl SquarePlace {
    fn is_on_earth(&self) -> bool {
        self.lon.abs() <= 180.0 && self.lat.abs() <= 90.0
    }
}

#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is no place; write longitude and latitude, like `-3.21005 54.05012`")]
pub struct SquarePlaceError(String);

impl FromStr for SquarePlace {
    type Err = SquarePlaceError;

    fn from_str(text: &str) -> Result<Self, SquarePlaceError> {
        let mut numbers = text.split_whitespace().map(str::parse::<f64>);
        match (numbers.next(), numbers.next(), numbers.next()) {
            (Some(Ok(lon)), Some(Ok(lat)), None) => Some(Self { lon, lat }),
            _ => None,
        }
        .filter(Self::is_on_earth)
        .ok_or_else(|| SquarePlaceError(text.to_owned()))
    }
}
