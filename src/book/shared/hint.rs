//! Which sites a decision is about.

use std::collections::BTreeSet;

use rusqlite::Connection;

use super::working;
use crate::book::error::Failure;
use crate::book::scope::{Scope, patch_named, site_named, sites_of_walks};
use crate::book::view::View;

/// What a decision says beforehand of what it is about.
#[derive(Clone, Debug)]
pub(in crate::book) struct Hint {
    pub(in crate::book) scope: Scope,
    /// What it may call a walk: a name is the whole book's.
    pub(in crate::book) name: Option<String>,
}

/// The numbers of the sites; `None` where it may be any of the book. Where nothing was said, or it
/// cannot be found and the decision itself will say why, it is about what this role sees.
pub(super) fn sites(
    hint: Option<&Hint>,
    copy: &Connection,
) -> rusqlite::Result<Option<BTreeSet<i64>>> {
    match told(hint, copy)? {
        None => working::sites_alone(copy),
        told => Ok(told),
    }
}

fn told(hint: Option<&Hint>, copy: &Connection) -> rusqlite::Result<Option<BTreeSet<i64>>> {
    let Some(hint) = hint else { return Ok(None) };
    let view = View::read(copy, None)?;
    let found = match &hint.scope {
        Scope::Site(name) => site_named(name, &view, copy).map(|site| BTreeSet::from([site])),
        Scope::Sites(names) => names.iter().map(|name| site_named(name, &view, copy)).collect(),
        Scope::Patch(name) => {
            patch_named(name, &view, copy).map(|(_, site)| BTreeSet::from([site]))
        }
        Scope::Walk(name) => sites_of_walks(Some(name), &view, copy),
        Scope::All | Scope::Walks | Scope::Crops(_) => return Ok(None),
    };
    match found {
        Ok(sites) => Ok(Some(sites)),
        Err(Failure::Sql(error)) => Err(error),
        Err(_) => Ok(None),
    }
}
