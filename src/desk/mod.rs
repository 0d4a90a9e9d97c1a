//! The desk: the book in a browser, for people who do not use terminals.
//!
//! A page is an entry in `asks.rs`: its command, its form, and who may. The desk says the
//! command's words and shows what it answers; it works out nothing, and records nothing by itself.

#![expect(dead_code, reason = "accounts, which use the rest, come next")]

// What can be asked, and of whom
mod ask;
mod asks;
mod deeds;
mod may;
mod person;

// Who sits where
mod chance;
mod sessions;

// From a request to a reply
mod changed;
mod deed;
mod form;
mod known;
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

pub use server::serve;
pub use told::{Commands, Ended, Told};

/// What every request needs.
pub struct Desk {
    commands: Box<dyn Commands>,
    hosts: hosts::Hosts,
    sessions: sessions::Sessions,
    /// One deed at a time.
    writing: std::sync::Arc<tokio::sync::Semaphore>,
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
        Self { commands, hosts, sessions, writing, is_secure: false }
    }

    /// The same that answers to these names too.
    pub fn named(self, names: &[String]) -> Self {
        Self { hosts: self.hosts.named(names), ..self }
    }

    /// The cookie of a session.
    fn cookie(&self, id: &str) -> String {
        deed::cookie(id, self.is_secure)
    }
}
