//! Of the book as a whole: made, backed up, restored, merged.

use std::path::Path;

use crate::records::Kind;
use crate::report::page::{Document, Section};
use crate::units::{agreeing, counted, listed, noun_for};

/// Of a new folder to work in.
pub fn made(folder: &Path) -> String {
    format!(
        "Made `{}`: sites/ with a template for each kind of file, reports/, and an empty book. \
         Fill in what you need, then, in that folder: stintbook load sites/*.geojson sites/*.csv",
        folder.display()
    )
}

/// Of rows that could not be read.
pub fn come_back(rows: usize, file: &Path) -> String {
    format!(
        "{} {} back in {} with why; mend and bring that file.",
        counted(rows, "row"),
        agreeing(rows, "comes", "come"),
        file.display()
    )
}

/// Of what was answered about a table.
pub fn answers_kept(file: &Path) -> String {
    format!("What you answered is kept in {} for the next table like this.", file.display())
}

/// Of what was told of a map.
pub fn told_kept(file: &Path) -> String {
    format!("What you said of it is kept in {} for the next map like this.", file.display())
}

/// Of a copy that was looked through and holds so many facts.
pub fn backed_up(file: &Path, facts: usize) -> String {
    format!(
        "Backed up to {}: {facts} {}, and every checksum holds.",
        file.display(),
        noun_for(facts, "fact")
    )
}

/// Of a book that was brought elsewhere, read back and held against the first.
pub fn copied(from: &Path, to: &Path, facts: u64) -> String {
    format!(
        "Copied {} to {}: {facts} {}, read back and the same, checksum for checksum.",
        from.display(),
        to.display(),
        noun_for(usize::try_from(facts).unwrap_or(usize::MAX), "fact")
    )
}

/// `aside` is where the book went that was there; `forgotten` counts parties whose names were
/// taken out of the backup, whose marks of such names may be lost.
pub fn restored(
    from: &Path,
    facts: usize,
    aside: Option<&Path>,
    forgotten: usize,
    marks_are_lost: bool,
) -> String {
    let whole = format!(
        "Restored from {}: {facts} {}, and every checksum holds.",
        from.display(),
        noun_for(facts, "fact")
    );
    let kept =
        aside.map(|aside| format!(" The book that was there is kept as {}.", aside.display()));
    let names = (forgotten > 0).then(|| {
        format!(
            " The {} of {}, forgotten since, {} taken out again.",
            noun_for(forgotten, "name"),
            counted(forgotten, "party"),
            agreeing(forgotten, "was", "were")
        )
    });
    let lost = marks_are_lost.then(|| {
        " It is too damaged to tell which names it had forgotten: forget them again.".to_owned()
    });
    [Some(whole), kept, names, lost].into_iter().flatten().collect()
}

/// Of a book that another one holds nothing beyond.
pub fn nothing_new(other: &Path) -> String {
    format!("Nothing new: this book has all that `{}` holds.", other.display())
}

/// What another book has beyond this one; `counts` is as [`counts`] words it.
pub fn what_is_lacking(other: &Path, counts: &str) -> String {
    format!("`{}` has {counts} that this book lacks.", other.display())
}

/// ` The name of 1 party that it forgot is forgotten here too.`, or nothing.
pub fn forgotten_here(parties: usize) -> String {
    if parties == 0 {
        return String::new();
    }
    format!(
        " The {} of {} that it forgot {} forgotten here too.",
        noun_for(parties, "name"),
        counted(parties, "party"),
        agreeing(parties, "is", "are")
    )
}

/// `3 cuts, 1 survey and 2 corrections`, of facts by their kinds and of what else comes along.
pub fn counts(
    of_kind: impl Fn(Kind) -> usize,
    corrections: usize,
    forgotten: usize,
    earlier: usize,
) -> String {
    let kinds = Kind::ALL.into_iter().map(|kind| (of_kind(kind), kind.name(), kind.plural()));
    let others = [
        (corrections, "correction", "corrections"),
        (forgotten, "mark of a forgotten name", "marks of forgotten names"),
        (earlier, "earlier day for a fact", "earlier days for facts"),
    ];
    let some = kinds.chain(others).filter(|(n, ..)| *n > 0);
    let some = some.map(|(n, one, many)| format!("{n} {}", agreeing(n, one, many)));
    listed(&some.collect::<Vec<_>>())
}

/// What a merge brings: the end stands at once behind what it says, and then what is left to settle.
pub fn merging(title: String, end: &str, sections: Vec<Section>) -> Document {
    Document { title, kind: "Merge", lead: end.to_owned(), sections, foot: Vec::new() }
}

