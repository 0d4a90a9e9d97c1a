//! `stintbook calendar`: the months in which each patch may be cut, and what they may bring.

use jiff::civil::Date;
use jiff::{Span, ToSpan};

use super::args::day;
use super::context::Context;
use super::failure::{Failure, Status};
use super::format::Format;
use super::named;
use super::numbers::whole;
use super::one_site::site_alone;
use crate::assess::{Calendar, Prepared, calendar, planned_takes, prepare};
use crate::book::{Book, Scope};
use crate::records::{Ledger, Purpose, SiteName};
use crate::report::{
    calendar_document, calendar_json, calendar_svg, month_document, planned_takes_document,
    planned_takes_json,
};

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  stintbook calendar\n  \
    stintbook calendar --month 2027-04\n  \
    stintbook calendar --site shore --year 2027 --format svg > shore-2027.svg\n  \
    stintbook calendar --site shore --ahead \"1 month\"\n\n\
    Twelve months from the current one on, or a whole year: the season of each crop as it is on \
    this ground, the months in which it was cut in earlier years, and what is expected to open, \
    with how much and how sure. --month says what a walk of that month can cook with, by kitchen \
    role. --ahead says to a site's owner what would be taken from it if all goes that is planned; \
    nobody is named in it.")]
pub struct CalendarAsked {
    /// Only this site.
    #[arg(long)]
    site: Option<String>,
    /// Only this crop.
    #[arg(long)]
    crop: Option<String>,
    /// January to December of this year (default: twelve months from the day asked about).
    #[arg(long, value_name = "YEAR", value_parser = whole::<u16>(1900..=2200), conflicts_with = "month")]
    year: Option<u16>,
    /// What this month can cook with, like `2027-04`; it may lie eleven months ahead.
    #[arg(long, value_name = "MONTH", value_parser = month)]
    month: Option<Date>,
    /// What for: `walk`, `sale` or `own use` (default: for --month `walk`, else whatever there is
    /// leave for).
    #[arg(long = "for", value_name = "USE")]
    purpose: Option<Purpose>,
    /// What is planned on the site so far ahead, like `1 month`, `6 weeks` or `20 days`.
    #[arg(
        long,
        value_name = "SPAN",
        value_parser = span,
        requires = "site",
        conflicts_with_all = ["crop", "year", "month", "purpose"]
    )]
    ahead: Option<Span>,
    /// How to answer.
    #[arg(long, default_value = Format::TABLE, value_parser = Format::among(&[Format::Table, Format::Html, Format::Md, Format::Svg, Format::Json]))]
    format: Format,
}

/// The first day of a month.
pub fn month(text: &str) -> Result<Date, String> {
    let unreadable = || format!("`{text}` is not a month; write year and month, like `2027-03`");
    let is_month = text.len() == "2027-03".len();
    if is_month { day(&format!("{text}-01")).map_err(|_| unreadable()) } else { Err(unreadable()) }
}

/// Longer than anyone plans.
const MOST_AHEAD: i64 = 1000;

fn span(text: &str) -> Result<Span, String> {
    let unreadable =
        || format!("`{text}` is no span of time; write it like `1 month` or `6 weeks`");
    let (number, unit) = text.trim().split_once(' ').ok_or_else(unreadable)?;
    let number = number.parse().ok().filter(|n| (1..=MOST_AHEAD).contains(n));
    let number: i64 = number.ok_or_else(unreadable)?;
    match unit.trim() {
        "day" | "days" => Ok(number.days()),
        "week" | "weeks" => Ok(number.weeks()),
        "month" | "months" => Ok(number.months()),
        _ => Err(unreadable()),
    }
}

pub fn run(context: &Context, asked: &CalendarAsked) -> Result<Status, Failure> {
    let book = context.open_to_read()?;
    if let (Some(span), Some(site)) = (asked.ahead, &asked.site) {
        return asked.say_ahead(context, &book, site, span);
    }
    let (site, ledger) = match &asked.site {
        Some(name) => {
            let (site, ledger) = site_alone(&book, name)?;
            (Some(site), ledger)
        }
        None => (None, book.ledger(&Scope::All, None)?),
    };
    let found = asked.calendar(context, site.as_ref(), &ledger)?;
    context.print(&match (asked.format, asked.month) {
        (Format::Json, _) => calendar_json(&found),
        (Format::Svg, _) => calendar_svg(&found).map_err(Failure::wrong)?,
        (format, Some(month)) => context.laid_out(format, &month_document(&found, month)),
        (format, None) => {
            context.laid_out(format, &calendar_document(&found).map_err(Failure::wrong)?)
        }
    })?;
    Ok(Status::Done)
}

impl CalendarAsked {
    fn calendar(
        &self,
        context: &Context,
        site: Option<&SiteName>,
        ledger: &Ledger,
    ) -> Result<Calendar, Failure> {
        let crop = self.crop.as_deref().map(|name| named::crop(context, name)).transpose()?;
        let mut prepared = prepare(ledger, context.catalogue()?, context.on)?;
        prepared.retain(|patch: &Prepared| {
            patch.is_kept_on(context.on)
                && site.is_none_or(|site| patch.facts.patch.record.name.site() == site)
                && crop.as_ref().is_none_or(|crop| *patch.crop().name == **crop)
        });
        let purpose = self.purpose.or(self.month.map(|_| Purpose::Walk));
        Ok(calendar(&prepared, context.on, self.first(context)?, purpose))
    }

    fn first(&self, context: &Context) -> Result<Date, Failure> {
        let on = context.on;
        if let Some(year) = self.year {
            return Date::new(year as i16, 1, 1).map_err(Failure::wrong);
        }
        let first = on.first_of_month();
        if let Some(month) = self.month {
            let last = first.checked_add(11.months()).unwrap_or(first);
            if !(first..=last).contains(&month) {
                return Err(Failure::wrong(format!(
                    "--month {} is not among the twelve from {} on; name one of them, or another \
                     day with --on",
                    month.strftime("%Y-%m"),
                    first.strftime("%Y-%m")
                )));
            }
        }
        Ok(first)
    }

    fn say_ahead(
        &self,
        context: &Context,
        book: &Book,
        site: &str,
        span: Span,
    ) -> Result<Status, Failure> {
        let ledger = book.ledger(&Scope::All, None)?;
        let site = named::site(book, site)?;
        let until = context.on.checked_add(span).unwrap_or(Date::MAX);
        let planned = planned_takes(&ledger, context.catalogue()?, &site, context.on, until)
            .map_err(Failure::wrong)?;
        context.print(&match self.format {
            Format::Json => planned_takes_json(&planned),
            Format::Svg => {
                return Err(Failure::wrong(
                    "`--ahead` draws nothing; ask for `--format table`, html, md or json",
                ));
            }
            format => context.laid_out(format, &planned_takes_document(&planned)),
        })?;
        Ok(Status::Done)
    }
}
