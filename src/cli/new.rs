//! `stintbook new`: a folder to work in.

use std::fs;
use std::path::{Path, PathBuf};

use super::args::words;
use super::context::Context;
use super::failure::{Failure, Status};
use super::own_crops::{OWN_CROPS, SITES};
use super::writing::{make_in, write_all, write_file};
use crate::book::{Book, beside};
use crate::catalogue;
use crate::intake::templates;
use crate::report::layout::paragraph;
use crate::report::receipt;

const BOOK: &str = "stintbook.sqlite";

/// Beside the book: whoever works here, on a line.
const BY_FILE: &str = "by.txt";

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  stintbook new myland && cd myland")]
pub struct New {
    /// The folder to make.
    folder: PathBuf,
    /// Who works in it: commands there need no --by then.
    #[arg(long, value_name = "NAME", value_parser = words)]
    by: Option<String>,
}

pub fn run(context: &Context, asked: &New) -> Result<Status, Failure> {
    let folder = &asked.folder;
    if folder.join(BOOK).exists() {
        let there = folder.join(BOOK);
        return Err(Failure::wrong(format!("`{}` is there already", there.display())));
    }
    let sites = make_in(folder, SITES)?;
    make_in(folder, "reports")?;
    let templates = templates().into_iter().map(|template| (template.file, template.text));
    let mut files: Vec<(String, String)> = templates.collect();
    files.push((OWN_CROPS.to_owned(), catalogue::template()));
    files.retain(|(file, _)| !sites.join(file).exists());
    write_all(&sites, &files)?;
    Book::create(&folder.join(BOOK))?;
    if let Some(by) = &asked.by {
        write_file(&folder.join(BY_FILE), &format!("{by}\n"))?;
    }
    let said = receipt::made(folder);
    context.print(&paragraph(&said, context.width, ""))?;
    Ok(Status::Done)
}

/// Who writes into the book, where it was not typed.
pub fn name_beside(book: &Path) -> Option<String> {
    let set = std::env::var("STINTBOOK_BY").ok().filter(|name| !name.is_empty());
    set.or_else(|| {
        let text = fs::read_to_string(beside(book).with_file_name(BY_FILE)).ok()?;
        let mut lines = text.lines().map(str::trim);
        lines.find(|line| !line.is_empty() && !line.starts_with('#')).map(str::to_owned)
    })
}
