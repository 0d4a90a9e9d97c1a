//! What a visit finds, from short lists: how far the plants are, what befell them, what was said.

use std::fmt;
use std::str::FromStr;

use super::declared::Written;

/// A word of a short list, each with the name that people write.
macro_rules! words {
    ($(#[$doc:meta])* $Word:ident, $error:ident, $what:literal: $($(#[$about:meta])* $Name:ident = $name:literal,)+) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $Word { $($(#[$about])* $Name),+ }

        #[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
        #[error($what)]
        #[doc = concat!("A text that is no [`", stringify!($Word), "`]; has the text.")]
        pub struct $error(String);

        impl $Word {
            /// Every word of the list.
            pub const ALL: [Self; [$($name),+].len()] = [$(Self::$Name),+];

            /// As people and files write it.
            pub fn name(self) -> &'static str {
                match self { $(Self::$Name => $name),+ }
            }
        }

        impl FromStr for $Word {
            type Err = $error;

            fn from_str(text: &str) -> Result<Self, $error> {
                let named = |word: &Self| word.name().eq_ignore_ascii_case(text.trim());
                Self::ALL.into_iter().find(named).ok_or_else(|| $error(text.to_owned()))
            }
        }

        impl fmt::Display for $Word {
            fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.pad(self.name())
            }
        }

        impl Written for $Word {}
    };
}

words! {
    /// How far the plants of a patch are.
    Stage, StageError, "`{0}` is not a stage; write `leaf`, `bud`, `flower`, `fruit` or `dying back`":
    /// In leaf: neither bud nor flower shows.
    Leaf = "leaf",
    /// Buds show, none is open.
    Bud = "bud",
    /// Flowers are open.
    Flower = "flower",
    /// Fruit or seed hangs on it.
    Fruit = "fruit",
    /// Its leaves go.
    DyingBack = "dying back",
}

words! {
    /// What befell a patch.
    Trouble, TroubleError,
    "`{0}` is not a trouble; write `sprayed`, `sewage`, `flooded`, `cut by others`, `grazed`, \
     `mown`, `poached` or `brambled over`":
    /// Sprayed with something, by somebody.
    Sprayed = "sprayed",
    /// Sewage came to it.
    Sewage = "sewage",
    /// Water stood over it.
    Flooded = "flooded",
    /// Somebody else took of it.
    CutByOthers = "cut by others",
    /// Eaten by stock, deer or geese.
    Grazed = "grazed",
    /// Cut by a machine.
    Mown = "mown",
    /// Trodden to mud by cattle.
    Poached = "poached",
    /// Brambles have grown over it.
    BrambledOver = "brambled over",
}

words! {
    /// What the occupier said.
    Answer, AnswerError, "`{0}` is not an answer; write `yes` or `no`":
    /// It is agreed.
    Yes = "yes",
    /// It is not.
    No = "no",
}

impl Trouble {
    /// Whether nothing is cut until somebody says that it is over: what is on the leaves is not
    /// washed off by waiting, and nobody here knows how long it stays.
    pub fn shuts(self) -> bool {
        match self {
            Self::Sprayed | Self::Sewage | Self::Flooded => true,
            Self::CutByOthers | Self::Grazed | Self::Mown | Self::Poached | Self::BrambledOver => {
                false
            }
        }
    }

    /// Whether it took some of the crop, nobody knows how much.
    pub fn takes_crop(self) -> bool {
        matches!(self, Self::CutByOthers | Self::Grazed | Self::Mown)
    }

    /// `it was sprayed`, `sewage came over it`.
    pub fn told(self) -> &'static str {
        match self {
            Self::Sprayed => "it was sprayed",
            Self::Sewage => "sewage came over it",
            Self::Flooded => "it was flooded",
            Self::CutByOthers => "others cut there",
            Self::Grazed => "it was grazed",
            Self::Mown => "it was mown",
            Self::Poached => "cattle trod it to mud",
            Self::BrambledOver => "brambles grow over it",
        }
    }
}
