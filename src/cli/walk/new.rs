//! `stintbook walk new`: record who goes out when, where to, and for what.

use std::fs::File;
use std::path::{Path, PathBuf};

use jiff::civil::Date;

use super::forget::end;
use super::hold::{self, HoldWanted};
use super::recorded::asked_on;
use super::sheet::{self, SheetWanted};
use super::wanted::{Wants, all_wants, wants};
use crate::book::{Attendee, Moment, Scope};
use crate::cli::args::{day, words};
use crate::cli::context::Context;
use crate::cli::failure::{Failure, Status};
use crate::cli::numbers::whole;
use crate::cli::recording::{Answered, drawn_seed};
use crate::gate::{Delivery, MOST_PARTIES, Places};
use crate::intake::{Guests, read_guests};
use crate::records::{Directory, Entry, Party, Purpose, Record, SiteName, Walk, WalkName};
use crate::report::layout::paragraph;
use crate::report::receipt;

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    stintbook walk new \"spring walk\" --on 2027-03-20 --leader Ida --site \"north wood\" --adults 11 --children 6\n  \
    stintbook walk new \"spring walk\" --on 2027-03-20 --leader Ida --site \"north wood\" --parties parties.csv\n  \
    stintbook walk new \"spring walk\" --on 2027-03-20 --site north --adults 11 --hold --sheet\n\n\
    --on is the day of the walk. A file of parties has the columns `party` (what to call it), \
    `adults`, `children` and, if its share shall not go by its heads, `weight`. Without a file \
    every adult is a party of one, and the children go with the adults, one each in turn; \
    with --as-one-party all are one party. A child counts half an adult.")]
pub struct NewWalk {
    /// What to call the walk; no other walk is called so.
    name: WalkName,
    /// Who leads it.
    #[arg(long, value_name = "NAME", value_parser = words)]
    leader: String,
    /// Where it starts; further sites it goes to may follow in the same way.
    #[arg(long, value_name = "SITE", required = true)]
    site: Vec<String>,
    /// What to bring home, like `ramsons-leaf=1.5kg,green leaf=2kg` (default: all that may be
    /// cut).
    #[arg(long, value_name = "WHAT=AMOUNT", value_parser = wants)]
    want: Vec<Wants>,
    /// What it gathers for: `walk`, `sale` for boxes, or `own use`.
    #[arg(long = "for", value_name = "USE", default_value = "walk")]
    purpose: Purpose,
    /// A CSV file of who comes, a row each party.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["adults", "children", "as_one_party"])]
    parties: Option<PathBuf>,
    /// How many adults come.
    #[arg(long, value_name = "N", required_unless_present = "parties", value_parser = whole::<u32>(0..))]
    adults: Option<u32>,
    /// How many children come along.
    #[arg(long, value_name = "N", default_value_t = 0, requires = "adults", value_parser = whole::<u32>(0..))]
    children: u32,
    /// They gather as one party.
    #[arg(long, requires = "adults")]
    as_one_party: bool,
    /// Set its quota aside at once, as `walk hold` does.
    #[arg(long)]
    hold: bool,
    /// Write its sheet at once, as `walk sheet` does.
    #[arg(long)]
    sheet: bool,
    /// Settles ties in the split (default: one drawn for you, and shown).
    #[arg(long, value_name = "NUMBER", value_parser = whole::<u32>(1..), allow_negative_numbers = true)]
    seed: Option<u32>,
    /// The day from which it counts as known (default: today).
    #[arg(long, value_name = "DATE", value_parser = day)]
    recorded_on: Option<Date>,
    #[command(flatten)]
    answered: Answered,
}

pub fn run(context: &Context, asked: &NewWalk) -> Result<Status, Failure> {
    let mut book = context.open()?;
    let guests = asked.guests()?;
    let known = book.directory()?;
    let walk = asked.walk(context, &known, &guests)?;
    let planned_on = asked_on(context, walk.day, asked.recorded_on);
    let entry = Entry {
        id: None,
        key: walk.name.to_string(),
        happened_on: planned_on,
        recorded_on: asked.recorded_on,
        by: asked.leader.as_str().into(),
        record: Record::Walk(walk.clone()),
        taken_unsaid: false,
        sure: false,
        again: false,
        unruled: false,
    };
    let attendees = attendees(&walk.name, &guests);
    let delivery = Delivery { names: attendees.clone(), ..Delivery::typed(entry) };
    let sites = std::iter::once(&walk.site).chain(&walk.other_sites).cloned().collect();
    book.is_about(Scope::Sites(sites), Some(walk.name.as_str()));
    let bring = |_: &Moment<'_>| Ok((Places::named(known), vec![delivery]));
    let admitted = context.gate()?.admit(&mut book, &asked.answered.answers(), bring)?;
    let traces = book.clear_away(&admitted.gone);
    let said = receipt::recorded(
        &admitted.short_ids(),
        &walk,
        &asked.leader,
        asked.hold,
        admitted.gone.len(),
    );
    end(context, &said, &traces)?;
    context.print(&of_names(&attendees, context.width))?;
    drop(book);
    asked.make_ready(context, walk.name.as_str())
}

