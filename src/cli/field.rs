//! `stintbook field`: a page for a phone without a signal.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use jiff::ToSpan;
use jiff::civil::Date;

use super::context::Context;
use super::failure::{Failure, Status};
use super::file_name::stem;
use super::numbers::whole;
use super::one_site::{of_sites, of_walk_in};
use super::walk::recorded::{asked_on, briefing, ready_for, stated_today, walk_called};
use super::walk::start::start_of_walk;
use super::writing::write_file;
use crate::assess::{Briefing, PatchComing, Prepared, coming, days_from, prepare};
use crate::book::Book;
use crate::records::{Directory, FactId, Ledger, SiteName};
use crate::report::layout::paragraph;
use crate::report::{App, FieldPage, field_page, receipt};

/// More would make a page that a phone opens slowly.
const MOST_PATCHES: usize = 300;
/// Records older than this are no longer looked for on a phone.
const KNOWN_DAYS: i64 = 90;
const FOLDER: &str = "reports";

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  stintbook field --site \"north wood\" -o field.html\n  \
    stintbook field --walk \"spring walk\" -o walk.html\n\n\
    One file that fetches nothing: send it to the phone and open it there. It shows what may be cut \
    on each of the coming days, where one stands, and keeps what is recorded. What it hands over is \
    a file that `stintbook load` takes in, as often as it comes; what came back from a walk goes to \
    `stintbook walk settle`. Its places are exact.")]
pub struct FieldAsked {
    /// Only this site; may be given several times.
    #[arg(long, value_name = "SITE")]
    site: Vec<String>,
    /// For the leader of this walk: what it may take, and nothing else.
    #[arg(long, value_name = "WALK", conflicts_with_all = ["site", "days"])]
    walk: Option<String>,
    /// How many days it holds, the day asked about among them.
    #[arg(long, value_name = "N", default_value_t = 14, value_parser = whole::<u16>(1..=60), allow_negative_numbers = true)]
    days: u16,
    /// Where the page goes (default: reports/field-SITE.html).
    #[arg(short, long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Put in the telephone number of whose land it is, where the book has it.
    #[arg(long)]
    with_telephone: bool,
    /// As the desk serves it: its script comes from there, and what is recorded goes there.
    #[arg(long, hide = true)]
    app: bool,
    /// Whose account signs what is recorded on it.
    #[arg(long, hide = true, requires = "app", value_name = "NAME")]
    account: Option<String>,
}

pub fn run(context: &Context, asked: &FieldAsked) -> Result<Status, Failure> {
    let book = context.open_to_read()?;
    let (name, text) = page_of(context, &book, asked)?;
    let usual = || Path::new(FOLDER).join(&name);
    let path = asked.out.clone().unwrap_or_else(usual);
    let write = || write_file(&path, &text).map(|()| vec![path.clone()]);
    for path in context.hand_over(&[(name.clone(), &text)], write)? {
        context.print(&paragraph(&format!("Written: {}", path.display()), context.width, ""))?;
        context.print(&paragraph(receipt::TO_THE_PHONE, context.width, ""))?;
        context.print(&paragraph(receipt::PLACES_ARE_EXACT, context.width, ""))?;
    }
    Ok(Status::Done)
}

/// What its file is usually called, and the page, for who shows it elsewhere.
pub fn page_of(
    context: &Context,
    book: &Book,
    asked: &FieldAsked,
) -> Result<(String, String), Failure> {
    match &asked.walk {
        Some(walk) => of_walk(context, book, walk, asked),
        None => of_days(context, book, asked),
    }
}

fn of_days(
    context: &Context,
    book: &Book,
    asked: &FieldAsked,
) -> Result<(String, String), Failure> {
    let ledger = of_sites(&asked.site, |scope| book.ledger(scope, None))?;
    let sites = named(&ledger, &asked.site)?;
    let prepared = prepare(&ledger, context.catalogue()?, context.on)?;
    let is_asked = |patch: &&Prepared| {
        sites.is_empty() || sites.contains(patch.facts.patch.record.name.site())
    };
    let wanted: Vec<&Prepared> = prepared.iter().filter(is_asked).collect();
    let days = days_from(context.on, asked.days);
    let patches = few_enough(coming(&wanted, &days))?;
    let stem = match sites.iter().next() {
        Some(site) if sites.len() == 1 => stem(site.as_str()),
        _ => "all".to_owned(),
    };
    let page = page(context, book, &ledger, (&days, &patches), None, asked)?;
    Ok((format!("field-{stem}.html"), page))
}

