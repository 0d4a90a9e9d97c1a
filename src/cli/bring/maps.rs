//! `stintbook bring` of maps: what they draw is shown, and recorded where wished.

use std::path::{Path, PathBuf};
use std::slice;

use super::asked::Bring;
use super::keyboard;
use super::map_asked::{kind, signed};
use super::mappings::Mappings;
use super::tables::bytes;
use crate::bring::{
    KeptMap, MOST_BYTES, MapQuestion, MapShape, StraightMap, Told, UnclearMap, straighten_map,
};
use crate::cli::context::Context;
use crate::cli::failure::{Failure, Status};
use crate::cli::load::take_in;
use crate::cli::reading::Source;
use crate::cli::recording::Answered;
use crate::cli::walk;
use crate::desk::Asked;
use crate::maps::{self, Drawing, System};
use crate::report::layout::{hanging, paragraph};
use crate::report::{map_form, map_prompt, receipt};
use crate::units::noun_for;

/// A map that can be recorded, and what to keep for the next like it.
struct Ready {
    file: PathBuf,
    straight: StraightMap,
    shape: MapShape,
    kept: KeptMap,
}

/// Shows how maps are read, or records what all of them say in one act; nothing where all files are
/// tables.
///
/// # Errors
/// What is wrong with them, and what is unclear where nobody can be asked.
pub fn run(context: &Context, asked: &Bring) -> Result<Option<Status>, Failure> {
    let Some(maps) = maps_among(context, &asked.files)? else { return Ok(None) };
    let told =
        asked.map.told(asked.kind.as_deref().map(kind).transpose().map_err(Failure::wrong)?)?;
    let mappings = Mappings::of(context)?;
    let mut reading = Reading {
        context,
        asked,
        told,
        system: asked.map.system.as_deref(),
        mappings: &mappings,
        replies: asked.replies.iter(),
    };
    let read = maps.iter().map(|(file, bytes)| reading.settled(file, bytes));
    // All that is wrong with any of them at once.
    let (ready, wrong): (Vec<_>, Vec<_>) = read.partition(Result::is_ok);
    Failure::all(wrong.into_iter().filter_map(Result::err)).map_err(|failure| match failure {
        Failure::Wrong(why) if !why.ends_with("nothing was recorded") => {
            Failure::Wrong(format!("{why}\n  (nothing was recorded)"))
        }
        other => other,
    })?;
    let ready: Option<Vec<Ready>> = ready.into_iter().flatten().collect();
    // A form asks.
    let Some(ready) = ready else { return Ok(Some(Status::Done)) };
    if !asked.yes {
        let shown: String = ready.iter().map(|map| proposal(map, context.width)).collect();
        if keyboard::is_there(context) {
            context.print(&shown)?;
            if !keyboard::is_wished(context)? {
                return Ok(Some(Status::Done));
            }
        } else {
            context.print(&(shown + &paragraph(receipt::ONLY_SHOWN, context.width, "")))?;
            return Ok(Some(Status::Done));
        }
    }
    record(context, &mappings, ready, &asked.answered)?;
    Ok(Some(Status::Done))
}

/// A file, and all that is in it.
type Whole<'f> = (&'f PathBuf, Vec<u8>);

/// The files with all that is in them, where they are maps; nothing where they are tables.
///
/// # Errors
/// Maps and tables together, and what cannot be read.
fn maps_among<'f>(
    context: &Context,
    files: &'f [PathBuf],
) -> Result<Option<Vec<Whole<'f>>>, Failure> {
    let mut maps = Vec::new();
    let mut table = None;
    for file in files {
        // What can be read once only is a table's.
        if !context.has_file(file) {
            return Ok(None);
        }
        let bytes = bytes(context, file)?;
        // Whatever is too large, tables refuse.
        if bytes.len() as u64 > MOST_BYTES {
            return Ok(None);
        }
        if maps::is_map(&file.to_string_lossy(), &bytes) {
            maps.push((file, bytes));
        } else {
            table = Some(file);
        }
    }
    match (maps.first(), table) {
        (None, _) => Ok(None),
        (Some((map, _)), Some(table)) => {
            let (map, table) = (map.display(), table.display());
            Err(Failure::Wrong(format!(
                "{map} is a map and {table} is a table; bring one after the other"
            )))
        }
        (Some(_), None) => Ok(Some(maps)),
    }
}

