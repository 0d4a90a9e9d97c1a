//! Of walks: recorded, joined, moved, promised, settled, given up.

use jiff::civil::Date;

use super::names::names_deleted;
use crate::assess::Lack;
use crate::records::{Crop, Hold, Party, Taken, Walk, WalkName};
use crate::report::lacking::lacking;
use crate::report::page::{Block, Section};
use crate::report::people::heads;
use crate::units::{agreeing, counted, spoken_day};

/// `is_held` says that its quota is set aside in the same breath; so many names of an earlier
/// walk were deleted.
pub fn recorded(ids: &str, walk: &Walk, leader: &str, is_held: bool, names_gone: usize) -> String {
    let next = match is_held {
        true => String::new(),
        false => {
            let name = &walk.name;
            format!(" Nothing is set aside yet: `stintbook walk hold \"{name}\"` does it.")
        }
    };
    let gone = match names_gone {
        0 => String::new(),
        n => format!(" An earlier walk was called like it. {}.", names_deleted(n)),
    };
    format!(
        "Recorded as {ids}: {} on {} {}, {} in {}, led by {leader}; seed {}.{next}{gone}",
        walk.name,
        walk.day.strftime("%a"),
        spoken_day(walk.day),
        counted(walk.people(), "person"),
        counted(walk.parties.len(), "party"),
        walk.seed
    )
}

/// So many promises were given up with it, and so many names deleted.
pub fn cancelled(walk: &WalkName, holds: usize, names: usize) -> String {
    let freed = match holds {
        0 => "nothing was set aside for it".to_owned(),
        n => format!("what was set aside on {} is free again", counted(n, "patch")),
    };
    let forgotten = match names {
        0 => String::new(),
        n => format!(" {}.", names_deleted(n)),
    };
    format!("Cancelled {walk}; {freed}.{forgotten}")
}

/// A party that comes along, last of `parties`; promises on so many patches stay.
pub fn joined(
    (id, replaced): (&str, &str),
    walk: &Walk,
    parties: &[Party],
    called: Option<&str>,
    holds: usize,
) -> String {
    let party = parties.last().map(heads).unwrap_or_default();
    let named = called.map_or(String::new(), |name| format!(", called {name}"));
    format!(
        "Recorded as {id}, which takes the place of {replaced}: party {}, {party}{named}, joins \
         {}. {}",
        parties.len(),
        walk.name,
        who_comes(walk, parties, holds)
    )
}

/// A party that no longer comes; `parties` are those that stay.
pub fn left(
    (id, replaced): (&str, &str),
    walk: &Walk,
    (number, party): (u32, &Party),
    parties: &[Party],
    (had_name, holds): (bool, usize),
) -> String {
    let deleted = if had_name { " Its name is deleted." } else { "" };
    format!(
        "Recorded as {id}, which takes the place of {replaced}: party {number}, {}, leaves \
         {}.{deleted}{} {}",
        heads(party),
        walk.name,
        moved_up(number as usize, parties.len()),
        who_comes(walk, parties, holds)
    )
}

/// The new numbers of those behind one that left, of so many that stay.
fn moved_up(left: usize, stay: usize) -> String {
    match stay.saturating_sub(left - 1) {
        0 => String::new(),
        1 => format!(" Party {} is party {left} now.", left + 1),
        n => {
            let to = if n == 2 { "and" } else { "to" };
            let (first, last) = (left + 1, stay + 1);
            format!(" Parties {first} {to} {last} are parties {left} {to} {stay} now.")
        }
    }
}

/// Who comes along now, and what that makes of what is set aside on so many patches.
pub fn who_comes(walk: &Walk, parties: &[Party], holds: usize) -> String {
    let people: u32 = parties.iter().map(Party::people).sum();
    let (people, each) = (counted(people, "person"), counted(parties.len(), "party"));
    let name = &walk.name;
    let now = format!("Now {people} in {each} come to {name}.");
    match holds {
        0 => now,
        holds => format!(
            "{now} What is set aside on {} stays: `stintbook walk split \"{name}\"` splits it \
             among {each}.",
            counted(holds, "patch")
        ),
    }
}

