//! Who may ask and do what.

/// What a page asks of whoever opens it. Keepers may all.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum May {
    /// Anybody, signed in or not.
    Anyone,
    /// Whoever has an account.
    SignedIn,
    /// Foragers and leaders.
    Read,
    /// Foragers and leaders, in their own name.
    Record,
    /// Leaders.
    Lead,
    /// Keepers alone.
    Keep,
    /// Owners, and whoever may read.
    Own,
}

/// What an account is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Role {
    /// Keeps the book.
    Keeper,
    /// Leads walks.
    Leader,
    /// Gathers, and writes down what was gathered and seen.
    Forager,
    /// Owns a site.
    Owner,
}

impl Role {
    /// All of them, whoever may most first.
    pub const ALL: [Self; 4] = [Self::Keeper, Self::Leader, Self::Forager, Self::Owner];

    /// As it is typed.
    pub fn name(self) -> &'static str {
        match self {
            Self::Keeper => "keeper",
            Self::Leader => "leader",
            Self::Forager => "forager",
            Self::Owner => "owner",
        }
    }
}

impl May {
    /// Whether someone of that role may; `None` is somebody without an account.
    pub fn lets(self, role: Option<Role>) -> bool {
        let Some(role) = role else { return self == Self::Anyone };
        match self {
            Self::Anyone | Self::SignedIn => true,
            Self::Read | Self::Record => role != Role::Owner,
            Self::Lead => matches!(role, Role::Keeper | Role::Leader),
            Self::Keep => role == Role::Keeper,
            Self::Own => true,
        }
    }
}
