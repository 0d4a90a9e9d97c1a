//! The cells of a row into the texts that files have.

use std::collections::{BTreeMap, HashMap};

use super::answers::{Answers, Rough};
use super::cell::{Cell, Row};
use super::day;
use super::evidence::Habits;
use super::header::Heading;
use super::lore::{Heard, Lore};
use super::quantity::{Mark, Measured, Quantity, Unit, measured, pointed, quantity, unit};
use super::question::Ask;
use super::roles::{Matched, Role, is_of_days, may_be_merged};
use super::words;
use crate::records::{Column, Crop, Form, Kind, folded};
use crate::units::Measure;

/// A mass or a number of pieces, as a file has it.
enum Amount {
    Grams(String),
    Pieces(String),
}

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

/// Turns rows into texts, and gathers what is to be asked and said.
pub(super) struct Reading<'r> {
    pub kind: Kind,
    pub matched: &'r [Matched],
    pub headings: &'r [Heading],
    pub habits: &'r Habits,
    pub answers: &'r Answers,
    pub lore: &'r Lore<'r>,
    /// The columns of the text.
    pub columns: Vec<&'static str>,
    pub asked: BTreeMap<Ask, usize>,
    pub taken: BTreeMap<Taken, (String, String, usize)>,
    heard: HashMap<(&'static str, String), Heard>,
    /// The last cell of each column that said anything.
    above: Vec<Cell>,
}

