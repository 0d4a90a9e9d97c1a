//! Every address of the desk, and who may open it.

use super::ask::Ask;
use super::asks::asks;
use super::may::May;

/// An address, and what is there.
#[derive(Clone, Copy, Debug)]
pub struct Route {
    pub path: &'static str,
    pub may: May,
    pub what: What,
}

#[derive(Clone, Copy, Debug)]
pub enum What {
    /// A page that asks a command.
    Ask(&'static Ask),
    /// The first page that one may open.
    Start,
    /// The sheet of every page.
    Style,
    /// What was recorded by a form.
    Done,
    SignIn,
    SignOut,
    /// Where a link leads to that sets a passphrase.
    Link,
}

/// What is no command's.
const OWN: &[Route] = &[
    Route { path: "/", may: May::Anyone, what: What::Start },
    Route { path: "/done", may: May::SignedIn, what: What::Done },
    Route { path: "/sign-in", may: May::Anyone, what: What::SignIn },
    Route { path: "/sign-out", may: May::Anyone, what: What::SignOut },
    Route { path: "/link", may: May::Anyone, what: What::Link },
    Route { path: "/style.css", may: May::Anyone, what: What::Style },
];

/// All of them; nothing else is answered.
pub fn routes() -> impl Iterator<Item = Route> {
    let asked = asks().map(|ask| Route { path: ask.path, may: ask.may, what: What::Ask(ask) });
    OWN.iter().copied().chain(asked)
}

/// The paths of all of them, and who may open each.
pub fn addresses() -> Vec<(&'static str, May)> {
    routes().map(|route| (route.path, route.may)).collect()
}
