//! `stintbook new`: a folder to work in.

use std::fs;
use std::path::{Path, PathBuf};

use super::context::{Context, write_file};
use super::failure::{Failure, Status};
use super::own_crops::in_workspace;
use crate::book::Book;
use crate::catalogue;
use crate::intake::templates;
use crate::report::layout::paragraph;

const BOOK: &str = "stintbook.sqlite";

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  stintbook new myland && cd myland")]
pub struct New {
    /// The folder to make.
    folder: PathBuf,
}

pub fn run(context: &Context, asked: &New) -> Result<Status, Failure> {
    let folder = &asked.folder;
    if folder.join(BOOK).exists() {
        let there = folder.join(BOOK);
        return Err(Failure::wrong(format!("`{}` is there already", there.display())));
    }
    for template in templates() {
        let path = folder.join("sites").join(&template.file);
        if !path.exists() {
            write_file(&path, &template.text)?;
        }
    }
    let own_crops = in_workspace(folder);
    if !own_crops.exists() {
        write_file(&own_crops, &catalogue::template())?;
    }
    make(&folder.join("reports"))?;
    Book::create(&folder.join(BOOK))?;
    let said = format!(
        "Made `{0}`: sites/ with a template for each kind of file, reports/, and an empty book. \
         Fill in what you need, then, in that folder: stintbook load sites/*.geojson sites/*.csv",
        folder.display()
    );
    context.print(&paragraph(&said, context.width, ""))?;
    Ok(Status::Done)
}

pub fn make(folder: &Path) -> Result<(), Failure> {
    fs::create_dir_all(folder).map_err(|error| Failure::file("make", folder, &error))
}
