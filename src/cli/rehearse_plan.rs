//! Which walks a rehearsal plays: one a week, those of a file, or those of the book.

use std::path::Path;

use jiff::civil::Date;

use super::context::Context;
use super::failure::Failure;
use super::reading::{Source, apart, read_maps, read_tables};
use crate::assess::{Prepared, understood};
use crate::book::Book;
use crate::gate::Places;
use crate::records::{Crop, Ledger, Record, SiteName, Walk};
use crate::rehearsal::Demand;
use crate::report::{LeftOut, PlanFrom};
use crate::units::{Amount, Season, spoken_day};

/// What is played, where it comes from, and what is not played.
#[derive(Debug)]
pub struct Played {
    pub demand: Demand,
    pub plan_from: PlanFrom,
    pub left_out: LeftOut,
}

/// The days that are played, and what they are narrowed to.
#[derive(Clone, Copy, Debug)]
pub struct Stretch<'a> {
    pub season: Season,
    pub from: Date,
    pub site: Option<&'a SiteName>,
    pub crop: Option<&'a Crop>,
}

/// Each week so much.
pub fn weekly(amount: Amount) -> Result<Played, Failure> {
    if amount.value > 0.0 {
        Ok(each_week(Demand::Weekly(amount), PlanFrom::EachWeek, LeftOut::default()))
    } else {
        Err(Failure::wrong("`--weekly` of nothing; ask for more than 0"))
    }
}

fn each_week(demand: Demand, plan_from: PlanFrom, left_out: LeftOut) -> Played {
    Played { demand, plan_from, left_out }
}

/// The walks that the book still has to come; where there is none, each week all that is allowed.
pub fn walks_of_book(
    context: &Context,
    ledger: &Ledger,
    stretch: Stretch,
) -> Result<Played, Failure> {
    let walks = ledger.walks().map(|fact| fact.record.clone());
    let (walks, all_left) = sorted(walks, ledger, stretch);
    // What lies behind, or beyond the season, was not asked about.
    let left_out = LeftOut { elsewhere: all_left.elsewhere, ..LeftOut::default() };
    if walks.is_empty() {
        return Ok(each_week(Demand::AllAllowed, PlanFrom::NoWalkRecorded, left_out));
    }
    make_sense(context, &walks, "the book")?;
    Ok(Played { demand: Demand::Walks(walks), plan_from: PlanFrom::Book, left_out })
}

/// The walks of a file like `sites/walks.csv`, which are not recorded.
pub fn walks_of_file(
    context: &Context,
    book: &Book,
    ledger: &Ledger,
    path: &Path,
    stretch: Stretch,
) -> Result<Played, Failure> {
    let name = path.display().to_string();
    let mut places = Places::named(book.directory()?);
    let source = [Source::File(path.into())];
    let (maps, tables) = apart(&source)?;
    let mut files = read_maps(&maps, &mut places, context.catalogue()?)?;
    files.extend(read_tables(&tables, &places, context.catalogue()?)?);
    let mut walks = Vec::new();
    for entry in files.into_iter().flat_map(|file| file.entries) {
        match entry.record {
            Record::Walk(walk) => walks.push(walk),
            other => {
                return Err(Failure::Wrong(format!(
                    "`{name}` holds {}; `rehearse --walks` takes a file of walks, like \
                     sites/walks.csv",
                    other.kind().plural()
                )));
            }
        }
    }
    if walks.is_empty() {
        return Err(Failure::Wrong(format!("no walk stands in `{name}`; write a row for each")));
    }
    make_sense(context, &walks, &format!("`{name}`"))?;
    let (walks, left_out) = sorted(walks, ledger, stretch);
    if walks.is_empty() {
        return Err(Failure::Wrong(format!(
            "no walk of `{name}` is left to play from {} to {}; see --season and --on",
            spoken_day(stretch.from),
            spoken_day(stretch.season.last_day())
        )));
    }
    Ok(Played { demand: Demand::Walks(walks), plan_from: PlanFrom::File(name), left_out })
}

/// Those that are played, in the order of their days, and how many are not.
fn sorted(
    walks: impl IntoIterator<Item = Walk>,
    ledger: &Ledger,
    stretch: Stretch,
) -> (Vec<Walk>, LeftOut) {
    let mut played = Vec::new();
    let mut left_out = LeftOut::default();
    for mut walk in walks {
        if walk.day < stretch.from {
            left_out.before += 1;
        } else if walk.day > stretch.season.last_day() {
            left_out.after += 1;
        } else if !ledger.cuts_of(&walk.name).is_empty() {
            left_out.settled += 1;
        } else if stretch.narrows_away(&mut walk) {
            left_out.elsewhere += 1;
        } else {
            played.push(walk);
        }
    }
    played.sort_by(|one, other| (one.day, &one.name).cmp(&(other.day, &other.name)));
    (played, left_out)
}

impl Stretch<'_> {
    pub fn has(&self, patch: &Prepared) -> bool {
        let record = &patch.facts.patch.record;
        self.site.is_none_or(|site| record.name.site() == site)
            && self.crop.is_none_or(|crop| record.crop == crop.name)
    }

    /// Takes from the walk all wants that were not asked about; says whether nothing is left.
    fn narrows_away(&self, walk: &mut Walk) -> bool {
        let is_elsewhere = self.site.is_some_and(|site| walk.sites().all(|other| other != site));
        let Some(crop) = self.crop else { return is_elsewhere };
        let wants = walk.wants.len();
        walk.wants.retain(|want| want.what == crop.name || want.what == crop.kitchen_role);
        is_elsewhere || (wants > 0 && walk.wants.is_empty())
    }
}

/// # Errors
/// Every walk that wants what is neither a crop nor a role in the kitchen.
fn make_sense(context: &Context, walks: &[Walk], source: &str) -> Result<(), Failure> {
    let catalogue = context.catalogue()?;
    let unfit =
        walks.iter().filter_map(|walk| Some((walk, understood(&walk.wants, catalogue).err()?)));
    let told = unfit.map(|(walk, unfit)| format!("{source}, `{}`: {unfit}", walk.name));
    let told: Vec<String> = told.collect();
    if told.is_empty() { Ok(()) } else { Err(Failure::Wrong(told.join("\n"))) }
}
