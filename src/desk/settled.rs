//! What was filled in, with every name whole, and nothing that its sender may not see.

use super::ask::{Ask, Form};
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
    if person.is_held_to_sites()
        && tells_of_the_book(ask)
        && names().all(|it| filled.of(it).is_none())
    {
        let site = names().find(|field| field.form == Form::Site);
        let own = site.zip(known.first_site(person));
        let (field, own) = own.ok_or(Unsettled::NotTheirs)?;
        filled.set(field.name, &own);
    }
    let lacks = |field: &&super::ask::Field| field.needed && filled.of(field).is_none();
    match ask.fields.iter().find(lacks) {
        Some(_) => Err(Unsettled::Lacking),
        None => Ok(()),
    }
}

/// The catalogue is everyone's.
fn tells_of_the_book(ask: &Ask) -> bool {
    ask.command.first() != Some(&"crops")
}
