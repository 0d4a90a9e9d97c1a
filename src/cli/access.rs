//! `stintbook access`: who may sign in at the desk, and as what.

use clap::Subcommand;
use clap::builder::{PossibleValuesParser, TypedValueParser};

use super::args::words;
use super::context::Context;
use super::failure::{Failure, Status};
use super::named;
use crate::book::{May, is_on_a_server};
use crate::desk::{Access, AccessError, Role};
use crate::report::layout::{hanging, paragraph};
use crate::report::receipt;

#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  \
    stintbook access add Ida --as keeper\n  \
    stintbook access add Tomas --as leader --site shore\n  \
    stintbook access add \"Mr Reed\" --as owner --site shore\n  \
    stintbook access list\n  \
    stintbook access role ida --as leader --signs Ida --site shore   (a shared book)\n\n\
    A keeper may do all; a leader plans and settles walks and closes ground; a forager reads and \
    records; an owner sees the account and the plans of the own site, and nothing else. With \
    --site a leader or forager sees and records those sites alone. The link is opened once, within \
    a week, to set a passphrase. Accounts lie beside the book, in a file of their own that is never \
    merged nor exported.")]
pub struct AccessAsked {
    #[command(subcommand)]
    question: Question,
}

#[derive(Debug, Subcommand)]
enum Question {
    /// Let somebody in; prints the link that sets their passphrase.
    Add(Added),
    /// Print a new link for somebody; the old passphrase holds no longer.
    Link(Linked),
    /// Let somebody in no longer.
    Remove(Removed),
    /// Let a role of the server read a shared book, or write to it.
    Role(RoleLet),
    /// List who may sign in, and for a shared book which roles may do what.
    List,
}

#[derive(Debug, clap::Args)]
struct RoleLet {
    /// The role, as `createuser` made it on the server.
    role: String,
    /// As what: keeper (all), leader (reads the own sites, and records on them under the own name)
    /// or owner (reads the own sites).
    #[arg(long = "as", value_name = "WHAT", value_parser = may(), required_unless_present = "no_longer")]
    may: Option<May>,
    /// The name that it signs with (default: as the role is called).
    #[arg(long, value_name = "NAME", value_parser = words)]
    signs: Option<String>,
    /// A site of its own; may be given several times.
    #[arg(long, value_name = "SITE")]
    site: Vec<String>,
    /// Take from it whatever it might do.
    #[arg(long, conflicts_with_all = ["may", "signs", "site"])]
    no_longer: bool,
}

fn may() -> impl TypedValueParser<Value = May> {
    PossibleValuesParser::new(May::ALL.map(May::name))
        .map(|name| May::ALL.into_iter().find(|may| may.name() == name).unwrap_or(May::Owner))
}

#[derive(Debug, clap::Args)]
struct Added {
    /// Who; what they record is signed so.
    #[arg(value_parser = words)]
    name: String,
    /// As what: keeper, leader, forager or owner.
    #[arg(long = "as", value_name = "ROLE", value_parser = role())]
    role: Role,
    /// Held to this site; may be given several times.
    #[arg(long, value_name = "SITE")]
    site: Vec<String>,
    #[command(flatten)]
    at: At,
}

#[derive(Debug, clap::Args)]
struct Linked {
    /// Who.
    name: String,
    #[command(flatten)]
    at: At,
}

#[derive(Debug, clap::Args)]
struct Removed {
    /// Who.
    name: String,
}

#[derive(Debug, clap::Args)]
struct At {
    /// Where browsers find the desk.
    #[arg(long, value_name = "ADDRESS", default_value = "http://127.0.0.1:7717")]
    at: String,
}

fn role() -> impl TypedValueParser<Value = Role> {
    PossibleValuesParser::new(Role::ALL.map(Role::name))
        .map(|name| Role::ALL.into_iter().find(|role| role.name() == name).unwrap_or(Role::Forager))
}

impl From<AccessError> for Failure {
    fn from(error: AccessError) -> Self {
        match error {
            AccessError::File { .. } | AccessError::NoChance => Self::Storage(error.to_string()),
            _ => Self::wrong(error),
        }
    }
}

