//! `stintbook export`: the facts that count, as files that can be loaded again.

use std::path::PathBuf;

use super::context::Context;
use super::failure::{Failure, Status};
use super::writing::write_folder;
use crate::book::Scope;
use crate::gate::{Places, Surroundings};
use crate::intake::{SHEETS, write_amends, write_csv, write_geojson};
use crate::records::{Fact, Record};
use crate::report::layout::paragraph;

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  stintbook export copy")]
pub struct Export {
    /// Where the files go; it is made if need be, and must not hold such files yet.
    folder: PathBuf,
}

pub fn run(context: &Context, asked: &Export) -> Result<Status, Failure> {
    let book = context.open_to_read()?;
    let places = Places::named(book.directory()?);
    let surroundings = Surroundings::of(&places, context.catalogue()?);
    let lines = book.history(&Scope::All)?;
    let live: Vec<&Fact<Record>> =
        lines.iter().filter(|line| line.counts()).map(|line| &line.fact).collect();
    let mut files = vec![("places.geojson".to_owned(), write_geojson(live.iter().copied()))];
    for kind in SHEETS {
        if live.iter().any(|fact| fact.record.kind() == kind) {
            let text = write_csv(kind, live.iter().copied(), surroundings.known());
            files.push((format!("{}.csv", kind.plural()), text));
        }
    }
    let corrections = book.corrections()?;
    if !corrections.is_empty() {
        files.push(("corrections.csv".to_owned(), write_amends(&corrections)));
    }
    for (name, _) in &files {
        let path = asked.folder.join(name);
        if path.exists() {
            return Err(Failure::wrong(format!(
                "`{}` is there already; export into an empty folder",
                path.display()
            )));
        }
    }
    let written = write_folder(&asked.folder, &files)?;
    let line = |path: &PathBuf| format!("Written: {}", path.display());
    let said = written.iter().map(|path| paragraph(&line(path), context.width, ""));
    context.print(&said.collect::<String>())?;
    Ok(Status::Done)
}