/// How a merge ends that was meant, or only tried out.
pub fn merged(is_tried_out: bool) -> &'static str {
    if is_tried_out {
        "Nothing was recorded, since --dry only shows."
    } else {
        "All of it is recorded."
    }
}

/// Behind a page for a phone.
pub const TO_THE_PHONE: &str = "Send it to the phone as a file and open it there; it needs no signal. \
     What it hands over, `stintbook load` takes in.";

/// Of an export for others, blurred or not: what is in it and what is not.
pub fn for_others(is_blurred: bool) -> &'static str {
    if is_blurred { BLURRED } else { LEFT_OUT }
}

const BLURRED: &str = "Blurred for others: squares in the place of places, other names, no shapes \
    and nobody's name. Whoever also gets a file without --blur knows the places from that.";
const LEFT_OUT: &str = "Left out, since it is nobody else's business: who recorded what, \
    occupiers, telephone numbers, photos, notes, and the ids of facts with their corrections. \
    Places are exact; `--format` with `--blur 1km` makes what does not tell them. `--whole` writes all of it, for your own hands.";
/// Of a page that shows places as they are.
pub const PLACES_ARE_EXACT: &str = "Its places are exact. For whoever is not to know where, \
     `stintbook week --blur 1km` has squares in their place.";

/// Of a table that is brought.
pub const ONLY_SHOWN: &str = "Nothing is recorded yet; --yes records it.";
/// The same where it is asked by a form.
pub const NOT_YET: &str = "Nothing is recorded yet.";
/// Of a table, where questions are open.
pub const UNCLEAR: &str = "Nothing is recorded yet; answer what is unclear first.";
/// Of a reply at a keyboard.
pub const NO_ANSWER: &str = "That does not answer it.";
/// Asked at a keyboard.
pub const WISHED: &str = "Record it? yes or no:";
/// Of a command that only showed what it would do.
pub const NOTHING_RECORDED: &str = "Nothing was recorded.";

/// What is in the demo's book, by kind, and where it lies.
pub fn demo_made(of_kind: impl Fn(Kind) -> usize, book: &Path) -> String {
    format!(
        "The demo is invented: {} sites on open sea with {} patches, and two seasons of walks with \
         {} surveys, {} glances and {} cuts. Its book is `{}`.",
        of_kind(Kind::Site),
        of_kind(Kind::Patch),
        of_kind(Kind::Survey),
        of_kind(Kind::Glance),
        of_kind(Kind::Cut),
        book.display()
    )
}

/// Where a browser finds the book.
pub fn serving(address: &str) -> String {
    format!("The book is open at {address} in a browser; Ctrl-C ends it.")
}

/// Before the link itself.
pub fn access_link(name: &str) -> String {
    format!("{name} sets a passphrase by this link, once, within a week:")
}

/// Of a role of a server that was let in just now; `signs` is `None` where it records nothing.
pub fn role_let_in(role: &str, may: &str, signs: Option<&str>, sites: &[String]) -> String {
    let what = what_it_may(may, sites);
    match signs {
        Some(signs) => {
            format!("The role `{role}` is {what} now, and what it records is signed by {signs}.")
        }
        None => format!("The role `{role}` is {what} now, and records nothing."),
    }
}

/// The same in a list.
pub fn role(role: &str, may: &str, signs: Option<&str>, sites: &[String]) -> String {
    let signs = signs.map(|signs| format!(", signs as {signs}")).unwrap_or_default();
    format!("{role}: {}{signs}", what_it_may(may, sites))
}

fn what_it_may(may: &str, sites: &[String]) -> String {
    match sites {
        [] => may.to_owned(),
        sites => format!("{may} of {}", listed(sites)),
    }
}

/// Of a role that may do nothing any longer.
pub fn role_ended(role: &str) -> String {
    format!("The role `{role}` may do nothing with this book any longer. What it recorded stays.")
}

/// Of a shared book that nobody but its owner may open.
pub const NO_ROLES: &str = "No role has been let in: only who owns the database may read or write.";

/// What a deletion on a server cannot reach.
pub const NOT_VOUCHED_FOR: &str = "It is deleted on the server too. What cannot be vouched for: the \
    server's log of changes, its replicas and its backups may still have it, and so may another's \
    working copy until the next command there. Whoever runs the server must see to those.";

/// Of somebody whose account is gone.
pub fn access_ended(name: &str) -> String {
    format!("{name} may sign in no longer. What {name} recorded stays.")
}

/// Where there are no accounts.
pub const NO_ACCESS: &str = "Nobody has an account: whoever sits at this machine may do all.";
