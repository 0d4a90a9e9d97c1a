//! `stintbook close` and `reopen`: shut a site or a patch, and let it be cut again.

use jiff::civil::Date;

use super::args::{Signed, day, words};
use super::context::Context;
use super::failure::{Failure, Status};
use super::place::Place;
use super::typed;
use crate::book::{Decision, Moment, Scope};
use crate::gate::{Admitted, Answers, Because, Ended, Places, Question, Surroundings, Turned};
use crate::records::{Closure, Directory, Fact, FactId, SiteFacts};
use crate::report::effects_list;
use crate::report::layout::paragraph;
use crate::report::receipt;
use crate::units::{agreeing, counted, spoken_day};

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    stintbook close \"mill bank\" --why nesting --to 2027-07-31 --by Ida\n  \
    stintbook close shore --why \"the occupier asked\" --by Ida --dry\n\n\
    Shut from --on (today) until --to, or until `stintbook reopen`. It says what might have been \
    cut in the coming fortnight, and which walks were promised something.")]
pub struct Close {
    /// The site or patch; `shore/` is the site where a patch is called `shore` too.
    place: String,
    /// Why, in plain words.
    #[arg(long, value_parser = words)]
    why: String,
    /// The first closed day (default: --on, or today).
    #[arg(long, value_name = "DATE", value_parser = day)]
    from: Option<Date>,
    /// The last closed day (default: until further notice).
    #[arg(long, value_name = "DATE", value_parser = day)]
    to: Option<Date>,
    #[command(flatten)]
    signed: Signed,
    #[command(flatten)]
    tried: Tried,
}

#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  \
    stintbook reopen \"mill bank\" --why \"the young have flown\" --by Ida\n\n\
    It may be cut again from --on (today): its closures end the day before, and those that were \
    to begin later are taken back.")]
pub struct Reopen {
    /// The site or patch; `shore/` is the site where a patch is called `shore` too.
    place: String,
    /// Why, kept with what is put right.
    #[arg(long, default_value = "reopened", value_parser = words)]
    why: String,
    #[command(flatten)]
    signed: Signed,
    #[command(flatten)]
    tried: Tried,
}

/// How far a deed goes.
#[derive(Clone, Copy, Debug, clap::Args)]
pub struct Tried {
    /// Say what it would change, and record nothing.
    #[arg(long)]
    pub dry: bool,
    /// It is meant, though it looks like a slip.
    #[arg(long)]
    pub sure: bool,
}

impl Tried {
    pub fn answers(self) -> Answers<'static> {
        Answers { sure: self.sure, ..Answers::default() }
    }
}

pub fn close(context: &Context, asked: &Close) -> Result<Status, Failure> {
    let mut book = context.open()?;
    let place = Place::called(&asked.place, &book.directory()?)?;
    book.is_about(Scope::Site(place.site().clone()), None);
    let decide = |moment: &Moment<'_>| asked.decide(context, &place, moment);
    let scope = |_: &Moment<'_>| Ok(place.scope());
    let done = context.gate()?.foresee(&mut book, asked.tried.dry, scope, decide)?;
    let ids = done.answer.short_ids();
    let said = receipt::closed(
        (!asked.tried.dry).then_some(&*ids),
        &place.to_string(),
        (asked.first_day(context), asked.to),
        &asked.why,
    );
    context.print(&paragraph(&said, context.width, ""))?;
    context.print(&effects_list(&done.effects, asked.tried.dry, context.width))?;
    Ok(Status::Done)
}

impl Close {
    fn first_day(&self, context: &Context) -> Date {
        self.from.unwrap_or(context.on)
    }

    fn decide(
        &self,
        context: &Context,
        place: &Place,
        moment: &Moment,
    ) -> Result<Decision<Admitted>, Failure> {
        let gate = context.gate()?;
        let ledger = moment.ledger(&place.scope())?;
        let site = ledger.sites.iter().find(|site| site.site.record.name == *place.site());
        let places = Places::named(Directory::of(&ledger));
        let first = self.first_day(context);
        let row = vec![
            place.site().to_string(),
            place.patch().unwrap_or_default().to_owned(),
            first.to_string(),
            self.to.map(|last| last.to_string()).unwrap_or_default(),
            self.why.clone(),
            context.on.min(first).to_string(),
            self.signed.by.clone(),
            self.signed.recorded_on(),
        ];
        let columns = ["site", "patch", "from", "to", "reason", "date", "by", "recorded_on"];
        let surroundings = Surroundings::of(&places, context.catalogue()?);
        let entry = typed::entry(&columns, &[row], surroundings.known())?;
        let asks = site.into_iter().flat_map(|site| self.questions(place, site, first));
        let asks: Vec<Question> = asks.collect();
        if !self.tried.sure && !asks.is_empty() {
            return Err(Turned::Questions(asks).into());
        }
        Ok(gate.decision(moment, &self.tried.answers(), places, vec![entry])?)
    }