fn of_walk(
    context: &Context,
    book: &Book,
    walk: &str,
    asked: &FieldAsked,
) -> Result<(String, String), Failure> {
    let ledger = of_walk_in(book, walk)?;
    let walk = walk_called(&ledger, walk)?;
    let start = start_of_walk(None, &ledger, &walk.record)?;
    let (name, day) = (&walk.record.name, walk.record.day);
    let today = asked_on(context, day, stated_today(context, None));
    let briefing = briefing(context, &ledger, walk, start, today)?;
    let prepared = ready_for(context, &ledger, day, today, Some(name))?;
    let of_stop = |stop: &crate::assess::Stop| {
        prepared.iter().find(|patch| patch.facts.patch.record.name == stop.patch)
    };
    // In walking order, so that a stop's number is its patch's.
    let stops: Vec<&Prepared> = briefing.stops.iter().filter_map(of_stop).collect();
    let days = [day];
    let patches = few_enough(coming(&stops, &days))?;
    let shown = (&days[..], &patches[..]);
    let page = page(context, book, &ledger, shown, Some(&briefing), asked)?;
    Ok((format!("field-{}.html", stem(name.as_str())), page))
}

fn page(
    context: &Context,
    book: &Book,
    ledger: &Ledger,
    (days, patches): (&[Date], &[PatchComing]),
    walk: Option<&Briefing>,
    asked: &FieldAsked,
) -> Result<String, Failure> {
    let first = book.first_site()?;
    let shown = shown(ledger, patches);
    Ok(field_page(&FieldPage {
        ledger: &shown,
        days,
        patches,
        walk,
        made_on: context.on,
        book: &first.map(FactId::short).unwrap_or_default(),
        known: &known(&shown, context.on),
        with_telephone: asked.with_telephone,
        app: asked.app.then_some(App { account: asked.account.as_deref() }),
    }))
}

/// The sites that the page shows.
fn shown(ledger: &Ledger, patches: &[PatchComing]) -> Ledger {
    let sites: BTreeSet<&SiteName> =
        patches.iter().filter_map(|patch| Some(patch.days.first()?.patch.site())).collect();
    let shown = ledger.sites.iter().filter(|facts| sites.contains(&facts.site.record.name));
    Ledger { sites: shown.cloned().collect(), eyes_elsewhere: ledger.eyes_elsewhere.clone() }
}

/// What the book has of late that a phone may have recorded.
fn known(ledger: &Ledger, on: Date) -> Vec<FactId> {
    let since = on.checked_sub(KNOWN_DAYS.days()).unwrap_or(Date::MIN);
    let mut known: Vec<FactId> = Vec::new();
    for site in &ledger.sites {
        let visits = site.visits.iter().map(|fact| (fact.id, fact.happened_on));
        let patches = site.patches.iter();
        let of_patches = patches.flat_map(|patch| {
            let cuts = patch.cuts.iter().map(|fact| (fact.id, fact.happened_on));
            cuts.chain(patch.glances.iter().map(|fact| (fact.id, fact.happened_on)))
        });
        let late = visits.chain(of_patches).filter(|(_, day)| *day >= since);
        // A phone draws ids of version 7.
        known.extend(late.map(|(id, _)| id).filter(|id| id.0.get_version_num() == 7));
    }
    known
}

fn named(ledger: &Ledger, asked: &[String]) -> Result<BTreeSet<SiteName>, Failure> {
    let directory = Directory::of(ledger);
    let site = |name: &String| Ok(directory.site_meant(name)?.clone());
    asked.iter().map(site).collect()
}

/// # Errors
/// No patch at all, or too many for a phone.
fn few_enough(patches: Vec<PatchComing>) -> Result<Vec<PatchComing>, Failure> {
    match patches.len() {
        0 => Err(Failure::wrong(
            "there is no patch for a page to show; `stintbook week` says what the book has",
        )),
        1..=MOST_PATCHES => Ok(patches),
        many => Err(Failure::wrong(format!(
            "{many} patches are too many for a phone, which takes {MOST_PATCHES} at most; name \
             sites with --site"
        ))),
    }
}
