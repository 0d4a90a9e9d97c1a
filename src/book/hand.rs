//! Who may do what in a book on a server.

use crate::records::SiteName;

/// What a role may do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum May {
    /// Reads and records all, and puts books together.
    Keeper,
    /// Reads what is of the own sites, and of those that may claim their ground; records on the own
    /// ones, under the own name.
    Leader,
    /// Reads what is of the own sites, and records nothing.
    Owner,
}

impl May {
    /// Every one of them.
    pub const ALL: [Self; 3] = [Self::Keeper, Self::Leader, Self::Owner];

    /// As it is written.
    pub fn name(self) -> &'static str {
        match self {
            Self::Keeper => "keeper",
            Self::Leader => "leader",
            Self::Owner => "owner",
        }
    }
}

/// A role of the server and what it may do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hand {
    /// As the server calls it.
    pub role: String,
    /// What it may do.
    pub may: May,
    /// The name that its facts bear.
    pub signs: String,
    /// Its sites; none for a keeper.
    pub sites: Vec<SiteName>,
}