    /// What looks as if another day or place was meant.
    fn questions(&self, place: &Place, site: &SiteFacts, first: Date) -> Vec<Question> {
        let is_shut = |day: Date| first <= day && self.to.is_none_or(|last| day <= last);
        let shut = site.patches.iter().filter(|patch| {
            place.patch().is_none_or(|name| patch.patch.record.name.patch() == name)
        });
        let cuts = shut.flat_map(|patch| &patch.cuts).filter(|cut| is_shut(cut.happened_on));
        let cuts = u32::try_from(cuts.count()).unwrap_or(u32::MAX);
        let sure = "say --sure if it is meant".to_owned();
        let mut asks = Vec::new();
        if cuts > 0 {
            asks.push(Question {
                place: String::new(),
                found: format!(
                    "{} of {place} {} recorded on days that this shuts",
                    counted(cuts, "cut"),
                    agreeing(cuts, "is", "are")
                ),
                way_out: format!("write another --from, or {sure}"),
            });
        }
        let known = site.closures.iter().map(|fact| &fact.record).find(|known| {
            let covers =
                place.patch().map_or(known.patch.is_none(), |patch| known.covers_patch(patch));
            let lasts = known.to.is_none_or(|last| self.to.is_some_and(|asked| asked <= last));
            covers && known.from <= first && lasts
        });
        if let Some(Closure { from, reason, .. }) = known {
            asks.push(Question {
                place: String::new(),
                found: format!(
                    "{place} is closed on all those days already, since {}: {reason}",
                    spoken_day(*from)
                ),
                way_out: sure,
            });
        }
        asks
    }
}

pub fn reopen(context: &Context, asked: &Reopen) -> Result<Status, Failure> {
    let mut book = context.open()?;
    let place = Place::called(&asked.place, &book.directory()?)?;
    book.is_about(Scope::Site(place.site().clone()), None);
    let decide = |moment: &Moment<'_>| asked.decide(context, &place, moment);
    let scope = |_: &Moment<'_>| Ok(place.scope());
    let done = context.gate()?.foresee(&mut book, asked.tried.dry, scope, decide)?;
    let Ended { cut_short, withdrawn } = done.answer.ended;
    let still = done.answer.still.iter();
    let said = receipt::reopened(
        &place.to_string(),
        context.on,
        (cut_short, withdrawn),
        still,
        asked.tried.dry,
    );
    context.print(&paragraph(&said, context.width, ""))?;
    context.print(&effects_list(&done.effects, asked.tried.dry, context.width))?;
    Ok(Status::Done)
}

struct Reopened {
    ended: Ended,
    /// Patches of a reopened site that stay shut by closures of their own.
    still: Vec<Closure>,
}

impl Reopen {
    fn decide(
        &self,
        context: &Context,
        place: &Place,
        moment: &Moment,
    ) -> Result<Decision<Reopened>, Failure> {
        let ledger = moment.ledger(&place.scope())?;
        let site = ledger.sites.iter().find(|site| site.site.record.name == *place.site());
        let closures: Vec<&Fact<Closure>> =
            site.into_iter().flat_map(|site| &site.closures).collect();
        let lasts = |closure: &Closure| closure.to.is_none_or(|last| last >= context.on);
        let own =
            closures.iter().filter(|fact| place.is_shut_by(&fact.record) && lasts(&fact.record));
        let own: Vec<FactId> = own.map(|fact| fact.id).collect();
        let of_site = closures.iter().map(|fact| &fact.record).find(|closure| {
            place.patch().is_some() && closure.patch.is_none() && closure.holds_on(context.on)
        });
        if let (true, Some(closure)) = (own.is_empty(), of_site) {
            return Err(Failure::wrong(format!(
                "the whole of {site} is closed, and not {place} alone: {}; `stintbook reopen \
                 \"{site}/\"` opens all of it (nothing was recorded)",
                closure.reason,
                site = place.site()
            )));
        }
        if own.is_empty() {
            return Err(Failure::wrong(format!(
                "{place} has no closure that holds on {} or later; `stintbook check` says what \
                 else keeps a patch shut (nothing was recorded)",
                spoken_day(context.on)
            )));
        }
        let last = context.on.yesterday().map_err(Failure::wrong)?;
        let Signed { by, recorded_on } = &self.signed;
        let because = Because { why: &self.why, by, recorded_on: *recorded_on };
        let Decision { facts, corrections, answer: ended, .. } =
            context.gate()?.ended(moment, &own, last, because)?;
        let still = closures.iter().map(|fact| &fact.record).filter(|closure| {
            place.patch().is_none() && closure.patch.is_some() && closure.holds_on(context.on)
        });
        let answer = Reopened { ended, still: still.cloned().collect() };
        Ok(Decision::new(facts, corrections, answer))
    }
}