/// `had_name` says that another name was deleted.
pub fn named(walk: &WalkName, party: u32, name: &str, had_name: bool) -> String {
    let deleted = if had_name { " The name that it had is deleted." } else { "" };
    format!("Party {party} of {walk} is called {name}.{deleted}")
}

/// `ids`, the new fact's and the old one's, are `None` where it was only tried out.
pub fn moved(
    ids: Option<(&str, &str)>,
    walk: &WalkName,
    (was, is): (Date, Date),
    moved_holds: usize,
) -> String {
    let along = match moved_holds {
        0 => String::new(),
        n => {
            let goes = if ids.is_none() { "would go" } else { "went" };
            format!(" What is set aside on {} {goes} along.", counted(n, "patch"))
        }
    };
    let days = format!("from {} to {}", spoken_day(was), spoken_day(is));
    match ids {
        None => format!("{walk} would move {days}.{along}"),
        Some((new, old)) => {
            format!(
                "Recorded as {new}, which takes the place of {old}: {walk} moves {days}.{along}"
            )
        }
    }
}

/// How far a walk has come: cuts and promises that bear its name, of which so many are more than
/// the other walks leave it.
pub fn standing(has_passed: bool, cuts: usize, holds: usize, short: usize) -> String {
    let patches = |n: usize| counted(n, "patch");
    match (cuts, holds, short) {
        (0, 0, _) if has_passed => "not settled".to_owned(),
        (0, 0, _) => "nothing set aside".to_owned(),
        (0, n, _) if has_passed => format!("not settled; its hold on {} has lapsed", patches(n)),
        (0, n, 0) => format!("set aside on {}", patches(n)),
        (0, n, short) => format!(
            "set aside on {}, on {short} of them more than the other walks leave it",
            patches(n)
        ),
        (cuts, ..) => format!("settled, {} cut", patches(cuts)),
    }
}

/// What was promised to a walk.
#[derive(Clone, Copy, Debug)]
pub struct SetAside<'a> {
    /// For which walk.
    pub walk: &'a WalkName,
    /// Its day.
    pub day: Date,
    /// With the crop of each.
    pub holds: &'a [(Hold, &'a Crop)],
    /// What of its wants is not to be had.
    pub short: &'a [Lack],
    /// Of how many patches an earlier promise was replaced.
    pub replaced: usize,
}

/// Without a heading.
pub fn set_aside(done: &SetAside) -> Section {
    let SetAside { walk, holds, short, .. } = *done;
    let day = spoken_day(done.day);
    let replaced = match done.replaced {
        0 => String::new(),
        n => format!(", in the place of what was set aside on {}", counted(n, "patch")),
    };
    let said = match holds.is_empty() {
        true => format!("Nothing can be set aside for {walk} on {day}."),
        false => format!("Set aside for {walk} on {day}, until the day after{replaced}:"),
    };
    let lines = holds.iter().map(|(hold, crop)| promise(hold, crop)).collect();
    let mut all = vec![(said, lines)];
    if !short.is_empty() {
        all.push(("Not to be had:".to_owned(), lacking(short)));
    }
    section(all)
}

/// Sentences with what they list.
pub(super) fn section(all: Vec<(String, Vec<String>)>) -> Section {
    let blocks = all.into_iter().map(|(said, lines)| Block::Listed(said, lines)).collect();
    Section { id: "said", heading: String::new(), blocks }
}

fn promise(hold: &Hold, crop: &Crop) -> String {
    let amount = crop.show(hold.amount.value);
    let how = match hold.taken {
        Taken::All => "all that its share allows".to_owned(),
        Taken::OneIn(n) => format!("1 in {n} of what is seen"),
        Taken::ByWeight => "by weight".to_owned(),
    };
    format!("{}: {amount} of {}, {how}", hold.patch, crop.name)
}

/// Of boxes whose weeks are so many walks.
pub fn boxes_set_aside(walks: usize) -> String {
    format!(
        "Set aside, under {}; `stintbook walk list` shows {}.",
        counted(walks, "walk"),
        agreeing(walks, "it", "them")
    )
}

/// Of a sheet that was made of a plan.
pub fn not_set_aside(walk: &WalkName) -> String {
    format!(
        "Nothing is set aside for this walk: `stintbook walk hold \"{walk}\"` does it; then make \
         the sheet anew."
    )
}
