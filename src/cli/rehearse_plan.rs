//! What the walks of a rehearsal want, from the command line or a file.

use std::fs::File;
use std::io::BufReader;
use std::sync::Arc;

use jiff::civil::Date;

use super::failure::Failure;
use super::rehearse::Rehearse;
use crate::assess::Prepared;
use crate::intake::{PlannedWalk, Wantable, read_walks};
use crate::rehearsal::{Demand, Walk, Want};
use crate::units::Season;

/// The demand, and how many walks of the file lie before `from`.
pub fn demand(
    asked: &Rehearse,
    season: Season,
    from: Date,
    patches: &[Prepared],
) -> Result<(Demand, usize), Failure> {
    match (&asked.walks, asked.weekly) {
        (None, None) => Ok((Demand::AllAllowed, 0)),
        (None, Some(amount)) if amount.value > 0.0 => Ok((Demand::Weekly(amount), 0)),
        (None, Some(_)) => Err(Failure::wrong("`--weekly` of nothing; ask for more than 0")),
        (Some(path), _) => {
            let name = path.display().to_string();
            let unreadable = |error| Failure::Wrong(format!("could not read `{name}`: {error}"));
            let file = File::open(path).map_err(unreadable)?;
            let rows = read_walks(&name, BufReader::new(file), season, &wantable(patches))?;
            let (past, to_come): (Vec<_>, Vec<_>) =
                rows.into_iter().partition(|row| row.day < from);
            let mut walks: Vec<Walk> = to_come.into_iter().map(|row| walk(row, patches)).collect();
            walks.sort_by_key(|walk| walk.day);
            Ok((Demand::Walks(walks), past.len()))
        }
    }
}

/// Every crop of these patches, and every part in the kitchen.
fn wantable(patches: &[Prepared]) -> Wantable {
    let mut wantable = Wantable::new();
    for crop in patches.iter().map(Prepared::crop) {
        for name in [&crop.name, &crop.kitchen_role] {
            let name: Arc<str> = name.to_lowercase().into();
            let measures = wantable.entry(name).or_default();
            if !measures.contains(&crop.measure) {
                measures.push(crop.measure);
            }
        }
    }
    wantable
}

fn walk(row: PlannedWalk, patches: &[Prepared]) -> Walk {
    let PlannedWalk { day, want, amount } = row;
    let role = patches.iter().map(|patch| &patch.crop().kitchen_role);
    let is_crop = patches.iter().any(|patch| patch.crop().name == want);
    let role = role.into_iter().find(|role| role.to_lowercase() == *want);
    let want = match role {
        Some(role) if !is_crop => Want::Role(role.clone()),
        _ => Want::Crop(want),
    };
    Walk { day, want, amount }
}

/// A whole number, 1 or more.
pub fn whole(text: &str) -> Option<u32> {
    text.parse().ok().filter(|number| *number > 0)
}
