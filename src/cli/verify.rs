//! `stintbook verify`: is the book whole, and do its facts agree?

use jiff::civil::Date;

use super::context::Context;
use super::failure::{Failure, Status};
use super::format::Format;
use super::visit::photos_amiss;
use super::week::shared_by_all;
use crate::assess::{
    Contradiction, Double, Namesakes, Overpromised, Prepared, SharedGround, contradictions,
    doubles_by_two_hands, overpromised, prepare_part, shared_ground, sites_that_meet,
};
use crate::book::{Book, STRETCH};
use crate::records::{SiteFacts, SiteName};
use crate::report::{LookedThrough, Unsettled, looked_through_document, looked_through_json};

#[derive(Debug, clap::Args)]
pub struct Verify {
    /// How to answer.
    #[arg(long, default_value = Format::TABLE, value_parser = Format::among(&[Format::Table, Format::Html, Format::Md, Format::Json]))]
    format: Format,
}

pub fn run(context: &Context, asked: &Verify) -> Result<Status, Failure> {
    let book = context.open_to_read()?;
    let found = look_through(context, &book)?;
    let (is_damaged, is_in_order) = (!found.damage.is_empty(), found.is_in_order());
    context.print(&match asked.format {
        Format::Json => looked_through_json(found),
        format => context.laid_out(format, &looked_through_document(found)),
    })?;
    if is_damaged {
        return Err(Failure::Storage("`stintbook restore` puts a backup in its place".to_owned()));
    }
    Ok(if is_in_order { Status::Done } else { Status::No })
}

fn look_through(context: &Context, book: &Book) -> Result<LookedThrough, Failure> {
    let damage = book.integrity()?;
    let mut found = LookedThrough {
        facts: 0,
        damage,
        contradictions: Vec::new(),
        photos: Vec::new(),
        unsettled: Vec::new(),
        likely: Vec::new(),
    };
    if !found.damage.is_empty() {
        return Ok(found);
    }
    found.facts = book.facts_in_all()?;
    let (sites, shared) = of_each_site(context, book)?;
    let walks = book.walks(None)?;
    let (mut namesakes, mut promises) = (Namesakes::of_sites(&walks), Vec::new());
    for site in sites {
        found.contradictions.extend(site.contradictions);
        found.photos.extend(site.photos);
        // Two facts that look alike may well be two: they are told apart from what must be settled.
        found.likely.extend(site.likely);
        namesakes.extend(site.namesakes);
        promises.extend(site.promises);
    }
    namesakes.extend(Namesakes::of_walks(&walks));
    let unsettled = Unsettled {
        clashes: &book.clashes()?,
        namesakes: &namesakes,
        shared: &shared,
        misplaced: &book.misplaced()?,
        likely: &[],
        promises: &promises,
    };
    found.unsettled = unsettled.sections();
    Ok(found)
}

/// What there is to say of a site and its patches.
struct OfSite {
    name: SiteName,
    contradictions: Vec<Contradiction>,
    photos: Vec<String>,
    likely: Vec<Double>,
    namesakes: Vec<Namesakes>,
    promises: Vec<Overpromised>,
}

/// Of every site, in the order of their names, and the ground that two patches claim: a stretch of
/// the book at a time.
fn of_each_site(
    context: &Context,
    book: &Book,
) -> Result<(Vec<OfSite>, Vec<SharedGround>), Failure> {
    let (catalogue, today) = (context.catalogue()?, context.on);
    let told_apart = book.told_apart()?;
    let book = book.stretches(None, STRETCH)?;
    let in_the_end = shared_by_all(&book, catalogue, Date::MAX)?;
    let by_today = shared_by_all(&book, catalogue, today)?;
    let mut shared = shared_ground(&book.land_of(sites_that_meet)?, today);
    let stretches: Vec<Result<_, Failure>> = book.each(|ledger| {
        let last = prepare_part(ledger, catalogue, Date::MAX, &in_the_end)?;
        let now = prepare_part(ledger, catalogue, today, &by_today)?;
        let of_site = |facts: &SiteFacts| {
            let is_own = |patch: &&Prepared| std::ptr::eq(patch.site, facts);
            OfSite {
                name: facts.site.record.name.clone(),
                contradictions: last.iter().filter(is_own).flat_map(contradictions).collect(),
                photos: photos_amiss(context, &facts.visits),
                likely: doubles_by_two_hands(&facts.patches, &told_apart),
                namesakes: Namesakes::of_patches(facts),
                promises: now.iter().filter(is_own).flat_map(|p| overpromised(p, today)).collect(),
            }
        };
        Ok((ledger.sites.iter().map(of_site).collect(), shared_ground(ledger, today)))
    })?;
    let mut sites = Vec::new();
    for stretch in stretches {
        let (of_stretch, claimed): (Vec<OfSite>, Vec<SharedGround>) = stretch?;
        sites.extend(of_stretch);
        shared.extend(claimed);
    }
    sites.sort_by(|one, other| one.name.cmp(&other.name));
    shared.sort_by(|one, other| one.patches.cmp(&other.patches));
    // That of sites that meet was found twice where one stretch has both.
    shared.dedup();
    Ok((sites, shared))
}
