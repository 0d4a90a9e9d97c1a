//! Files as they are read from the disk, in the order in which one may rest on another.

use std::collections::VecDeque;
use std::fs::{self, File};
use std::io::{self, IsTerminal, Read};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, LazyLock};

use indicatif::{MultiProgress, ProgressBar, ProgressStyle};
use rayon::prelude::*;

use super::digest::{self, Digesting};
use crate::book::FileMark;
use crate::catalogue::Catalogue;
use crate::gate::{Delivery, Places, Surroundings, Turned};
use crate::intake::{Problems, is_of_amends, is_of_phone, read, read_amends};

/// Files from this size on show a progress bar, in bytes.
const LARGE: u64 = 1 << 20;
/// Of the files that are read at the same time, one below the other.
static BARS: LazyLock<MultiProgress> = LazyLock::new(MultiProgress::new);
/// How much of a file tells whether it is of corrections, in bytes.
const HEAD: u64 = 8 * 1024;

/// Where a file's text comes from.
#[derive(Clone, Debug)]
pub enum Source {
    File(PathBuf),
    /// Carried in the program.
    Carried {
        name: &'static str,
        text: &'static str,
    },
    /// What was read from a pipe, which can be read only once.
    Held {
        path: PathBuf,
        text: Arc<[u8]>,
    },
}

/// Files by what they rest on: maps of places and what was put right, whatever the order given,
/// and tables of what is about the places.
pub fn apart(sources: &[Source]) -> Result<(Vec<&Source>, Vec<&Source>), Turned> {
    let (mut first, mut tables) = (Vec::new(), Vec::new());
    for source in sources {
        let is_csv = source.name().to_lowercase().ends_with(".csv");
        let is_table = match is_csv {
            true => !source.is_of_amends()?,
            false => source.is_of_phone()?,
        };
        if is_table { tables.push(source) } else { first.push(source) }
    }
    Ok((first, tables))
}

/// What the files are called, in the order in which they are taken in.
pub fn names(maps: &[&Source], tables: &[&Source]) -> Vec<String> {
    maps.iter().chain(tables).map(|source| source.name()).collect()
}

/// What the files are known again by, in the order in which they are taken in; `None` where any
/// is no plain file.
pub fn marks(maps: &[&Source], tables: &[&Source]) -> Option<Vec<FileMark>> {
    let mark = |source: &&Source| match source {
        Source::File(path) => {
            Some(FileMark { file: source.name().into(), digest: digest::of_file(path)? })
        }
        Source::Carried { .. } | Source::Held { .. } => None,
    };
    maps.iter().chain(tables).map(mark).collect()
}

/// Reads tables, each against the same places and all at the same time. What stands in the way is
/// told in their order.
pub fn read_tables(
    tables: &[&Source],
    places: &Places,
    catalogue: &Catalogue,
) -> Result<Vec<Delivery>, Turned> {
    let surroundings = Surroundings::of(places, catalogue);
    let (mut found, mut problems) = (Vec::new(), Vec::new());
    let unread = AtomicUsize::new(tables.len());
    let read_one = |source: &&Source| {
        let mut read = read_one(source, &surroundings);
        let is_last = unread.fetch_sub(1, Ordering::Relaxed) == 1;
        if let Ok(Ok(FileRead { delivery, .. })) = &mut read
            && !is_last
        {
            // Else a core would wait for the longest of them.
            delivery.make_ids(&surroundings);
        }
        read
    };
    let read: Vec<_> = tables.par_iter().map(read_one).collect();
    for read in read {
        match read? {
            Ok(FileRead { delivery, .. }) => found.push(delivery),
            Err(refused) => problems.push(refused),
        }
    }
    if problems.is_empty() { Ok(found) } else { Err(Turned::Problems(problems)) }
}

/// Reads maps, and tables of what was put right; a map whose sites come from a later one waits
/// for it.
pub fn read_maps(
    maps: &[&Source],
    places: &mut Places,
    catalogue: &Catalogue,
) -> Result<Vec<Delivery>, Turned> {
    let ahead = read_by_themselves(maps, &Surroundings::of(places, catalogue));
    // What they call a site goes before what one was called earlier.
    ahead.iter().flatten().for_each(|file| places.learn(&file.delivery.entries));
    let mut waiting = maps.iter().copied().zip(ahead).collect::<VecDeque<_>>();
    let mut found = Vec::new();
    let mut refused = Vec::new();
    while let Some((source, ahead)) = waiting.pop_front() {
        if let Some(FileRead { delivery, .. }) = ahead {
            found.push(delivery);
            continue;
        }
        match read_one(source, &Surroundings::of(places, catalogue))? {
            Ok(FileRead { delivery, .. }) => {
                places.learn(&delivery.entries);
                found.push(delivery);
                // What this file brought may be what others lacked.
                waiting.extend(refused.drain(..).map(|(source, _)| (source, None)));
            }
            Err(problems) => refused.push((source, problems)),
        }
    }
    if refused.is_empty() {
        Ok(found)
    } else {
        Err(Turned::Problems(refused.into_iter().map(|(_, problems)| problems).collect()))
    }
}

