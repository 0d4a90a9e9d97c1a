//! `stintbook bring` of a map: what it draws is shown, and recorded where wished.

use std::io::Read;
use std::path::{Path, PathBuf};

use jiff::civil::Date;

use super::args::{day, length, words};
use super::context::Context;
use super::failure::{Failure, Status};
use super::load::take_in;
use super::new::name_beside;
use super::reading::Source;
use super::recording::Answered;
use super::walk;
use crate::bring::{Closed, StraightMap, Told, map_kind_called, straighten_map};
use crate::maps::{self, System};
use crate::records::Kind;
use crate::report::layout::{hanging, paragraph};
use crate::report::receipt;
use crate::units::{Metres, noun_for};

/// The largest file, in bytes.
const MOST: u64 = 64 << 20;

/// A receiver in the open, as design and records take it where nobody says (`accuracy_m`).
const USUAL_ACCURACY: Metres = Metres(5.0);

/// What a map may leave open.
#[derive(Debug, clap::Args)]
#[command(next_help_heading = "What a map may leave open")]
pub struct MapAnswers {
    /// What the features of a layer are: `"Hedges 2026=patch"`; `=none` leaves the layer out.
    #[arg(long, value_name = "LAYER=KIND", value_parser = layer)]
    layer: Vec<(String, Option<Kind>)>,
    /// The property that has the names.
    #[arg(long, value_name = "PROPERTY", value_parser = words)]
    named_by: Option<String>,
    /// The site of what names none.
    #[arg(long, value_name = "NAME", value_parser = words)]
    site: Option<String>,
    /// The crop of patches that name none.
    #[arg(long, value_name = "NAME", value_parser = words)]
    crop: Option<String>,
    /// The full width of lines that are patches: hedges, verges.
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    width: Option<Metres>,
    /// The radius of points that are patches.
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    radius: Option<Metres>,
    /// What landmarks are that do not say it.
    #[arg(long, value_name = "WHAT", value_parser = words)]
    what: Option<String>,
    /// Who set it down (else STINTBOOK_BY, or the name in `by.txt` beside the book).
    #[arg(long, value_name = "NAME", value_parser = words)]
    by: Option<String>,
    /// The day on which it was set down.
    #[arg(long, value_name = "DATE", value_parser = day)]
    set_down: Option<Date>,
    /// What a line encloses that ends where it began: `ground`, or nothing, as a hedge all round:
    /// `line`.
    #[arg(long, value_name = "WHAT")]
    closed: Option<Closed>,
    /// How far off the receiver may be; tracks are thinned to it.
    #[arg(long, value_name = "LENGTH", value_parser = length, default_value_t = USUAL_ACCURACY)]
    accuracy: Metres,
    /// The system of coordinates of a map that does not name it, like `EPSG:25832`.
    #[arg(long, value_name = "CODE", value_parser = System::of_code)]
    system: Option<System>,
}

fn layer(text: &str) -> Result<(String, Option<Kind>), String> {
    let (name, what) = text
        .rsplit_once('=')
        .ok_or_else(|| format!("`{text}` is no answer; write `LAYER=patch`, or `LAYER=none`"))?;
    let what = if what.trim() == "none" { None } else { Some(kind(what)?) };
    Ok((name.trim().to_owned(), what))
}

fn kind(text: &str) -> Result<Kind, String> {
    let unknown = || format!("`{text}` is none of `patch`, `zone`, `landmark`, `site`, `redraw`");
    map_kind_called(text).ok_or_else(unknown)
}

/// The map as it is read.
///
/// # Errors
/// What is wrong with it, and what is unclear.
fn straight(
    context: &Context,
    file: &Path,
    bytes: &[u8],
    (asked, kind): (&MapAnswers, Option<Kind>),
) -> Result<StraightMap, Failure> {
    let shown = file.display();
    let name = file.file_name().map_or_else(String::new, |name| name.to_string_lossy().into());
    let mut beside = Vec::new();
    for ending in maps::beside(&name) {
        let other = [ending.to_string(), ending.to_uppercase()].map(|end| file.with_extension(end));
        if let Some(other) = other.into_iter().find(|other| context.has_file(other)) {
            let unread = |error| Failure::file("read", &other, &error);
            let mut bytes = Vec::new();
            context
                .opened(&other)
                .and_then(|it| it.take(MOST).read_to_end(&mut bytes))
                .map_err(unread)?;
            beside.push((other.display().to_string(), bytes));
        }
    }
    let source =
        maps::Source { name: &name, bytes, beside: &beside, system: asked.system.as_ref() };
    let drawing = maps::read(&source)
        .map_err(|why| Failure::wrong(format!("{shown}: {why}\n  (nothing was recorded)")))?;
    let catalogue = context.catalogue()?;
    let crop = |name: &str| {
        let meant = catalogue.meant(name).map(|crop| crop.name.to_string());
        meant.map_err(|error| error.to_string())
    };
    straighten_map(&drawing, &Told { kind, ..told(context, asked)? }, crop).map_err(|unclear| {
        Failure::wrong(format!("{shown}: {}\n  (nothing was recorded)", unclear.join("\n  ")))
    })
}

fn told(context: &Context, asked: &MapAnswers) -> Result<Told, Failure> {
    let metres = |length: Option<Metres>| length.map(|length| length.0);
    if asked.accuracy.0 < 0.1 {
        return Err(Failure::wrong("no receiver knows its place to less than 0.1 m"));
    }
    Ok(Told {
        layers: asked.layer.clone(),
        named_by: asked.named_by.clone(),
        site: asked.site.clone(),
        kind: None,
        crop: asked.crop.clone(),
        width: metres(asked.width),
        radius: metres(asked.radius),
        what: asked.what.clone(),
        by: asked.by.clone().or_else(|| name_beside(&context.book)),
        set_down: asked.set_down,
        closed: asked.closed,
        accuracy: asked.accuracy.0,
    })
}

/// Shows how maps are read, or records what they say, one after another; nothing of files among
/// which are tables.
///
/// # Errors
/// What is wrong with one of them, and what is unclear.
pub fn run(
    context: &Context,
    files: &[PathBuf],
    asked: &MapAnswers,
    kind_of_all: Option<&str>,
    (yes, answered): (bool, &Answered),
) -> Result<Option<Status>, Failure> {
    let mut maps = Vec::new();
    for file in files {
        // What can be read once only, or is larger than any map may be, is a table's.
        let is_larger = file.metadata().is_ok_and(|about| about.len() > MOST);
        if !context.has_file(file) || is_larger {
            return Ok(None);
        }
        let bytes = bytes(context, file)?;
        if !maps::is_map(&file.to_string_lossy(), &bytes) {
            return Ok(None);
        }
        maps.push((file, bytes));
    }
    let kind = kind_of_all.map(kind).transpose().map_err(Failure::wrong)?;
    for (file, bytes) in maps {
        let straight = straight(context, file, &bytes, (asked, kind))?;
        if !yes {
            let said = proposal(&file.display().to_string(), &straight, context.width);
            context.print(&(said + &paragraph(receipt::ONLY_SHOWN, context.width, "")))?;
            continue;
        }
        let mut book = context.open()?;
        let held = Source::Held { path: file.clone(), text: straight.text.into_bytes().into() };
        let (taken, gone) = take_in(context, &mut book, &[held], None, &answered.answers())?;
        context.print(&taken)?;
        walk::forget::end_of(context, &book, &gone)?;
    }
    Ok(Some(Status::Done))
}

fn proposal(name: &str, straight: &StraightMap, width: usize) -> String {
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