/// In one act, and then keeps what was told.
fn record(
    context: &Context,
    mappings: &Mappings,
    ready: Vec<Ready>,
    answered: &Answered,
) -> Result<(), Failure> {
    let mut book = context.open()?;
    let mut sources = Vec::new();
    let mut to_keep = Vec::new();
    for Ready { file, straight, shape, kept } in ready {
        sources.push(Source::Held { path: file, text: straight.text.into_bytes().into() });
        to_keep.push((shape, kept));
    }
    let (taken, gone) = take_in(context, &mut book, &sources, None, &answered.answers())?;
    context.print(&taken)?;
    for (shape, kept) in to_keep {
        if let Some(path) = mappings.keep_map(&shape, &kept)? {
            let said = receipt::told_kept(&path);
            context.print(&paragraph(&said, context.width, ""))?;
        }
    }
    walk::forget::end_of(context, &book, &gone)
}

/// How maps are read: by what was told, by what was kept of it before, and by what is replied; what
/// was replied of one goes for the next.
struct Reading<'c> {
    context: &'c Context,
    asked: &'c Bring,
    told: Told,
    system: Option<&'c str>,
    mappings: &'c Mappings,
    replies: slice::Iter<'c, String>,
}

/// A map while it is asked about.
struct Opened<'c> {
    file: &'c Path,
    stem: String,
    drawing: Drawing,
    shape: MapShape,
    system: Option<&'c str>,
}

impl<'c> Reading<'c> {
    /// Asked about until it is clear; nothing where a form asks on.
    ///
    /// # Errors
    /// What is wrong with it, and what is unclear where nobody can be asked.
    fn settled(&mut self, file: &'c Path, bytes: &[u8]) -> Result<Option<Ready>, Failure> {
        let opened = self.opened(file, bytes)?;
        let mut is_shown = false;
        loop {
            let unclear = match self.read(&opened, &self.told)? {
                Ok(ready) => return Ok(Some(ready)),
                Err(unclear) => unclear,
            };
            let shown = file.display();
            let refused = || Failure::Wrong(format!("{shown}: {}", unclear.told.join("\n  ")));
            let Some(question) = unclear.questions.first() else { return Err(refused()) };
            let mut heard = self.told.clone();
            if let Some(reply) = self.replies.next() {
                if !question.ask.hear(reply, &mut heard) {
                    self.context.asks(by_form(question));
                    return Err(Failure::Wrong(format!("`{reply}` is no answer to that")));
                }
                self.told = heard;
                continue;
            }
            self.context.asks(by_form(question));
            if self.context.is_kept() && !self.asked.yes {
                self.context.print(&questions(&opened, &unclear, self.context.width))?;
                return Ok(None);
            }
            if self.asked.yes || !keyboard::is_there(self.context) {
                return Err(refused());
            }
            if !is_shown {
                self.context.print(&questions(&opened, &unclear, self.context.width))?;
                is_shown = true;
            }
            let reply = keyboard::reply(self.context, &map_prompt(question))?;
            if !question.ask.hear(&reply, &mut heard) {
                self.context.print(&format!("{}\n", receipt::NO_ANSWER))?;
                continue;
            }
            match self.read(&opened, &heard)? {
                // It was an answer, and made something wrong.
                Err(next) if !next.wrong.is_empty() => {
                    self.context.print(&format!("{}\n", next.wrong.join("\n")))?;
                }
                _ => self.told = heard,
            }
        }
    }

    /// # Errors
    /// What is wrong with the file.
    fn opened(&self, file: &'c Path, bytes: &[u8]) -> Result<Opened<'c>, Failure> {
        let name = file.file_name().map_or_else(String::new, |name| name.to_string_lossy().into());
        let stem: String =
            file.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().into());
        let beside = self.beside(file, &name)?;
        let (drawing, system) = self
            .drawing(&name, &stem, bytes, &beside)
            .map_err(|why| Failure::Wrong(format!("{}: {why}", file.display())))?;
        let shape = MapShape::of(&drawing, &stem);
        Ok(Opened { file, stem, drawing, shape, system })
    }

