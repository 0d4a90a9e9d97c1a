//! The walks planned for a season: a row is what one walk wants of one thing.
//!
//! Plans are no facts: the book never takes them in.

use std::collections::BTreeMap;
use std::io::BufRead;
use std::sync::Arc;

use jiff::civil::Date;

use super::cells::Cells;
use super::lines::Lines;
use super::problem::{Finding, Place, Problems, quoted};
use super::table::next_row;
use super::tally::{Reported, Tally};
use super::value;
use crate::records::nearest;
use crate::units::{Amount, Measure, Season};

/// The columns of such a file, in any order.
pub const WALK_COLUMNS: [&str; 4] = ["date", "want", "mass_g", "count"];

/// One row.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedWalk {
    pub day: Date,
    /// A name among those that may be wanted.
    pub want: Arc<str>,
    pub amount: Amount,
}

/// What may be wanted, by name: crops, and parts in the kitchen, with what they are reckoned in.
pub type Wantable = BTreeMap<Arc<str>, Vec<Measure>>;

/// Reads the walks of a season; `file` is only named in messages.
///
/// # Errors
/// Everything that is wrong with the file.
pub fn read_walks(
    file: &str,
    text: impl BufRead,
    season: Season,
    wantable: &Wantable,
) -> Result<Vec<PlannedWalk>, Problems> {
    let mut tally = Tally::default();
    let reader = Reader { season, wantable };
    let walks = reader.read(text, &mut tally).unwrap_or_default();
    if tally.is_clean() && walks.is_empty() {
        let finding = Finding::new("no walk is planned in it", "a row for each walk");
        tally.report(&Place::WholeFile, None, finding);
    }
    if tally.is_clean() { Ok(walks) } else { Err(tally.into_problems(file)) }
}

struct Reader<'a> {
    season: Season,
    wantable: &'a Wantable,
}

/// Where each column stands in a row.
struct Header {
    places: [Option<usize>; WALK_COLUMNS.len()],
    width: usize,
}

impl Reader<'_> {
    fn read(&self, text: impl BufRead, tally: &mut Tally) -> Result<Vec<PlannedWalk>, Reported> {
        let mut lines = Lines::new(text);
        let mut cells = Cells::default();
        let Some(row) = next_row(&mut lines, tally)? else {
            let finding = Finding::new("it is empty", "a header row: date,want,mass_g,count");
            return Err(tally.report(&Place::WholeFile, None, finding));
        };
        cells.split(row.text);
        let header = Header::read(&cells, &Place::Line(row.line), tally)?;
        let mut walks = Vec::new();
        while let Some(row) = next_row(&mut lines, tally)? {
            let place = Place::Line(row.line);
            cells.split(row.text);
            // What is wrong with a row is in the tally; the next one is read all the same.
            if let Ok(walk) = self.walk(&header, &cells, &place, tally) {
                walks.push(walk);
            }
            if tally.has_enough() {
                break;
            }
        }
        Ok(walks)
    }

    fn walk(
        &self,
        header: &Header,
        cells: &Cells,
        place: &Place,
        tally: &mut Tally,
    ) -> Result<PlannedWalk, Reported> {
        let [date, want, mass, count] = header.arrange(cells, place, tally)?;
        let mut refuse = |field: &str, finding| tally.report(place, Some(field), finding);
        let day = self.day(date).map_err(|finding| refuse("date", finding));
        let wanted = self.want(want).map_err(|finding| refuse("want", finding));
        let (want, measures) = wanted?;
        let amount = amount(mass, count, &want, measures);
        let amount = amount.map_err(|(field, finding)| refuse(field, finding));
        Ok(PlannedWalk { day: day?, want, amount: amount? })
    }

    fn day(&self, text: &str) -> Result<Date, Finding> {
        const EXPECTED: &str = "a day, year first, like `2027-03-14`";
        let day = value::day(text).map_err(|finding| Finding {
            expected: finding.expected.or(Some(EXPECTED.to_owned())),
            ..finding
        })?;
        if self.season.contains(day) {
            return Ok(day);
        }
        let season = self.season;
        let found = format!("{} lies outside the season {season}", quoted(text));
        let (first, last) = (season.first_day(), season.last_day());
        Err(Finding::new(found, format!("a day from {first} to {last}")))
    }

    fn want(&self, text: &str) -> Result<(Arc<str>, &[Measure]), Finding> {
        if let Some((name, measures)) = self.wantable.get_key_value(text.to_lowercase().as_str()) {
            return Ok((name.clone(), measures));
        }
        let near = nearest(text, self.wantable.keys().map(ToString::to_string));
        let near = near.map_or(String::new(), |near| format!("; did you mean `{near}`?"));
        let found = format!("no patch that is played has {}{near}", quoted(text));
        let expected = "a crop, like `ramsons-leaf`, or a part in the kitchen, like `green leaf`";
        Err(Finding::new(found, expected))
    }
}

