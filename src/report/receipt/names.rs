//! Of what the parties of walks are called, and of what a look at the book's file showed of it.

use crate::units::{agreeing, counted, noun_for};

/// A name in the bytes of the book's file, after it was written anew.
#[derive(Clone, Debug)]
pub struct NameOnFile<'a> {
    /// The name that was looked for.
    pub name: &'a str,
    /// The file is this machine's working copy of a book on a server.
    pub is_copy: bool,
    /// How often it stands there.
    pub left: usize,
    /// In how many rows of which tables.
    pub rows: Vec<(&'a str, usize)>,
}

/// `The names of 3 parties are deleted`, which more may follow.
pub fn names_deleted(parties: usize) -> String {
    format!(
        "The {} of {} {} deleted",
        noun_for(parties, "name"),
        counted(parties, "party"),
        agreeing(parties, "is", "are")
    )
}

/// Of names that went along with something else.
pub fn nobody_bears_them(parties: usize) -> String {
    format!("{}, since nobody of the walk bears them now.", names_deleted(parties))
}

/// Of a name that so many parties had.
pub fn forgotten(name: &str, parties: usize) -> String {
    if parties == 0 {
        return format!("No party is called `{name}` any more.");
    }
    format!(
        "Forgotten: the name of {}. {} and people.",
        counted(parties, "party"),
        agreeing(parties, "It keeps its number", "They keep their numbers")
    )
}

/// That the book no longer has a name, but its file may; `unseen` is why nobody could look.
pub fn held_back(said: &str, unseen: Option<&str>, again: &str) -> String {
    let why = match unseen {
        None => "but another program still reads old pages of the file, and it may stand in \
                 them. Close that program, then"
            .to_owned(),
        Some(why) => format!(
            "but the file could not be looked through afterwards, and it may stand in it: {why}. \
             Once that is mended,"
        ),
    };
    format!("{said} It is gone from the book, {why} run {again} again.")
}

/// What a look at the file's bytes showed.
pub fn seen_on_file(found: &NameOnFile) -> String {
    let NameOnFile { name, is_copy, left, rows } = found;
    let file = if *is_copy { "working copy on this machine" } else { "file" };
    let rows: Vec<String> =
        rows.iter().map(|(table, n)| format!("{} of `{table}`", counted(*n, "row"))).collect();
    match (*left, rows.as_slice()) {
        (0, _) => format!("The {file} was looked through afterwards; the name is not in it."),
        (left, []) => format!(
            "The {file} was written anew and looked through. The bytes of `{name}` stand in it {}, \
             in no text of any record: by chance, as short names do.",
            times(left)
        ),
        (left, rows) => format!(
            "The {file} was written anew and looked through. The letters `{name}` still stand in it \
             {}, in {}: facts or other names that have them too, which are kept.",
            times(left),
            rows.join(", ")
        ),
    }
}

fn times(n: usize) -> String {
    if n == 1 { "once".to_owned() } else { counted(n, "time") }
}

/// Of names that were just written down; `long` are those that are more than a first name.
pub fn first_names_only(long: &[&str]) -> String {
    let more = match long {
        [] => String::new(),
        some => {
            let some: Vec<String> = some.iter().map(|name| format!("`{name}`")).collect();
            format!(" More than a first name is in {}: forget it and write less.", some.join(", "))
        }
    };
    format!(
        "What the parties are called is kept apart from the facts and is not exported; write \
         first names only. `stintbook walk forget NAME` deletes one.{more}"
    )
}