    /// As it is read by what is told and kept, or what is unclear of it.
    ///
    /// # Errors
    /// A catalogue that cannot be read.
    fn read(&self, map: &Opened<'_>, told: &Told) -> Result<Result<Ready, UnclearMap>, Failure> {
        let known = self.mappings.for_map(&map.shape);
        let told = match known {
            Some((_, kept)) => kept.below(told.clone(), &map.stem),
            None => told.clone(),
        };
        let kept = KeptMap::of(&map.shape, &told, map.system, &map.stem);
        let catalogue = self.context.catalogue()?;
        let crop = |name: &str| {
            let meant = catalogue.meant(name).map(|crop| crop.name.to_string());
            meant.map_err(|error| error.to_string())
        };
        let told = signed(self.context, self.asked.account.as_deref(), told);
        Ok(straighten_map(&map.drawing, &told, crop).map(|mut straight| {
            if let Some((path, kept)) = known {
                let said = format!("read as kept in {}: {}", path.display(), kept.said());
                straight.remarks.insert(1, said);
            }
            Ready { file: map.file.to_owned(), straight, shape: map.shape.clone(), kept }
        }))
    }

    /// With the system that was told, or that a kept map of its shape has where it says none itself.
    fn drawing(
        &self,
        name: &str,
        stem: &str,
        bytes: &[u8],
        beside: &[(String, Vec<u8>)],
    ) -> Result<(Drawing, Option<&'c str>), String> {
        let read = |code: Option<&str>| {
            let system = code.map(System::of_code).transpose()?;
            maps::read(&maps::Source { name, bytes, beside, system: system.as_ref() })
        };
        let first = read(self.system);
        if first.is_ok() || self.system.is_some() {
            return first.map(|drawing| (drawing, self.system));
        }
        let by_kept = |code| {
            let drawing = read(Some(code)).ok()?;
            let kept = self.mappings.for_map(&MapShape::of(&drawing, stem));
            kept.is_some_and(|(_, kept)| kept.system() == Some(code)).then_some(drawing)
        };
        let mut kept = self.mappings.systems();
        match kept.find_map(|code| Some((by_kept(code)?, Some(code)))) {
            Some(found) => Ok(found),
            None => first.map(|drawing| (drawing, None)),
        }
    }

    /// The files that belong to it.
    fn beside(&self, file: &Path, name: &str) -> Result<Vec<(String, Vec<u8>)>, Failure> {
        let mut beside = Vec::new();
        for ending in maps::beside(name) {
            let other =
                [ending.to_string(), ending.to_uppercase()].map(|end| file.with_extension(end));
            let mut there = other.into_iter().filter(|other| self.context.has_file(other));
            if let Some(other) = there.next() {
                let bytes = bytes(self.context, &other)?;
                beside.push((other.display().to_string(), bytes));
            }
        }
        Ok(beside)
    }
}

fn by_form(question: &MapQuestion) -> Asked {
    let (said, replies, typed) = map_form(question);
    Asked { said, replies, typed }
}

/// All that is unclear, by numbers.
fn questions(map: &Opened<'_>, unclear: &UnclearMap, width: usize) -> String {
    let n = map.drawing.drawn.len();
    let head = format!("{}: {n} {}", map.file.display(), noun_for(n, "feature"));
    let mut said = paragraph(&head, width, "");
    said.push_str(&hanging(receipt::UNCLEAR, width, "  ", "  "));
    for (question, n) in unclear.questions.iter().zip(1..) {
        said.push_str(&hanging(&question.what(), width, &format!("  {n}. "), "     "));
    }
    said
}

fn proposal(map: &Ready, width: usize) -> String {
    let (name, straight) = (map.file.display(), &map.straight);
    let n = straight.features;
    let mut said = paragraph(&format!("{name}: {n} {}", noun_for(n, "feature")), width, "");
    let mut list = |lines: &[String], first: &str, rest: &str| {
        said.extend(lines.iter().map(|line| hanging(line, width, first, rest)));
    };
    list(&straight.remarks, "  - ", "    ");
    list(&straight.shown, "    ", "      ");
    said
}
