//! `stintbook load`: take files in, whole or not at all.

use std::collections::VecDeque;
use std::fs::File;
use std::io::{IsTerminal, Read};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use indicatif::{ProgressBar, ProgressStyle};

use super::args::words;
use super::context::Context;
use super::deeds::problems_of_deeds;
use super::failure::{Failure, Status};
use super::known::{Places, Surroundings};
use super::lay::problems_of_lay;
use super::reload::{Sorted, sort};
use crate::book::Book;
use crate::catalogue::Catalogue;
use crate::intake::{Intake, Problems, plural, read};
use crate::records::Kind;
use crate::report::layout::{hanging, paragraph};

/// Files from this size on show a progress bar, in bytes.
const LARGE: u64 = 1 << 20;

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  stintbook load sites/*.geojson sites/*.csv\n  \
    stintbook load sites/cuts.csv --replace --why \"misread scales\"\n\n\
    Nothing is recorded unless everything can be. Loading a file again adds nothing; where \
    it says otherwise than the book, the changes are shown and --replace records them as \
    corrections.")]
pub struct Load {
    /// GeoJSON files with sites, zones and patches; CSV files with surveys, glances, cuts,
    /// permissions, closures or overrides.
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// Record what a changed file says as corrections.
    #[arg(long)]
    replace: bool,
    /// Why the book was wrong, kept with each correction.
    #[arg(
        long,
        requires = "replace",
        default_value = "the file was changed",
        value_parser = words
    )]
    why: String,
}

/// Where a file's text comes from.
#[derive(Clone, Debug)]
pub enum Source {
    File(PathBuf),
    /// Carried in the program.
    Carried {
        name: &'static str,
        text: &'static str,
    },
}

/// A file that was read without a problem.
#[derive(Debug)]
pub struct ReadFile {
    pub name: Arc<str>,
    pub intake: Intake,
}

pub fn run(context: &Context, asked: &Load) -> Result<Status, Failure> {
    let mut book = context.open()?;
    let mut places = Places::of(&book)?;
    let sources: Vec<Source> = asked.files.iter().cloned().map(Source::File).collect();
    let files = read_all(&sources, &mut places, context.catalogue()?)?;
    let replace = asked.replace.then_some(&*asked.why);
    context.print(&take_in(context, &mut book, &places, files, replace)?)?;
    Ok(Status::Done)
}

/// Records what the files hold beyond what the book has, and says so. `replace` is why
/// changes are made; without it they are refused.
pub fn take_in(
    context: &Context,
    book: &mut Book,
    places: &Places,
    files: Vec<ReadFile>,
    replace: Option<&str>,
) -> Result<String, Failure> {
    let cannot_be = problems_of_deeds(&files, places, context.on.max(context.today));
    if !cannot_be.is_empty() {
        return Err(several(cannot_be));
    }
    let mut said = String::new();
    let mut changes = String::new();
    let mut all: Vec<Sorted> = Vec::new();
    let surroundings = Surroundings::of(places, context.catalogue()?);
    for file in files {
        let remarks = file.intake.remarks.clone();
        let why = replace.unwrap_or("");
        let sorted = sort(context, book, file, &all, why, surroundings.known())?;
        said += &summary(&sorted, &remarks, context.width);
        changes += &changes_of(&sorted, context.width);
        all.push(sorted);
    }
    if !changes.is_empty() && replace.is_none() {
        return Err(Failure::Wrong(format!(
            "the files say otherwise than the book:\n{changes}  load them with --replace to \
             record these as corrections; nothing was recorded"
        )));
    }
    let (facts, corrections): (Vec<_>, Vec<_>) =
        all.into_iter().map(|sorted| (sorted.facts, sorted.corrections)).unzip();
    book.append(&facts.concat(), &corrections.concat())?;
    Ok(said + &changes)
}

/// Reads every file against the book and the files before it. GeoJSON comes first, whatever
/// the order given; a file whose sites come from a later one waits for it.
pub fn read_all(
    sources: &[Source],
    places: &mut Places,
    catalogue: &Catalogue,
) -> Result<Vec<ReadFile>, Failure> {
    let is_csv = |source: &&Source| source.name().to_lowercase().ends_with(".csv");
    let (tables, maps): (Vec<_>, Vec<_>) = sources.iter().partition(is_csv);
    let mut found = read_maps(maps.into(), places, catalogue)?;
    if let Some(problems) = problems_of_lay(&found, places) {
        return Err(several(problems));
    }
    let surroundings = Surroundings::of(places, catalogue);
    let mut problems = Vec::new();
    for source in tables {
        match read_one(source, &surroundings)? {
            Ok(file) => found.push(file),
            Err(refused) => problems.push(refused),
        }
    }
    if problems.is_empty() { Ok(found) } else { Err(several(problems)) }
}

fn read_maps(
    mut waiting: VecDeque<&Source>,
    places: &mut Places,
    catalogue: &Catalogue,
) -> Result<Vec<ReadFile>, Failure> {
    let mut found = Vec::new();
    let mut refused = Vec::new();
    while let Some(source) = waiting.pop_front() {
        let outcome = read_one(source, &Surroundings::of(places, catalogue))?;
        match outcome {
            Ok(file) => {
                places.learn(&file.intake.entries);
                found.push(file);
                // What this file brought may be what others lacked.
                waiting.extend(refused.drain(..).map(|(source, _)| source));
            }
            Err(problems) => refused.push((source, problems)),
        }
    }
    if refused.is_empty() {
        Ok(found)
    } else {
        Err(several(refused.into_iter().map(|(_, problems)| problems).collect()))
    }
}

fn read_one(
    source: &Source,
    surroundings: &Surroundings,
) -> Result<Result<ReadFile, Problems>, Failure> {
    let name = source.name();
    let intake = match source {
        Source::File(path) => read(&name, open(path)?, surroundings.known()),
        Source::Carried { text, .. } => read(&name, text.as_bytes(), surroundings.known()),
    };
    Ok(intake.map(|intake| ReadFile { name: name.into(), intake }))
}

impl Source {
    fn name(&self) -> String {
        match self {
            Self::File(path) => path.display().to_string(),
            Self::Carried { name, .. } => (*name).to_owned(),
        }
    }
}

fn open(path: &Path) -> Result<Box<dyn Read>, Failure> {
    let unreadable =
        |error| Failure::Wrong(format!("could not read `{}`: {error}", path.display()));
    if path.extension().is_some_and(|ending| ending == "toml") {
        return Err(Failure::Wrong(format!(
            "`{}` is not loaded: crops of your own are read by every command, from \
             sites/crops.toml beside the book or from the file that --catalogue names",
            path.display()
        )));
    }
    let file = File::open(path).map_err(unreadable)?;
    let about = file.metadata().map_err(unreadable)?;
    if about.is_dir() {
        return Err(Failure::Wrong(format!(
            "`{}` is a folder; name the files in it",
            path.display()
        )));
    }
    if about.len() < LARGE || !std::io::stderr().is_terminal() {
        return Ok(Box::new(file));
    }
    let bar = ProgressBar::new(about.len()).with_message(path.display().to_string());
    if let Ok(style) = ProgressStyle::with_template("{msg} {bar:30} {percent:>3} %") {
        bar.set_style(style);
    }
    Ok(Box::new(bar.wrap_read(file)))
}

fn several(problems: Vec<Problems>) -> Failure {
    let texts: Vec<String> = problems.iter().map(ToString::to_string).collect();
    Failure::Wrong(texts.join("\n"))
}

fn summary(sorted: &Sorted, remarks: &[String], width: usize) -> String {
    let mut parts: Vec<String> = Kind::ALL
        .into_iter()
        .filter_map(|kind| {
            let n = sorted.new.iter().filter(|new| **new == kind).count();
            (n > 0).then(|| format!("{n} {}", if n == 1 { kind.name() } else { plural(kind) }))
        })
        .collect();
    let mut add = |n: usize, text: &str| {
        if n > 0 {
            parts.push(format!("{n} {text}"));
        }
    };
    add(sorted.known, "known already");
    add(sorted.corrected_since, "corrected or withdrawn since, left as they are");
    add(sorted.changed.len(), "changed");
    let remarked: String =
        remarks.iter().map(|remark| hanging(remark, width, "  - ", "    ")).collect();
    let what = match (parts.as_slice(), remarks) {
        ([], [only]) => return paragraph(&format!("{}: {only}", sorted.file), width, ""),
        ([], _) => "nothing in it".to_owned(),
        _ if sorted.new.is_empty() && sorted.changed.is_empty() => {
            format!("nothing new; {}", parts.join(", "))
        }
        (parts, _) => parts.join(", "),
    };
    paragraph(&format!("{}: {what}", sorted.file), width, "") + &remarked
}

fn changes_of(sorted: &Sorted, width: usize) -> String {
    let lines = sorted.changed.iter().map(|change| {
        let text = format!("{} {}: {}", change.kind.name(), change.key, change.what.join("; "));
        hanging(&text, width, "  - ", "    ")
    });
    lines.collect()
}
