//! `stintbook permit`: record what an occupier agreed to.

use jiff::civil::Date;

use super::args::{Signed, day, people, words};
use super::close::Tried;
use super::context::Context;
use super::failure::{Failure, Status};
use super::named;
use super::typed;
use crate::book::{Decision, Moment, Scope};
use crate::gate::{Because, Places, Surroundings};
use crate::records::{Basis, Directory, FactId, SiteFacts, SiteName};
use crate::report::effects_list;
use crate::report::layout::paragraph;
use crate::report::receipt::{self, Permitted};
use crate::units::{Amount, Measure};

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    stintbook permit \"north wood\" --basis spoken --to 2027-10-31 --by Ida\n  \
    stintbook permit shore --basis written --for walk,sale --crops sea-beet-leaf --cap-per-visit 2kg --ask-first \
    --instead --by Ida\n\n\
    Of several permissions the one that leaves most room counts: say --instead where the new one \
    takes the place of those that hold.")]
pub struct Permit {
    /// The site.
    site: String,
    /// On what it rests: written, spoken, right or custom.
    #[arg(long)]
    basis: Basis,
    /// What for: `own use`, `walk`, `sale` (default: own use).
    #[arg(long = "for", value_name = "PURPOSE,…", value_delimiter = ',', value_parser = words)]
    purposes: Vec<String>,
    /// Its first day (default: --on, or today).
    #[arg(long, value_name = "DATE", value_parser = day)]
    from: Option<Date>,
    /// Its last day (default: until further notice).
    #[arg(long, value_name = "DATE", value_parser = day)]
    to: Option<Date>,
    /// Crops of the catalogue (default: every crop).
    #[arg(long, value_name = "CROP,…", value_delimiter = ',', value_parser = words)]
    crops: Vec<String>,
    /// Ways of cutting, such as scissors (default: any).
    #[arg(long, value_name = "WAY,…", value_delimiter = ',', value_parser = words)]
    methods: Vec<String>,
    /// The most of each crop in one day, like 2kg.
    #[arg(long, value_name = "AMOUNT")]
    cap_per_visit: Option<Amount>,
    /// The most of each crop in one season.
    #[arg(long, value_name = "AMOUNT")]
    cap_per_season: Option<Amount>,
    /// How many people may come at once.
    #[arg(long, value_name = "N", value_parser = people, allow_negative_numbers = true)]
    largest_party: Option<u32>,
    /// The occupier wants to be asked before each visit.
    #[arg(long)]
    ask_first: bool,
    /// More than a code of practice's cap is agreed in writing.
    #[arg(long)]
    lifts_code_cap: bool,
    /// Anything else that was said.
    #[arg(long, value_parser = words)]
    note: Option<String>,
    /// In the place of the permissions that hold on its first day or begin later.
    #[arg(long)]
    instead: bool,
    #[command(flatten)]
    signed: Signed,
    #[command(flatten)]
    tried: Tried,
}

struct Outcome {
    ids: String,
    /// How many permissions it took the place of.
    ended: usize,
    /// How many hold beside it.
    beside: usize,
}

pub fn run(context: &Context, asked: &Permit) -> Result<Status, Failure> {
    let mut book = context.open()?;
    let site = named::site(&book, &asked.site)?;
    book.is_about(Scope::Site(site.clone()), None);
    let decide = |moment: &Moment<'_>| asked.decide(context, &site, moment);
    let scope = |_: &Moment<'_>| Ok(Scope::Site(site.clone()));
    let done = context.gate()?.foresee(&mut book, asked.tried.dry, scope, decide)?;
    let Outcome { ids, ended, beside } = &done.answer;
    let permitted = Permitted {
        site: &site,
        basis: asked.basis,
        from: asked.first_day(context),
        to: asked.to,
        ended: *ended,
        beside: *beside,
    };
    let said = receipt::permitted((!asked.tried.dry).then_some(&**ids), &permitted);
    context.print(&paragraph(&said, context.width, ""))?;
    context.print(&effects_list(&done.effects, asked.tried.dry, context.width))?;
    Ok(Status::Done)
}

