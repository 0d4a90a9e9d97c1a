//! `stintbook export`: the facts that count, as files that can be loaded again.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use super::blurred;
use super::context::Context;
use super::darwin_core;
use super::export_map;
use super::failure::{Failure, Status};
use super::format::Format;
use super::writing::write_folder;
use crate::book::Scope;
use crate::gate::{Places, Surroundings};
use crate::ground::Blur;
use crate::intake::{SHEETS, Version, write_amends, write_csv, write_geojson};
use crate::records::{Fact, ForOthers, HistoryLine, Record};
use crate::report::layout::paragraph;
use crate::report::receipt;

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    stintbook export copy --whole\n  \
    stintbook export for-the-council\n  \
    stintbook export for-the-owner --format gpkg --site shore --on 2027-03-15\n\n\
    Files that others get say nothing of people: whoever recorded something is `person 1`, \
    `person 2`, and occupiers, telephone numbers, photos and notes are left out, with the ids of \
    facts and their corrections. What has left once is never got back, so that is what happens \
    unless --whole says that the files stay in your own hands; then nothing is left out, and they \
    make the same book again.")]
pub struct Export {
    /// The folder into which the files go; it is made if need be, and must not hold such files yet.
    /// One file may be named itself: `day.gpkg`.
    folder: PathBuf,
    /// All that the book holds, people, telephone numbers, photos and ids too: for your own hands.
    #[arg(long)]
    whole: bool,
    /// Instead of files that can be loaded, a map of the day: sites, no-take ground, patches with
    /// what may be cut, landmarks; as `dwca`, for a records centre, every survey and glance in
    /// squares of 1km.
    #[arg(long, value_parser = Format::among(&[Format::Gpkg, Format::Kml, Format::Gpx, Format::Geojson, Format::Dwca]))]
    format: Option<Format>,
    /// For people who are not to know where: squares of this size in the place of places (1km,
    /// 2km, 10km, 50km, 100km), other names, no shapes, open or shut.
    #[arg(
        long,
        value_name = "SIZE",
        value_parser = blurred::blur,
        allow_hyphen_values = true,
        requires = "format",
        conflicts_with = "whole"
    )]
    blur: Option<Blur>,
    /// Of this site alone.
    #[arg(long, requires = "format")]
    site: Option<String>,
}

pub fn run(context: &Context, asked: &Export) -> Result<Status, Failure> {
    if let Some(format) = asked.format {
        let site = asked.site.as_deref();
        let map = match asked.blur {
            _ if format == Format::Dwca => {
                let archive = darwin_core::archive(context, site, asked.blur, asked.whole)?;
                (export_map::name(format).to_owned(), archive)
            }
            None => export_map::file(context, format, site, asked.whole)?,
            Some(blur) => {
                let answer = blurred::answer(context, blur, site, None)?;
                let file = blurred::written(context, &answer, format)?;
                (export_map::name(format).to_owned(), file)
            }
        };
        let (folder, name) = asked.file(map.0);
        return asked.write(context, &folder, &[(name, map.1)]);
    }
    let book = context.open_to_read()?;
    let places = Places::named(book.directory()?);
    let surroundings = Surroundings::of(&places, context.catalogue()?);
    let lines = book.history(&Scope::All)?;
    let live = lines.into_iter().filter(HistoryLine::counts).map(|line| line.fact);
    let live: Vec<Fact<Record>> = match asked.whole {
        true => live.collect(),
        false => {
            let mut others = ForOthers::default();
            live.filter_map(|fact| others.fact(&fact)).collect()
        }
    };
    let versions = || {
        live.iter().map(|fact| {
            let version = Version::from(fact);
            Version { id: version.id.filter(|_| asked.whole), ..version }
        })
    };
    let mut files = vec![("places.geojson".to_owned(), write_geojson(versions()))];
    for kind in SHEETS {
        if live.iter().any(|fact| fact.record.kind() == kind) {
            let text = write_csv(kind, versions(), surroundings.known());
            files.push((format!("{}.csv", kind.plural()), text));
        }
    }
    let corrections = book.corrections()?;
    if asked.whole && !corrections.is_empty() {
        files.push(("corrections.csv".to_owned(), write_amends(&corrections)));
    }
    asked.write(context, &asked.folder, &files)
}

impl Export {
    /// Into which folder one file goes, and by which name: whoever names a file gets that one.
    fn file(&self, usual: String) -> (PathBuf, String) {
        let is_file = self.folder.extension() == Path::new(&usual).extension();
        match self.folder.file_name().and_then(OsStr::to_str) {
            Some(name) if is_file && !self.folder.is_dir() => {
                let above = self.folder.parent().filter(|above| !above.as_os_str().is_empty());
                (above.unwrap_or(Path::new(".")).to_owned(), name.to_owned())
            }
            _ => (self.folder.clone(), usual),
        }
    }

    /// Writes them into the folder, beside what has other names.
    fn write<T: AsRef<[u8]>>(
        &self,
        context: &Context,
        folder: &Path,
        files: &[(String, T)],
    ) -> Result<Status, Failure> {
        let written = context.hand_over(files, || write_anew(folder, files))?;
        let line = |path: &PathBuf| format!("Written: {}", path.display());
        let said = written.iter().map(|path| paragraph(&line(path), context.width, ""));
        let mut said: String = said.collect();
        if !self.whole {
            said += &paragraph(
                receipt::for_others(self.blur.is_some() || self.format == Some(Format::Dwca)),
                context.width,
                "",
            );
        }
        context.print(&said)?;
        Ok(Status::Done)
    }
}

/// # Errors
/// A file of those names that is there already; as [`write_folder`].
fn write_anew<T: AsRef<[u8]>>(
    folder: &Path,
    files: &[(String, T)],
) -> Result<Vec<PathBuf>, Failure> {
    for (name, _) in files {
        let path = folder.join(name);
        if path.exists() {
            return Err(Failure::wrong(format!(
                "`{}` is there already; export into an empty folder",
                path.display()
            )));
        }
    }
    write_folder(folder, files)
}
