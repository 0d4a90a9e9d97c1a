//! Where signing in leads back to.

use super::may::May;
use super::request::{Filled, address};
use super::routes::routes;

/// Where one came from: a page of the desk.
#[derive(Clone, Copy, Debug)]
pub struct Back<'a> {
    pub address: &'a str,
    /// Who may open it.
    pub may: May,
}

/// Longer ones are not gone back to.
const LONGEST_BACK: usize = 2000;

/// The form to sign in that leads back to an address of this desk.
pub fn sign_in_first(back: &str) -> String {
    address("/sign-in", &[("back", back)])
}

/// What a link says of where to go once one has signed in. It leads to one of the desk's own pages
/// or nowhere, so that nobody is sent elsewhere by a link that begins at the desk.
pub fn back(filled: &Filled) -> Option<Back<'_>> {
    let address = filled.get("back").filter(|to| to.len() <= LONGEST_BACK)?;
    let is_plain = address.bytes().all(|byte| byte.is_ascii_graphic() && byte != b'\\');
    let path = address.split('?').next()?;
    let route = routes().find(|route| route.path == path && route.may != May::Anyone)?;
    is_plain.then_some(Back { address, may: route.may })
}
