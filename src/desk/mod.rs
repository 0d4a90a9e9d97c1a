//! The desk: the book in a browser, for people who do not use terminals.
//!
//! A page is an entry in `asks.rs`: its command, its form, and who may. The desk says the
//! command's words and shows what it answers; it works out nothing, and records nothing by itself.

#![expect(dead_code, reason = "deeds and accounts, which use the rest, come next")]

// What can be asked, and of whom
mod ask;
mod asks;
mod may;
mod person;

// From a request to a reply
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
}

impl std::fmt::Debug for Desk {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.debug_struct("Desk").field("hosts", &self.hosts).finish_non_exhaustive()
    }
}

impl Desk {
    /// On the book of these commands, for whoever reaches that address.
    pub fn new(commands: Box<dyn Commands>, address: std::net::SocketAddr) -> Self {
        Self { commands, hosts: hosts::Hosts::of(address) }
    }

    /// The same that answers to these names too.
    pub fn named(self, names: &[String]) -> Self {
        Self { hosts: self.hosts.named(names), ..self }
    }
}