/// Of several maps those that say the same whatever the others bring, read all at the same time;
/// `None` for every other, which is to be read in its turn.
fn read_by_themselves(maps: &[&Source], surroundings: &Surroundings) -> Vec<Option<FileRead>> {
    match maps {
        [_] => vec![None],
        several => several
            .par_iter()
            .map(|source| {
                read_one(source, surroundings).ok()?.ok().filter(|file| file.is_by_itself)
            })
            .collect(),
    }
}

/// A file as it reads, and whether it reads so whatever places there are.
struct FileRead {
    delivery: Delivery,
    is_by_itself: bool,
}

fn read_one(
    source: &Source,
    surroundings: &Surroundings,
) -> Result<Result<FileRead, Problems>, Turned> {
    let name = source.name();
    let (head, rest) = source.opened()?;
    let is_of_amends = is_of_amends(&String::from_utf8_lossy(&head));
    let mut whole = Digesting::new(io::Cursor::new(head).chain(rest));
    if is_of_amends {
        let amends = read_amends(&name, &mut whole);
        let (file, digest) = (Some(name.as_str().into()), whole.finish().ok());
        let delivery = |amends| Delivery { file, digest, amends, ..Delivery::default() };
        return Ok(amends.map(|amends| FileRead { delivery: delivery(amends), is_by_itself: true }));
    }
    let intake = read(&name, &mut whole, surroundings.known());
    Ok(intake.map(|intake| {
        let is_by_itself = intake.is_by_itself;
        let read = Delivery::of_file(name.as_str().into(), intake);
        let delivery = Delivery { digest: whole.finish().ok(), ..read };
        FileRead { delivery, is_by_itself }
    }))
}

impl Source {
    /// The same, to be read as often as need be.
    pub fn held(&self) -> Result<Self, Turned> {
        let Self::File(path) = self else { return Ok(self.clone()) };
        if !fs::metadata(path).is_ok_and(|about| !about.is_file() && !about.is_dir()) {
            return Ok(self.clone());
        }
        let mut text = Vec::new();
        open(path)?.read_to_end(&mut text).map_err(|error| unreadable(path, &error))?;
        Ok(Self::Held { path: path.clone(), text: text.into() })
    }

    /// The beginning, and what is behind it.
    fn opened(&self) -> Result<(Vec<u8>, Box<dyn Read + '_>), Turned> {
        let mut text: Box<dyn Read + '_> = match self {
            Self::File(path) => open(path)?,
            Self::Carried { text, .. } => Box::new(text.as_bytes()),
            Self::Held { text, .. } => Box::new(&**text),
        };
        let mut head = Vec::new();
        let read = text.by_ref().take(HEAD).read_to_end(&mut head);
        read.map_err(|error| unreadable(Path::new(&self.name()), &error))?;
        Ok((head, text))
    }

    /// Whether it is a table of what was put right.
    fn is_of_amends(&self) -> Result<bool, Turned> {
        let Self::File(path) = self else { return Ok(false) };
        // What cannot be read twice, like a pipe, is no such table.
        if !path.is_file() {
            return Ok(false);
        }
        Ok(is_of_amends(&String::from_utf8_lossy(&self.opened()?.0)))
    }

    /// Whether it holds what was recorded on a phone.
    fn is_of_phone(&self) -> Result<bool, Turned> {
        match self {
            Self::Carried { .. } => Ok(false),
            Self::Held { text, .. } => Ok(is_of_phone(&String::from_utf8_lossy(text))),
            Self::File(path) if path.is_file() => {
                Ok(is_of_phone(&String::from_utf8_lossy(&self.opened()?.0)))
            }
            Self::File(_) => Ok(false),
        }
    }

    /// As it was given, without a `./` in front: the file's facts keep it.
    fn name(&self) -> String {
        match self {
            Self::File(path) | Self::Held { path, .. } => {
                let plain = path.strip_prefix(".").unwrap_or(path);
                plain.display().to_string()
            }
            Self::Carried { name, .. } => (*name).to_owned(),
        }
    }
}

fn unreadable(path: &Path, error: &io::Error) -> Turned {
    Turned::Unfit(format!("could not read `{}`: {error}", path.display()))
}

fn open(path: &Path) -> Result<Box<dyn Read>, Turned> {
    if path.extension().is_some_and(|ending| ending == "toml") {
        return Err(Turned::Unfit(format!(
            "`{}` is not loaded: crops of your own are read by every command, from \
             sites/crops.toml beside the book or from the file that --catalogue names",
            path.display()
        )));
    }
    let file = File::open(path).map_err(|error| unreadable(path, &error))?;
    let about = file.metadata().map_err(|error| unreadable(path, &error))?;
    if about.is_dir() {
        return Err(Turned::Unfit(format!(
            "`{}` is a folder; name the files in it",
            path.display()
        )));
    }
    if about.len() < LARGE || !std::io::stderr().is_terminal() {
        return Ok(Box::new(file));
    }
    let bar = BARS.add(ProgressBar::new(about.len())).with_message(path.display().to_string());
    if let Ok(style) = ProgressStyle::with_template("{msg} {bar:30} {percent:>3} %") {
        bar.set_style(style);
    }
    Ok(Box::new(bar.wrap_read(file)))
}
