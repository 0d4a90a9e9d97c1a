//! `stintbook survey advise`: which patches to survey next.

use super::context::Context;
use super::failure::{Failure, Status};
use super::format::Format;
use super::named;
use super::numbers::number_that;
use super::one_site::{peers, site_alone};
use crate::assess::{advise, advise_beside, guessed, prepare};
use crate::book::Scope;
use crate::report::{survey_advice_csv, survey_advice_document, survey_advice_json};

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  stintbook survey advise\n  \
    stintbook survey advise --site shore --precision 20%\n\n\
    Ranked by what a survey would add to one day's limit, for each quadrat: surveys that expire \
    or have expired, patches never surveyed, and doubt. Only patches that could be cut within \
    60 days count.")]
pub struct AdviceWanted {
    /// Only this site.
    #[arg(long)]
    site: Option<String>,
    /// Only this crop.
    #[arg(long)]
    crop: Option<String>,
    /// How near the mean is to be known: half of its 95 % interval, as a part of the mean.
    #[arg(long, value_name = "PERCENT", default_value = "20%", value_parser = precision)]
    precision: f64,
    /// How to answer.
    #[arg(long, default_value = Format::TABLE, value_parser = Format::among(&[Format::Table, Format::Html, Format::Md, Format::Csv, Format::Json]))]
    format: Format,
}

pub fn run(context: &Context, asked: &AdviceWanted) -> Result<Status, Failure> {
    let book = context.open_to_read()?;
    let (site, ledger) = match &asked.site {
        Some(name) => {
            let (site, ledger) = site_alone(&book, name)?;
            (Some(site), ledger)
        }
        None => (None, book.ledger(&Scope::All, None)?),
    };
    let crop = asked.crop.as_deref().map(|name| named::crop(context, name)).transpose()?;
    let prepared = prepare(&ledger, context.catalogue()?, context.on)?;
    let wanted = |patch: &crate::assess::Prepared| {
        let record = &patch.facts.patch.record;
        site.as_ref().is_none_or(|site| record.name.site() == site)
            && crop.as_ref().is_none_or(|crop| *record.crop == **crop)
    };
    let advice = match &asked.site {
        None => advise(&prepared, wanted, context.on, asked.precision),
        Some(_) => {
            let peers = peers(&book, guessed(&prepared, wanted, context.on))?;
            let peers = prepare(&peers, context.catalogue()?, context.on)?;
            advise_beside(&peers, &prepared, wanted, context.on, asked.precision)
        }
    };
    let text = match asked.format {
        Format::Csv => survey_advice_csv(&advice).map_err(Failure::wrong)?,
        Format::Json => survey_advice_json(&advice),
        format => context.laid_out(format, &survey_advice_document(&advice)),
    };
    context.print(&text)?;
    Ok(Status::Done)
}

/// `20%` or `0.2`.
fn precision(text: &str) -> Result<f64, String> {
    let (number, whole) = match text.trim().strip_suffix('%') {
        Some(number) => (number, 100.0),
        None => (text, 1.0),
    };
    let like = "`20%`, more than 0 and at most 100%";
    let part = number_that(number, |part| part > 0.0 && part <= whole, "a precision", like)?;
    Ok(part / whole)
}
