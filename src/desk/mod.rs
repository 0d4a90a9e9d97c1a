//! The desk: the book in a browser, for people who do not use terminals.
//!
//! A page is an entry in `asks.rs`: its command, its form, and who may. The desk says the
//! command's words and shows what it answers; it works out nothing, and records nothing by itself.

// What can be asked, and of whom
mod ask;
mod asks;
mod deeds;
mod downloads;
mod fields;
mod may;
mod person;
mod walk_deeds;

// Who sits where
mod access;
mod back;
mod chance;
mod sessions;
mod signing;
mod throttle;

// From a request to a reply
mod bring;
mod changed;
mod deed;
mod exports;
mod field;
mod form;
mod kept;
mod known;
mod multipart;
mod outbox;
mod page;
mod reading;
mod reply;
mod request;
mod settled;
mod told;
mod way_out;
mod zipped;

// The door
mod certificate;
mod door;
mod hosts;
mod routes;
mod server;
#[cfg(feature = "tls")]
mod tls;
#[cfg(not(feature = "tls"))]
#[path = "tls_unbuilt.rs"]
mod tls;

use std::net::SocketAddr;
use std::path::Path;

pub use access::{Access, AccessError, Account};
pub use certificate::Uncertified;
pub use may::{May, Role};
pub use outbox::{ANSWER_SCHEMA, answer_declared};
pub use routes::addresses;
pub use server::serve;
pub use told::{Asked, Brought, Commands, Ended, Rests, Told};

/// What every request needs.
pub struct Desk {
    commands: Box<dyn Commands>,
    hosts: hosts::Hosts,
    sessions: sessions::Sessions,
    access: Access,
    throttle: throttle::Throttle,
    /// Whether nobody elsewhere can reach it, unless a proxy passes them on.
    is_here: bool,
    /// One deed at a time.
    writing: std::sync::Arc<tokio::sync::Semaphore>,
    outbox: outbox::Answered,
    brought: bring::Files,
    kept: kept::Kept,
    /// Whether whoever comes does so over TLS.
    is_secure: bool,
    /// The desk's own certificate, where no proxy has one.
    tls: Option<tls::Tls>,
}

impl std::fmt::Debug for Desk {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.debug_struct("Desk").field("hosts", &self.hosts).finish_non_exhaustive()
    }
}

impl Desk {
    /// On the book of these commands, for whoever reaches that address.
    pub fn new(commands: Box<dyn Commands>, address: SocketAddr) -> Self {
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
            kept: kept::Kept::default(),
            is_secure: false,
            tls: None,
        }
    }

    /// The same that answers to these names too.
    pub fn named(self, names: &[String]) -> Self {
        Self { hosts: self.hosts.named(names), ..self }
    }

    /// The same behind a proxy that speaks TLS: a browser then sends its cookie over TLS alone, and
    /// whoever comes may come from anywhere.
    pub fn behind_tls(self) -> Self {
        Self { is_secure: true, is_here: false, ..self }
    }

    /// The same that speaks TLS itself, by the PEM files of a certificate and its key.
    ///
    /// # Errors
    /// Files that are none, or a build that has no TLS.
    pub fn with_tls(self, certificate: &Path, key: &Path) -> Result<Self, Uncertified> {
        Ok(Self { is_secure: true, tls: Some(tls::Tls::of(certificate, key)?), ..self })
    }

    /// Where a browser finds it.
    pub fn at(&self, address: SocketAddr) -> String {
        let scheme = if self.tls.is_some() { "https" } else { "http" };
        format!("{scheme}://{address}")
    }

    /// The cookie of a session.
    fn cookie(&self, id: &str) -> String {
        deed::cookie(id, self.is_secure)
    }
}
