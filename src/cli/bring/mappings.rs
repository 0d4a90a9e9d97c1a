//! Answers about tables and maps, kept in `sites/mappings/` beside the book.

use std::fs;
use std::path::{Path, PathBuf};

use xxhash_rust::xxh3::xxh3_64;

use crate::book::beside;
use crate::bring::{Answers, Kept, KeptMap, MapShape, Sheet};
use crate::cli::context::Context;
use crate::cli::failure::Failure;
use crate::cli::own_crops::SITES;
use crate::cli::writing::write_file;

const MAPPINGS: &str = "mappings";
/// The most mappings that are looked through, and the largest, in bytes.
const MOST: usize = 1000;
const LARGEST: u64 = 256 * 1024;

/// The mappings of a workspace, each with its file.
#[derive(Debug)]
pub struct Mappings {
    folder: PathBuf,
    all: Vec<(PathBuf, Kept)>,
    maps: Vec<(PathBuf, KeptMap)>,
}

impl Mappings {
    /// # Errors
    /// A mapping that cannot be read; it would be asked about what was answered.
    pub fn of(context: &Context) -> Result<Self, Failure> {
        let folder = beside(&context.book).with_file_name(SITES).join(MAPPINGS);
        let Ok(entries) = fs::read_dir(&folder) else {
            return Ok(Self { folder, all: Vec::new(), maps: Vec::new() });
        };
        let paths = entries.filter_map(|entry| entry.ok().map(|entry| entry.path()));
        let is_mapping = |path: &PathBuf| path.extension().is_some_and(|end| end == "toml");
        let mut paths: Vec<PathBuf> = paths.filter(is_mapping).take(MOST).collect();
        paths.sort();
        let (mut all, mut maps) = (Vec::new(), Vec::new());
        for path in paths {
            let about =
                fs::metadata(&path).map_err(|error| Failure::file("read", &path, &error))?;
            let unfit = |why: &str| {
                let path = path.display();
                Failure::Wrong(format!("{path}: {why}; mend it, or delete it to be asked anew"))
            };
            if about.len() > LARGEST {
                return Err(unfit("it is too large to be a mapping"));
            }
            let text =
                fs::read_to_string(&path).map_err(|error| Failure::file("read", &path, &error))?;
            match KeptMap::read(&text).map_err(|why| unfit(&why))? {
                Some(kept) => maps.push((path, kept)),
                None => {
                    let kept = Kept::read(&text).map_err(|why| unfit(&why))?;
                    all.push((path, kept));
                }
            }
        }
        Ok(Self { folder, all, maps })
    }

    /// What is kept of tables of the shape of this one.
    pub fn for_sheet(&self, sheet: &Sheet) -> Option<&Answers> {
        self.all.iter().find(|(_, kept)| kept.fits(sheet)).map(|(_, kept)| &kept.answers)
    }

    /// What is kept of maps of this shape, and the file that has it.
    pub fn for_map(&self, shape: &MapShape) -> Option<(&Path, &KeptMap)> {
        self.maps.iter().find(|(_, kept)| kept.fits(shape)).map(|(path, kept)| (&**path, kept))
    }

    /// The systems of coordinates that were told of maps.
    pub fn systems(&self) -> impl Iterator<Item = &str> {
        self.maps.iter().filter_map(|(_, kept)| kept.system())
    }

    /// Keeps what was told of a map; gives the file, where it says anything new.
    ///
    /// # Errors
    /// A file that cannot be written.
    pub fn keep_map(&self, shape: &MapShape, kept: &KeptMap) -> Result<Option<PathBuf>, Failure> {
        let known = self.for_map(shape);
        if kept.says_nothing() || known.is_some_and(|(_, other)| other == kept) {
            return Ok(None);
        }
        let mark = xxh3_64(shape.lines().as_bytes()) as u32;
        let own = self.folder.join(format!("map-{mark:08x}.toml"));
        let path = known.map_or(own, |(path, _)| path.to_owned());
        write_file(&path, &kept.toml())?;
        Ok(Some(path))
    }

    /// Keeps what was answered; gives the file, where it says anything new.
    ///
    /// # Errors
    /// A file that cannot be written.
    pub fn keep(&self, kept: &Kept) -> Result<Option<PathBuf>, Failure> {
        let known = self.all.iter().find(|(_, other)| other.shape == kept.shape);
        if known.is_some_and(|(_, other)| other == kept) {
            return Ok(None);
        }
        let kind = kept.answers.kind.map_or("table", |kind| kind.plural()).replace(' ', "-");
        let mark = xxh3_64(kept.shape.join("\n").as_bytes()) as u32;
        let own = self.folder.join(format!("{kind}-{mark:08x}.toml"));
        let path = known.map_or(own, |(path, _)| path.clone());
        write_file(&path, &kept.toml())?;
        Ok(Some(path))
    }
}
