//! Every address of the desk, and who may open it.

use super::ask::{Ask, Shows};
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
    /// Which pages a phone can have.
    Field,
    /// Which files can be taken home.
    Exports,
    /// What all field pages share.
    OfField(Part),
    /// Who a phone's records would be signed by, and by which token they may be sent.
    Hello,
    /// What a phone recorded.
    Outbox,
    /// A file that was brought, as it is read.
    Brought,
    /// Rows of it that could not be read.
    Unread,
    /// What was recorded by a form.
    Done,
    SignIn,
    SignOut,
    /// Where a link leads to that sets a passphrase.
    Link,
}

/// Files beside a field page.
#[derive(Clone, Copy, Debug)]
pub enum Part {
    Script,
    Sheet,
    Worker,
    Icon,
    Manifest,
}

/// How a body is sent, and how large it may be.
#[derive(Clone, Copy, Debug)]
pub struct Takes {
    pub media: &'static str,
    /// In bytes.
    pub most: usize,
    /// The same, in words.
    pub said: &'static str,
}

/// How a browser sends a form.
pub const FORM_MEDIA: &str = "application/x-www-form-urlencoded";

/// How a browser sends a form with a file (RFC 7578).
pub const FILE_MEDIA: &str = "multipart/form-data";

const FORM: Takes = Takes { media: FORM_MEDIA, most: 256 * 1024, said: "256 kB" };
const RECORDS: Takes = Takes { media: "application/json", most: 1024 * 1024, said: "1 MB" };

const FILE: Takes = Takes { media: FILE_MEDIA, most: 16 * 1024 * 1024, said: "16 MB" };

impl What {
    pub fn takes(self) -> Takes {
        match self {
            Self::Outbox => RECORDS,
            Self::Ask(ask) if ask.shows == Shows::Brings => FILE,
            _ => FORM,
        }
    }
}

/// What is no command's.
const OWN: &[Route] = &[
    Route { path: "/", may: May::Anyone, what: What::Start },
    Route { path: "/done", may: May::SignedIn, what: What::Done },
    Route { path: "/sign-in", may: May::Anyone, what: What::SignIn },
    Route { path: "/sign-out", may: May::Anyone, what: What::SignOut },
    Route { path: "/link", may: May::Anyone, what: What::Link },
    Route { path: "/style.css", may: May::Anyone, what: What::Style },
    Route { path: "/bring/read", may: May::Keep, what: What::Brought },
    Route { path: "/bring/unread.csv", may: May::Keep, what: What::Unread },
    Route { path: "/export", may: May::Read, what: What::Exports },
    Route { path: "/field", may: May::Read, what: What::Field },
    Route { path: "/field/hello", may: May::Record, what: What::Hello },
    Route { path: "/field/send", may: May::Record, what: What::Outbox },
    Route { path: "/field/app.js", may: May::Anyone, what: What::OfField(Part::Script) },
    Route { path: "/field/app.css", may: May::Anyone, what: What::OfField(Part::Sheet) },
    Route { path: "/field/worker.js", may: May::Anyone, what: What::OfField(Part::Worker) },
    Route { path: "/field/icon.svg", may: May::Anyone, what: What::OfField(Part::Icon) },
    Route { path: "/field/app.webmanifest", may: May::Anyone, what: What::OfField(Part::Manifest) },
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

/// What a link to that path says, and who may follow it.
pub fn way(path: &'static str) -> Option<(&'static str, May)> {
    match path {
        "/field" => Some(("On a phone", May::Read)),
        "/export" => Some(("To take home", May::Read)),
        path => super::asks::ask(path).map(|ask| (ask.title, ask.may)),
    }
}