impl NewWalk {
    /// Sets aside and writes the sheet, where that was asked for along with the walk.
    fn make_ready(&self, context: &Context, walk: &str) -> Result<Status, Failure> {
        let mut status = Status::Done;
        if self.hold {
            status = hold::run(context, &HoldWanted::of(walk, self.recorded_on))?;
        }
        if self.sheet {
            sheet::run(context, &SheetWanted::of(walk, self.recorded_on))?;
        }
        Ok(status)
    }

    fn walk(
        &self,
        context: &Context,
        known: &Directory,
        guests: &[Guests],
    ) -> Result<Walk, Failure> {
        let mut sites: Vec<SiteName> = Vec::new();
        for name in &self.site {
            let site = known.site_meant(name)?.clone();
            if !sites.contains(&site) {
                sites.push(site);
            }
        }
        let site = sites.remove(0);
        Ok(Walk {
            name: self.name.clone(),
            day: context.on,
            site,
            other_sites: sites,
            parties: guests.iter().map(|guests| guests.party).collect(),
            wants: all_wants(&self.want, context.catalogue()?)?,
            stated_purpose: Some(self.purpose).filter(|it| *it != Purpose::Walk),
            seed: self.seed.unwrap_or_else(drawn_seed),
        })
    }

    fn guests(&self) -> Result<Vec<Guests>, Failure> {
        if let Some(path) = &self.parties {
            return guests_in(path);
        }
        let adults = self.adults.unwrap_or(0);
        if adults == 0 {
            return Err(Failure::wrong("a walk needs an adult: write --adults with 1 or more"));
        }
        let parties = if self.as_one_party {
            vec![Party { adults, children: self.children, stated_weight: None }]
        } else {
            parties_of_one(adults, self.children)
        };
        if !parties.iter().all(Party::is_usable) || parties.len() > MOST_PARTIES {
            return Err(Failure::wrong(format!(
                "{adults} adults and {} children are more than anyone leads; write 1000 at most",
                self.children
            )));
        }
        Ok(parties.into_iter().map(|party| Guests { label: None, party }).collect())
    }
}

/// Every adult for itself, and the children one each with them in turn.
fn parties_of_one(adults: u32, children: u32) -> Vec<Party> {
    let (each, more) = (children / adults, children % adults);
    let adults = adults.min(MOST_PARTIES as u32 + 1);
    let party =
        |n: u32| Party { adults: 1, children: each + u32::from(n < more), stated_weight: None };
    (0..adults).map(party).collect()
}

fn guests_in(path: &Path) -> Result<Vec<Guests>, Failure> {
    let file = File::open(path)
        .map_err(|error| Failure::Wrong(format!("could not read `{}`: {error}", path.display())))?;
    let guests = read_guests(&path.display().to_string(), file)?;
    match guests.len() {
        0 => Err(Failure::Wrong(format!("`{}` has no party in it", path.display()))),
        n if n > MOST_PARTIES => Err(Failure::Wrong(format!(
            "`{}` has {n} parties in it; {MOST_PARTIES} is the most",
            path.display()
        ))),
        _ => Ok(guests),
    }
}

fn attendees(walk: &WalkName, guests: &[Guests]) -> Vec<Attendee> {
    let named = guests.iter().zip(1..).filter_map(|(guests, party)| {
        let name = guests.label.clone()?;
        Some(Attendee { walk: walk.clone(), party, name })
    });
    named.collect()
}

/// What is kept of names, and what had better not be.
pub fn of_names(attendees: &[Attendee], width: usize) -> String {
    if attendees.is_empty() {
        return String::new();
    }
    let is_long =
        |name: &str| name.contains([' ', '@', '.']) || name.contains(|c: char| c.is_ascii_digit());
    let names = attendees.iter().map(|attendee| &*attendee.name);
    let long: Vec<&str> = names.filter(|name| is_long(name)).collect();
    let said = receipt::first_names_only(&long);
    paragraph(&said, width, "")
}