impl Permit {
    fn first_day(&self, context: &Context) -> Date {
        self.from.unwrap_or(context.on)
    }

    fn decide(
        &self,
        context: &Context,
        site: &SiteName,
        moment: &Moment,
    ) -> Result<Decision<Outcome>, Failure> {
        let gate = context.gate()?;
        let ledger = moment.ledger(&Scope::Site(site.clone()))?;
        let known = ledger.sites.iter().find(|known| known.site.record.name == *site);
        let places = Places::named(Directory::of(&ledger));
        let surroundings = Surroundings::of(&places, context.catalogue()?);
        let (columns, row) = self.row(context, site).into_iter().unzip::<_, _, Vec<_>, Vec<_>>();
        let entry = typed::entry(&columns, &[row], surroundings.known())?;
        let first = self.first_day(context);
        let others = known.into_iter().flat_map(|site| others(site, first, self.to));
        let others: Vec<FactId> = others.collect();
        let new = gate.decision(moment, &self.tried.answers(), places, vec![entry])?;
        let ids = new.answer.short_ids();
        if !self.instead {
            let answer = Outcome { ids, ended: 0, beside: others.len() };
            return Ok(Decision::new(new.facts, new.corrections, answer));
        }
        let Signed { by, recorded_on } = &self.signed;
        let because =
            Because { why: "another was agreed in its place", by, recorded_on: *recorded_on };
        let last = first.yesterday().map_err(Failure::wrong)?;
        let ended = gate.ended(moment, &others, last, because)?;
        let answer = Outcome { ids, ended: others.len(), beside: 0 };
        let facts = new.facts.into_iter().chain(ended.facts).collect();
        let corrections = new.corrections.into_iter().chain(ended.corrections).collect();
        Ok(Decision::new(facts, corrections, answer))
    }

    fn row(&self, context: &Context, site: &SiteName) -> Vec<(&'static str, String)> {
        let first = self.first_day(context);
        let yes = |is_so: bool| if is_so { "yes".to_owned() } else { String::new() };
        let mut row = vec![
            ("site", site.to_string()),
            ("basis", self.basis.to_string()),
            ("for", self.purposes.join(";")),
            ("from", first.to_string()),
            ("to", self.to.map(|last| last.to_string()).unwrap_or_default()),
            ("crops", self.crops.join(";")),
            ("methods", self.methods.join(";")),
            ("largest_party", self.largest_party.map(|n| n.to_string()).unwrap_or_default()),
            ("ask_first", yes(self.ask_first)),
            ("lifts_code_cap", yes(self.lifts_code_cap)),
            ("note", self.note.clone().unwrap_or_default()),
            ("date", context.on.min(first).to_string()),
            ("by", self.signed.by.clone()),
            ("recorded_on", self.signed.recorded_on()),
        ];
        let cap = |cap: Option<Amount>, mass: &'static str, count: &'static str| {
            cap.map(|cap| match cap.measure {
                Measure::Mass => (mass, cap.value.to_string()),
                Measure::Count => (count, cap.value.to_string()),
            })
        };
        row.extend(cap(self.cap_per_visit, "cap_per_visit_g", "cap_per_visit_count"));
        row.extend(cap(self.cap_per_season, "cap_per_season_g", "cap_per_season_count"));
        row
    }
}

/// The permissions that hold on one of these days.
fn others(site: &SiteFacts, first: Date, to: Option<Date>) -> impl Iterator<Item = FactId> {
    let meets = site.permissions.iter().filter(move |fact| {
        let known = &fact.record;
        known.to.is_none_or(|last| last >= first) && to.is_none_or(|last| known.from <= last)
    });
    meets.map(|fact| fact.id)
}
