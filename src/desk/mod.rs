//! The desk: the book in a browser, for people who do not use terminals.
//!
//! A page is an entry in `asks.rs`: its command, its form, and who may. The desk says the
//! command's words and shows what it answers; it works out nothing, and records nothing by itself.

// What can be asked, and of whom
mod ask;
mod asks;
mod deeds;
mod may;
mod person;

// Who sits where
mod access;
mod chance;
mod sessions;
mod signing;
mod throttle;

// From a request to a reply
mod bring;
mod changed;
mod deed;
mod field;
mod form;
mod known;
mod multipart;
mod outbox;
mod page;
mod reading;
mod reply;
mod request;
mod settled;
mod told;

// The door
mod door;
mod hosts;
mod routes;
mod server;

pub use access::{Access, AccessError, Account};
pub use may::{May, Role};
pub use routes::addresses;
pub use server::serve;
pub use told::{Asked, Brought, Commands, Ended, Told};

/// What every request needs.
pub struct Desk {
    commands: Box<dyn Commands>,
    hosts: hosts::Hosts,
    sessions: sessions::Sessions,
    access: Access,
    throttle: throttle::Throttle,
    /// Whether nobody elsewhere can reach it.
    is_here: bool,
    /// One deed at a time.
    writing: std::sync::Arc<tokio::sync::Semaphore>,
    outbox: outbox::Answered,
    brought: bring::Files,
    /// Whether whoever comes does so over TLS, by way of a proxy.
    is_secure: bool,
}

impl std::fmt::Debug for Desk {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.debug_struct("Desk").field("hosts", &self.hosts).finish_non_exhaustive()
    }
}

impl Desk {
    /// On the book of these commands, for whoever reaches that address.
    pub fn new(commands: Box<dyn Commands>, address: std::net::SocketAddr) -> Self {
        let (hosts, sessions) = (hosts::Hosts::of(address), sessions::Sessions::default());
        let writing = std::sync::Arc::new(tokio::sync::Semaphore::new(1));
        let (access, throttle) = (Access::of(commands.book()), throttle::Throttle::default());
        let is_here = address.ip().is_loopback();
        Self {
            commands,
            hosts,
            sessions,
            access,
            throttle,
            is_here,
            writing,
            outbox: outbox::Answered::default(),
            brought: bring::Files::default(),
            is_secure: false,
        }
    }

    /// The same that answers to these names too.
    pub fn named(self, names: &[String]) -> Self {
        Self { hosts: self.hosts.named(names), ..self }
    }

    /// The same behind a proxy that speaks TLS: a browser then sends its cookie over TLS alone.
    pub fn behind_tls(self, is_secure: bool) -> Self {
        Self { is_secure, ..self }
    }

    /// The cookie of a session.
    fn cookie(&self, id: &str) -> String {
        deed::cookie(id, self.is_secure)
    }
}