impl<'r> Reading<'r> {
    pub fn new(
        kind: Kind,
        (matched, headings): (&'r [Matched], &'r [Heading]),
        (habits, answers): (&'r Habits, &'r Answers),
        lore: &'r Lore<'r>,
    ) -> Self {
        let mut columns: Vec<&'static str> = Vec::new();
        let mut add = |name: &'static str| {
            if !columns.contains(&name) {
                columns.push(name);
            }
        };
        for one in matched {
            match one.role {
                Role::Field(column) => add(column.name),
                Role::Amount => ["mass_g", "count"].into_iter().for_each(&mut add),
                Role::SiteOfPatch | Role::CropOfPatch | Role::LeftOut => {}
            }
        }
        let all = crate::intake::columns(kind);
        all.iter()
            .filter(|column| answers.constant(column.name).is_some())
            .for_each(|c| add(c.name));
        if kind == Kind::Cut {
            add("taken");
        }
        Self {
            kind,
            matched,
            headings,
            habits,
            answers,
            lore,
            columns,
            asked: BTreeMap::new(),
            taken: BTreeMap::new(),
            heard: HashMap::new(),
            above: vec![Cell::Empty; matched.len()],
        }
    }

    pub fn ask(&mut self, ask: Ask) {
        *self.asked.entry(ask).or_default() += 1;
    }

    fn take(&mut self, taken: Taken, said: &str, meant: &str) {
        let (_, _, times) =
            self.taken.entry(taken).or_insert_with(|| (said.to_owned(), meant.to_owned(), 0));
        *times += 1;
    }

    /// The texts of a row, in the order of the columns.
    pub fn row(&mut self, row: &Row) -> Result<Vec<String>, OtherCrop> {
        let cells = self.filled(row);
        let mut values: Vec<String> =
            self.columns.iter().map(|name| self.constant(name).to_owned()).collect();
        let matched = self.matched;
        let at = |role: Role| matched.iter().position(|one| one.role == role);
        let site = at(Role::SiteOfPatch).map(|at| self.say(&cells[at])).filter(|s| !s.is_empty());
        let site = site.map(|site| self.place("site", &site));
        // The patch first: what grows there tells what its amounts are reckoned in.
        let mut crop = None;
        for (one, cell) in matched.iter().zip(&cells) {
            if let Role::Field(column) = one.role
                && column.name == "patch"
                && !cell.is_empty()
            {
                let patch = self.patch(&self.say(cell), site.as_deref());
                crop = self.lore.crop_of(&patch);
                self.put(&mut values, "patch", patch);
            }
        }
        if crop.is_none() {
            crop = self.constant_crop();
        }
        for (n, one) in matched.iter().enumerate() {
            let cell = &cells[n];
            if cell.is_empty() {
                continue;
            }
            match one.role {
                Role::Field(column) if column.name == "patch" => {}
                Role::Field(column) => {
                    let text = self.field(column, n, cell, crop);
                    self.put(&mut values, column.name, text);
                }
                Role::Amount => match self.amount(n, cell, crop) {
                    Ok(Amount::Grams(text)) => self.put(&mut values, "mass_g", text),
                    Ok(Amount::Pieces(text)) => self.put(&mut values, "count", text),
                    Err(text) => self.put(&mut values, "mass_g", text),
                },
                Role::CropOfPatch => self.is_the_crop(&self.say(cell), crop, &values)?,
                Role::SiteOfPatch | Role::LeftOut => {}
            }
        }
        Ok(values)
    }

    fn constant(&self, name: &str) -> &str {
        self.answers.constant(name).unwrap_or_default()
    }

    /// Of a patch that is said for all rows.
    fn constant_crop(&self) -> Option<&'r Crop> {
        self.answers.constant("patch").and_then(|patch| self.lore.crop_of(patch))
    }

    fn put(&self, values: &mut [String], name: &str, text: String) {
        if let Some(at) = self.columns.iter().position(|column| *column == name)
            && !text.is_empty()
        {
            values[at] = text;
        }
    }

    /// The cells of the columns, with gaps filled where that is wished.
    fn filled(&mut self, row: &Row) -> Vec<Cell> {
        let mut cells: Vec<Cell> =
            self.matched.iter().map(|one| row.cell(one.at).clone()).collect();
        let (kind, matched) = (self.kind, self.matched);
        let may = |one: &Matched| may_be_merged(kind, one, matched);
        let is_filled = |(one, cell): (&Matched, &Cell)| {
            !cell.is_empty() && one.role != Role::LeftOut && !may(one)
        };
        // A row that says nothing but what others share is no row with a gap.
        let says_more = self.matched.iter().zip(&cells).any(is_filled);
        for (n, one) in self.matched.iter().enumerate() {
            if !cells[n].is_empty() {
                self.above[n] = cells[n].clone();
            } else if says_more && may(one) && !self.above[n].is_empty() {
                match self.answers.fill_down {
                    Some(true) => {
                        cells[n] = self.above[n].clone();
                        let (header, said) = (one.header.clone(), cells[n].to_string());
                        self.take(Taken::Gap, &header, &said);
                    }
                    Some(false) => {}
                    None => self.ask(Ask::Gap { header: one.header.clone() }),
                }
            }
        }
        cells
    }

    /// What a cell says, or what somebody said that it means.
    fn say(&self, cell: &Cell) -> String {
        match cell {
            Cell::Text(text) => self.answers.meant(text).unwrap_or(text).to_owned(),
            other => other.to_string(),
        }
    }

    fn field(
        &mut self,
        column: &'static Column,
        n: usize,
        cell: &Cell,
        crop: Option<&'r Crop>,
    ) -> String {
        let said = self.say(cell);
        if is_of_days(column) {
            let read = day::year_first(&said, self.habits.order, self.answers.year);
            return read.unwrap_or(said);
        }
        match column.name {
            "standing" => return self.standing(n, cell, crop),
            "site" | "crop" => return self.place(column.name, &said),
            "crops" => return self.crops(column, &said),
            _ if column.form == Form::Number => return self.number(column, n, cell, crop),
            "cover" => return said.trim_end_matches('%').trim_end().to_owned(),
            _ => {}
        }
        match words::in_cell(column, &said) {
            Some(meant) if meant != said => {
                self.take(Taken::Word, &said, meant);
                meant.to_owned()
            }
            _ => said,
        }
    }

    fn patch(&mut self, said: &str, site: Option<&str>) -> String {
        match site {
            Some(site) if self.has_column("patch") && !said.contains('/') => {
                self.place("patch", &format!("{site}/{said}"))
            }
            // Of what has its site in a column of its own.
            None if crate::intake::columns(self.kind).iter().any(|c| c.name == "site") => {
                said.to_owned()
            }
            _ => self.place("patch", said),
        }
    }

    fn has_column(&self, name: &str) -> bool {
        self.columns.contains(&name)
    }

    /// A name as the book has it; what nobody knows stays as it was written.
    fn place(&mut self, what: &'static str, said: &str) -> String {
        let key = (what, said.to_owned());
        let heard = match self.heard.get(&key) {
            Some(heard) => heard.clone(),
            None => {
                let heard = match what {
                    "patch" => self.lore.patch(said),
                    "site" => self.lore.site(said),
                    _ => self.lore.crop(said),
                };
                self.heard.insert(key, heard.clone());
                heard
            }
        };
        match heard {
            Heard::Is(name) => {
                if what == "crop" && folded(&name) != folded(said) {
                    self.take(Taken::CropName, said, &name);
                }
                name
            }
            // Somebody said that it is nothing else.
            Heard::Near(_) if self.answers.meant(said).is_some() => said.to_owned(),
            Heard::Near(near) => {
                let said = said.to_owned();
                self.ask(match what {
                    "patch" => Ask::Patch { said: said.clone(), near },
                    "site" => Ask::Site { said: said.clone(), near },
                    _ => Ask::Crop { said: said.clone(), near },
                });
                said
            }
            Heard::Unknown => said.to_owned(),
        }
    }

    fn crops(&mut self, column: &Column, said: &str) -> String {
        if let Some(meant) = words::in_cell(column, said) {
            self.take(Taken::Word, said, "every crop");
            return meant.to_owned();
        }
        let parts = said.split([';', ',', '&']).flat_map(|part| part.split(" and "));
        let names: Vec<String> = parts
            .map(str::trim)
            .filter(|part| !part.is_empty())
            .map(|part| {
                self.place("crop", self.answers.meant(part).unwrap_or(part).to_owned().as_str())
            })
            .collect();
        names.join("; ")
    }

    /// Whether the row says of its patch what the book says.
    fn is_the_crop(
        &mut self,
        said: &str,
        crop: Option<&'r Crop>,
        values: &[String],
    ) -> Result<(), OtherCrop> {
        let Some(crop) = crop else { return Ok(()) };
        let is_it = match self.lore.crop(said) {
            Heard::Is(name) => name == *crop.name,
            // One of several that are called so, or nearly, is near enough for a check.
            Heard::Near(names) => names.iter().any(|name| **name == *crop.name),
            Heard::Unknown => false,
        };
        let at = self.columns.iter().position(|name| *name == "patch");
        let patch = at.map(|at| values[at].clone()).unwrap_or_default();
        let (crop, said) = (crop.name.to_string(), said.to_owned());
        if is_it { Ok(()) } else { Err(OtherCrop { patch, crop, said }) }
    }

    /// A number as its column is reckoned.
    fn number(&mut self, column: &Column, n: usize, cell: &Cell, crop: Option<&'r Crop>) -> String {
        let own = measured(column.name);
        let of_header = self.unit_of(n).filter(|unit| Some(unit.of) == own);
        let said = self.say(cell);
        if let Cell::Number(_) = cell {
            return of_header.map_or(said.clone(), |unit| times(&said, unit.factor));
        }
        let Some(quantity) = quantity(&said) else { return said };
        let Some(number) = self.plain(n, &said, &quantity) else { return said };
        match unit(quantity.unit) {
            _ if quantity.unit.is_empty() => {
                of_header.map_or(number.clone(), |unit| times(&number, unit.factor))
            }
            Some(unit) if Some(unit.of) == own => {
                self.take(Taken::Unit, &said, &times(&number, unit.factor));
                times(&number, unit.factor)
            }
            _ if own == Some(Measured::Pieces) && is_piece(quantity.unit, crop) => number,
            _ => said,
        }
    }

    fn unit_of(&self, n: usize) -> Option<Unit> {
        let told = self.answers.unit(&self.matched[n].header).and_then(unit);
        told.or(self.headings[self.matched[n].at].unit)
    }

    /// `3 kg` for what stands there by eye; what is rough is so anyway.
    fn standing(&mut self, n: usize, cell: &Cell, crop: Option<&'r Crop>) -> String {
        match self.amount(n, cell, crop) {
            Ok(Amount::Grams(grams)) => format!("{grams}g"),
            Ok(Amount::Pieces(pieces)) => pieces,
            Err(said) => said,
        }
    }

    /// Grams or pieces; what is neither as it was written.
    fn amount(&mut self, n: usize, cell: &Cell, crop: Option<&'r Crop>) -> Result<Amount, String> {
        let said = self.say(cell);
        let header = self.matched[n].header.clone();
        let of_header = self.unit_of(n);
        let bare = |number: &str| match of_header {
            Some(Unit { of: Measured::Mass, factor }) => Some(Amount::Grams(times(number, factor))),
            Some(Unit { of: Measured::Pieces, .. }) => Some(Amount::Pieces(number.to_owned())),
            _ => None,
        };
        if let Cell::Number(_) = cell {
            return bare(&said).ok_or_else(|| {
                self.ask(Ask::Unit { header, number: said.clone() });
                said
            });
        }
        let quantity = quantity(&said).ok_or_else(|| said.clone())?;
        let number = self.plain(n, &said, &quantity).ok_or_else(|| said.clone())?;
        if quantity.unit.is_empty() {
            return bare(&number).ok_or_else(|| {
                self.ask(Ask::Unit { header, number: said.clone() });
                said
            });
        }
        match unit(quantity.unit) {
            Some(Unit { of: Measured::Mass, factor }) => {
                let grams = times(&number, factor);
                self.take(Taken::Unit, &said, &format!("{grams} g"));
                Ok(Amount::Grams(grams))
            }
            Some(Unit { of: Measured::Pieces, .. }) => Ok(Amount::Pieces(number)),
            Some(_) => Err(said),
            None => self.pieces(&said, &number, quantity.unit, crop),
        }
    }

    /// `3 bunches`: pieces where the crop is counted in them, else what one is said to weigh.
    fn pieces(
        &mut self,
        said: &str,
        number: &str,
        noun: &str,
        crop: Option<&'r Crop>,
    ) -> Result<Amount, String> {
        if is_piece(noun, crop) {
            return Ok(Amount::Pieces(number.to_owned()));
        }
        let one = singular(noun);
        let told = self.answers.meant(&one).or_else(|| self.answers.meant(noun)).map(str::to_owned);
        let Some(told) = told else {
            if let Some(crop) = crop {
                self.ask(Ask::Piece { noun: one, crop: crop.name.to_string() });
            }
            return Err(said.to_owned());
        };
        let each = quantity(&told).ok_or_else(|| said.to_owned())?;
        let factor: f64 = pointed(each.low, Mark::Point)
            .and_then(|each| each.parse().ok())
            .ok_or_else(|| said.to_owned())?;
        match (each.unit, unit(each.unit)) {
            (_, Some(Unit { of: Measured::Mass, factor: grams })) => {
                let all = times(number, factor * grams);
                self.take(Taken::Unit, said, &format!("{all} g"));
                Ok(Amount::Grams(all))
            }
            ("", _) => Ok(Amount::Pieces(times(number, factor))),
            (noun, _) if is_piece(noun, crop) => Ok(Amount::Pieces(times(number, factor))),
            _ => Err(said.to_owned()),
        }
    }

    /// The number with a decimal point; `None` where it is asked about, or cannot be read.
    fn plain(&mut self, n: usize, said: &str, quantity: &Quantity<'_>) -> Option<String> {
        let mark = self.habits.decimal.unwrap_or(Mark::Point);
        let low = pointed(quantity.low, mark)?;
        if !quantity.is_rough() {
            return Some(low);
        }
        let is_by_eye =
            matches!(self.matched[n].role, Role::Field(column) if column.name == "standing");
        if is_by_eye && quantity.high.is_none() {
            self.take(Taken::ByEye, said, &low);
            return Some(low);
        }
        let middle = match quantity.high {
            None => low,
            Some(high) => {
                let (low, high): (f64, f64) =
                    (low.parse().ok()?, pointed(high, mark)?.parse().ok()?);
                if high < low {
                    return None;
                }
                Cell::Number(f64::midpoint(low, high)).to_string()
            }
        };
        match self.answers.rough {
            Some(Rough::Middle) => {
                self.take(Taken::Rough, said, &middle);
                Some(middle)
            }
            Some(Rough::Unread) => None,
            None => {
                let header = self.matched[n].header.clone();
                self.ask(Ask::Rough { header, amount: said.to_owned() });
                None
            }
        }
    }
}

/// Whether a noun is what one piece of a counted crop is called.
fn is_piece(noun: &str, crop: Option<&Crop>) -> bool {
    crop.is_some_and(|crop| {
        crop.measure == Measure::Count && singular(noun) == singular(&crop.piece)
    })
}

fn singular(noun: &str) -> String {
    let noun = folded(noun);
    let hisses = ["ches", "shes", "xes", "ses"].into_iter().any(|end| noun.ends_with(end));
    let cut = if hisses { "es" } else { "s" };
    noun.strip_suffix(cut).filter(|one| one.len() > 2).map(str::to_owned).unwrap_or(noun)
}

/// A number so many times; as it was written where that is once.
fn times(number: &str, factor: f64) -> String {
    match number.parse::<f64>() {
        Ok(value) if factor != 1.0 => Cell::Number(value * factor).to_string(),
        _ => number.to_owned(),
    }
}
