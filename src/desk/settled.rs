//! What was filled in, with every name whole, and nothing that its sender may not see.

use super::ask::{Ask, Field, Form, Shows, parts};
use super::known::{Known, sees_all};
use super::person::Person;
use super::request::Filled;

/// Why a question is not asked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unsettled {
    /// Something that is needed is missing.
    Lacking,
    /// A name that nothing bears, or nothing that its sender may see.
    Unknown(String),
    /// It tells of more than its sender may see.
    NotTheirs,
}

/// Fills in names whole, and the site where it must be one.
///
/// # Errors
/// Why it is not asked.
pub fn settle(
    ask: &Ask,
    known: &Known,
    person: &Person,
    filled: &mut Filled,
) -> Result<(), Unsettled> {
    let names = || ask.fields.iter().filter(|field| field.form.names_something());
    for field in names() {
        let Some(asked) = filled.of(field) else { continue };
        let meant = known.meant(field.form, &asked);
        let seen = meant.as_ref().is_ok_and(|meant| sees_all(person, &meant.sites));
        let unknown = || Unsettled::Unknown(format!("nothing here is called `{asked}`"));
        match meant {
            Ok(meant) if seen => filled.set(field.name, &meant.name),
            Err(sentence) if !person.is_held_to_sites() => {
                return Err(Unsettled::Unknown(sentence));
            }
            // No other answer for what others may see than for what is not there.
            _ => return Err(unknown()),
        }
    }
    stays(ask, known, person, filled)?;
    let lacks = |field: &&Field| field.needed && filled.of(field).is_none();
    if ask.fields.iter().filter(|field| field.form != Form::Hand).any(|field| lacks(&field)) {
        return Err(Unsettled::Lacking);
    }
    let is_open = || !tells_of_the_book(ask) || names().any(|field| filled.of(field).is_some());
    if !person.is_held_to_sites() || is_open() {
        return Ok(());
    }
    match names().find(|field| field.form == Form::Site).zip(known.first_site(person)) {
        Some((field, own)) => filled.set(field.name, &own),
        // What one takes back is one's own.
        None if ask.shows == Shows::Deed => {}
        None => return Err(Unsettled::NotTheirs),
    }
    Ok(())
}

/// Whoever is held to sites moves nothing elsewhere, and whoever only gathers puts right what they
/// wrote down themselves.
fn stays(ask: &Ask, known: &Known, person: &Person, filled: &Filled) -> Result<(), Unsettled> {
    for field in ask.fields {
        let Some(said) = filled.of(field) else { continue };
        let elsewhere = match field.form {
            Form::Fact => person.rights_own_alone() && known.hand_of(&said) != person.name,
            _ if !person.is_held_to_sites() => false,
            Form::Change => MOVES.iter().any(|column| said.trim_start().starts_with(column)),
            Form::Takings => parts(&said).any(|taken| {
                let place = taken.split('=').next().unwrap_or_default();
                known.may_be_elsewhere(place.rsplit(':').next().unwrap_or_default(), person)
            }),
            _ => false,
        };
        if elsewhere {
            return Err(Unsettled::NotTheirs);
        }
    }
    Ok(())
}

/// Columns that say where something is.
const MOVES: [&str; 5] = ["site", "patch", "walk", "name", "other"];

/// The catalogue is everyone's.
fn tells_of_the_book(ask: &Ask) -> bool {
    ask.command.first() != Some(&"crops")
}