pub fn run(context: &Context, asked: &AccessAsked) -> Result<Status, Failure> {
    let access = Access::of(&context.book);
    match &asked.question {
        Question::Add(added) => {
            let sites = added.sites(context)?;
            let key = access.add(&added.name, added.role, &sites)?;
            tell(context, &added.name, &added.at, &key)
        }
        Question::Link(linked) => {
            tell(context, &linked.name, &linked.at, &access.link(&linked.name)?)
        }
        Question::Remove(removed) => {
            access.remove(&removed.name)?;
            let said = receipt::access_ended(&removed.name);
            context.print(&paragraph(&said, context.width, ""))?;
            Ok(Status::Done)
        }
        Question::Role(asked) => asked.run(context),
        Question::List if is_on_a_server(&context.book) => list_roles(context),
        Question::List => list(context, &access),
    }
}

impl Added {
    /// As the book calls them.
    fn sites(&self, context: &Context) -> Result<Vec<String>, Failure> {
        if self.role == Role::Owner && self.site.is_empty() {
            return Err(Failure::wrong("an owner has a site of their own; name it with --site"));
        }
        if self.role == Role::Keeper && !self.site.is_empty() {
            return Err(Failure::wrong("a keeper sees every site; leave --site out"));
        }
        let book = context.open_to_read()?;
        let sites = self.site.iter().map(|name| Ok(named::site(&book, name)?.to_string()));
        sites.collect()
    }
}

impl RoleLet {
    fn run(&self, context: &Context) -> Result<Status, Failure> {
        let mut book = context.open()?;
        let said = match self.may {
            None => {
                book.shut_out(&self.role)?;
                receipt::role_ended(&self.role)
            }
            Some(May::Keeper) if !self.site.is_empty() => {
                return Err(Failure::wrong("a keeper sees every site; leave --site out"));
            }
            Some(may) => {
                if may != May::Keeper && self.site.is_empty() {
                    return Err(Failure::wrong(format!(
                        "a role that is {} has sites of its own; name them with --site",
                        may.name()
                    )));
                }
                let sites = self.site.iter().map(|name| Ok(named::site(&book, name)?.clone()));
                let sites = sites.collect::<Result<Vec<_>, Failure>>()?;
                let signs = self.signs.as_deref().unwrap_or(&self.role);
                book.let_in(&self.role, may, signs, &sites)?;
                let sites: Vec<String> = sites.iter().map(ToString::to_string).collect();
                receipt::role_let_in(&self.role, may.name(), signed(may, signs), &sites)
            }
        };
        context.print(&paragraph(&said, context.width, ""))?;
        Ok(Status::Done)
    }
}

/// What it signs with that records anything.
fn signed(may: May, signs: &str) -> Option<&str> {
    (may != May::Owner).then_some(signs)
}

fn list_roles(context: &Context) -> Result<Status, Failure> {
    let mut book = context.open()?;
    let hands = book.hands()?;
    if hands.is_empty() {
        context.print(&paragraph(receipt::NO_ROLES, context.width, ""))?;
    }
    for hand in hands {
        let sites: Vec<String> = hand.sites.iter().map(ToString::to_string).collect();
        let line =
            receipt::role(&hand.role, hand.may.name(), signed(hand.may, &hand.signs), &sites);
        context.print(&hanging(&line, context.width, "", "  "))?;
    }
    Ok(Status::Done)
}

/// The link on a line of its own, however long it is.
fn tell(context: &Context, name: &str, at: &At, key: &str) -> Result<Status, Failure> {
    context.print(&paragraph(&receipt::access_link(name), context.width, ""))?;
    context.print(&format!("  {}/link?key={key}\n", at.at.trim_end_matches('/')))?;
    Ok(Status::Done)
}

fn list(context: &Context, access: &Access) -> Result<Status, Failure> {
    let accounts = access.accounts()?;
    if accounts.is_empty() {
        context.print(&paragraph(receipt::NO_ACCESS, context.width, ""))?;
    }
    for account in &accounts {
        let sites = match account.sites.as_slice() {
            [] => "all sites".to_owned(),
            sites => sites.join(", "),
        };
        let wait = if account.has_passphrase() { "" } else { "; the link is not opened yet" };
        let line = format!("{}: {}, {sites}{wait}", account.name, account.role.name());
        context.print(&hanging(&line, context.width, "", "  "))?;
    }
    Ok(Status::Done)
}
