//! The cells of a row into the texts that files have.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use super::answers::Answers;
use super::became::{Held, OtherCrop, Taken};
use super::cell::{Cell, Row};
use super::day;
use super::evidence::Habits;
use super::header::Heading;
use super::lore::{Heard, Lore};
use super::question::Ask;
use super::roles::{Matched, Role, is_an_amount, is_of_days, may_be_merged};
use super::words;
use crate::records::{Column, Crop, Form, Kind, folded};

/// A mass or a number of pieces, as a file has it.
pub(super) enum Amount {
    Grams(String),
    Pieces(String),
}

/// Turns rows into texts, and gathers what is to be asked and said.
pub(super) struct Reading<'r> {
    pub kind: Kind,
    pub matched: &'r [Matched],
    pub headings: &'r [Heading],
    pub habits: &'r Habits,
    pub answers: &'r Answers,
    pub lore: &'r Lore<'r>,
    /// Lines and columns of merged cells.
    pub merged: &'r BTreeSet<(u64, usize)>,
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
        merged: &'r BTreeSet<(u64, usize)>,
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
            merged,
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

    pub(super) fn take(&mut self, taken: Taken, said: &str, meant: &str) {
        let (_, _, times) =
            self.taken.entry(taken).or_insert_with(|| (said.to_owned(), meant.to_owned(), 0));
        *times += 1;
    }

    /// The texts of a row, in the order of the columns.
    pub fn row(&mut self, row: &Row) -> Result<Vec<String>, Held> {
        if let Some(header) = self.shared(row) {
            return Err(Held::Shared(header));
        }
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
                Role::CropOfPatch => {
                    self.is_the_crop(&self.say(cell), crop, &values).map_err(Held::OtherCrop)?;
                }
                Role::SiteOfPatch | Role::LeftOut => {}
            }
        }
        Ok(values)
    }

    /// The column of an amount that a merged cell gives to several rows together.
    fn shared(&self, row: &Row) -> Option<String> {
        let is_shared =
            |one: &&Matched| is_an_amount(one.role) && self.merged.contains(&(row.line, one.at));
        self.matched.iter().find(is_shared).map(|one| one.header.clone())
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
    pub(super) fn say(&self, cell: &Cell) -> String {
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
}