impl Header {
    fn read(cells: &Cells, place: &Place, tally: &mut Tally) -> Result<Self, Reported> {
        let names: Vec<&str> = cells.iter().collect();
        let place_of = |column: &str| names.iter().position(|name| is(column, name));
        let strange = names.iter().find(|name| !WALK_COLUMNS.iter().any(|column| is(column, name)));
        if let Some(strange) = strange {
            let finding = Finding::new(
                format!("{} is no column of planned walks", quoted(strange)),
                format!("the columns {}", WALK_COLUMNS.map(|name| format!("`{name}`")).join(", ")),
            );
            return Err(tally.report(place, None, finding));
        }
        let places = WALK_COLUMNS.map(place_of);
        let [date, want, mass, count] = places;
        for (found, column) in [(date, "date"), (want, "want"), (mass.or(count), "mass_g")] {
            if found.is_none() {
                let finding = Finding::new("this column is missing", "it in the header row");
                return Err(tally.report(place, Some(column), finding));
            }
        }
        Ok(Self { places, width: names.len() })
    }

    fn arrange<'c>(
        &self,
        cells: &'c Cells,
        place: &Place,
        tally: &mut Tally,
    ) -> Result<[&'c str; WALK_COLUMNS.len()], Reported> {
        let values: Vec<&str> = cells.iter().collect();
        if values.len() != self.width {
            let (found, width) = (values.len(), self.width);
            let found = format!("there are {found} fields where the header has {width}");
            return Err(tally.report(place, None, Finding::new(found, format!("{width}"))));
        }
        Ok(self.places.map(|at| at.map_or("", |at| values[at])))
    }
}

fn is(column: &str, name: &str) -> bool {
    name.eq_ignore_ascii_case(column)
}

fn amount(
    mass: &str,
    count: &str,
    want: &str,
    measures: &[Measure],
) -> Result<Amount, (&'static str, Finding)> {
    let more_than_nothing = |amount: Amount, field| {
        let nothing = || Finding::new("nothing is wanted", "more than 0");
        if amount.value > 0.0 { Ok(amount) } else { Err((field, nothing())) }
    };
    let told = |expected: &str| {
        let expected = expected.to_owned();
        move |finding: Finding| Finding { expected: finding.expected.or(Some(expected)), ..finding }
    };
    let misfit = |right: &str| Finding::new(format!("`{want}` is not reckoned so"), right);
    match (mass.is_empty(), count.is_empty()) {
        (false, true) if !measures.contains(&Measure::Mass) => {
            Err(("mass_g", misfit("a number of pieces in `count`")))
        }
        (true, false) if !measures.contains(&Measure::Count) => {
            Err(("count", misfit("a number of grams in `mass_g`")))
        }
        (false, true) => {
            let grams = value::mass(mass).map_err(told("a number of grams, more than 0"));
            more_than_nothing(Amount::grams(grams.map_err(|e| ("mass_g", e))?), "mass_g")
        }
        (true, false) => {
            let pieces = value::pieces(count).map_err(told("a whole number of pieces"));
            more_than_nothing(Amount::count(pieces.map_err(|e| ("count", e))?), "count")
        }
        (true, true) => Err(("mass_g", Finding::new("nothing is there", "how much is wanted"))),
        (false, false) => {
            let found = "both `mass_g` and `count` are given";
            Err(("mass_g", Finding::new(found, "one of them")))
        }
    }
}
