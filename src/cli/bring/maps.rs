//! `stintbook bring` of maps: what they draw is shown, and recorded where wished.

use std::io::Read;
use std::path::{Path, PathBuf};

use super::map_asked::{MapAnswers, kind, signed};
use super::mappings::Mappings;
use crate::bring::{KeptMap, MapShape, StraightMap, Told, straighten_map};
use crate::cli::context::Context;
use crate::cli::failure::{Failure, Status};
use crate::cli::load::take_in;
use crate::cli::reading::Source;
use crate::cli::recording::Answered;
use crate::cli::walk;
use crate::maps::{self, Drawing, System};
use crate::report::layout::{hanging, paragraph};
use crate::report::receipt;
use crate::units::noun_for;

/// The largest file, in bytes.
const MOST: u64 = 64 << 20;

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
/// What is wrong with them, and what is unclear.
pub fn run(
    context: &Context,
    files: &[PathBuf],
    asked: &MapAnswers,
    kind_of_all: Option<&str>,
    (yes, answered): (bool, &Answered),
) -> Result<Option<Status>, Failure> {
    let mut maps = Vec::new();
    let mut table = None;
    for file in files {
        // What can be read once only, or is larger than any map may be, is a table's.
        let is_larger = file.metadata().is_ok_and(|about| about.len() > MOST);
        if !context.has_file(file) || is_larger {
            return Ok(None);
        }
        let bytes = bytes(context, file)?;
        if maps::is_map(&file.to_string_lossy(), &bytes) {
            maps.push((file, bytes));
        } else {
            table = Some(file);
        }
    }
    match (maps.first(), table) {
        (None, _) => return Ok(None),
        (Some((map, _)), Some(table)) => {
            let (map, table) = (map.display(), table.display());
            return Err(Failure::Wrong(format!(
                "{map} is a map and {table} is a table; bring one after the other"
            )));
        }
        (Some(_), None) => {}
    }
    let told = asked.told(kind_of_all.map(kind).transpose().map_err(Failure::wrong)?)?;
    let mappings = Mappings::of(context)?;
    let reading = Reading { context, told, system: asked.system.as_deref(), mappings: &mappings };
    let read = maps.iter().map(|(file, bytes)| reading.ready(file, bytes));
    // All that is wrong with any of them at once.
    let (ready, wrong): (Vec<_>, Vec<_>) = read.partition(Result::is_ok);
    Failure::all(wrong.into_iter().filter_map(Result::err)).map_err(|failure| match failure {
        Failure::Wrong(why) => Failure::Wrong(format!("{why}\n  (nothing was recorded)")),
        other => other,
    })?;
    let ready: Vec<Ready> = ready.into_iter().flatten().collect();
    match yes {
        true => record(context, &mappings, ready, answered)?,
        false => {
            let shown = ready.iter().map(|map| proposal(map, context.width));
            let shown: String = shown.collect();
            context.print(&(shown + &paragraph(receipt::ONLY_SHOWN, context.width, "")))?;
        }
    }
    Ok(Some(Status::Done))
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

/// How maps are read: by what was told, and what was kept of it before.
struct Reading<'c> {
    context: &'c Context,
    told: Told,
    system: Option<&'c str>,
    mappings: &'c Mappings,
}

impl Reading<'_> {
    /// # Errors
    /// What is wrong with it, and what is unclear.
    fn ready(&self, file: &Path, bytes: &[u8]) -> Result<Ready, Failure> {
        let shown = file.display();
        let of_file = |why: String| Failure::Wrong(format!("{shown}: {why}"));
        let name = file.file_name().map_or_else(String::new, |name| name.to_string_lossy().into());
        let stem = file.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().into());
        let beside = self.beside(file, &name)?;
        let (drawing, system) = self.drawing(&name, &stem, bytes, &beside).map_err(of_file)?;
        let shape = MapShape::of(&drawing, &stem);
        let known = self.mappings.for_map(&shape);
        let told = match known {
            Some((_, kept)) => kept.below(self.told.clone(), &stem),
            None => self.told.clone(),
        };
        let kept = KeptMap::of(&shape, &told, system, &stem);
        let catalogue = self.context.catalogue()?;
        let crop = |name: &str| {
            let meant = catalogue.meant(name).map(|crop| crop.name.to_string());
            meant.map_err(|error| error.to_string())
        };
        let mut straight = straighten_map(&drawing, &signed(self.context, told), crop)
            .map_err(|unclear| of_file(unclear.join("\n  ")))?;
        if let Some((path, kept)) = known {
            let said = format!("read as kept in {}: {}", path.display(), kept.said());
            straight.remarks.insert(1, said);
        }
        Ok(Ready { file: file.to_owned(), straight, shape, kept })
    }

    /// With the system that was told, or that a kept map of its shape has where it says none itself.
    fn drawing(
        &self,
        name: &str,
        stem: &str,
        bytes: &[u8],
        beside: &[(String, Vec<u8>)],
    ) -> Result<(Drawing, Option<&str>), String> {
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

/// All of a file that may be a map.
///
/// # Errors
/// A file that cannot be read, or is too large.
fn bytes(context: &Context, file: &Path) -> Result<Vec<u8>, Failure> {
    let unread = |error| Failure::file("read", file, &error);
    let mut bytes = Vec::new();
    let opened = context.opened(file).map_err(unread)?;
    opened.take(MOST + 1).read_to_end(&mut bytes).map_err(unread)?;
    if bytes.len() as u64 > MOST {
        return Err(Failure::wrong(format!(
            "{} is larger than {} MB; bring it in parts",
            file.display(),
            MOST >> 20
        )));
    }
    Ok(bytes)
}
