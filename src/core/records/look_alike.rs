//! What is mistaken for a crop, and what eating it does.

use std::sync::Arc;

use super::folded;

/// Something that is mistaken for the crop.
#[derive(Clone, Debug, PartialEq)]
pub struct LookAlike {
    /// Its common name.
    pub name: Arc<str>,
    /// What eating it does.
    pub grade: LookAlikeGrade,
}

impl LookAlike {
    /// Whether people may mean it by that name: `hemlock` may be any that has the word.
    pub fn may_be_called(&self, name: &str) -> bool {
        let (known, asked) = (folded(&self.name), folded(name));
        let common = known.split(" (").next().unwrap_or(&known);
        asked.len() > 2 && (known.contains(&asked) || asked.contains(common))
    }
}

/// What eating the look-alike does, worst last.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LookAlikeGrade {
    /// No harm by it is known; it is still not the crop.
    Harmless,
    /// It burns mouth, gut or skin for a while.
    Irritant,
    /// It makes people ill, some gravely; no death in our time is known.
    Poisonous,
    /// People have died of it, or a source of our time says that they may.
    Fatal,
}

impl LookAlikeGrade {
    /// Every grade, the worst last.
    pub const ALL: [Self; 4] = [Self::Harmless, Self::Irritant, Self::Poisonous, Self::Fatal];

    /// How a doubt is settled.
    pub const RULE: &str = "Where sources disagree the graver counts, and a group counts as its \
                            worst member.";

    /// In a word, as the catalogue has it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Harmless => "harmless",
            Self::Irritant => "irritant",
            Self::Poisonous => "poisonous",
            Self::Fatal => "fatal",
        }
    }

    /// Continues the name and a colon.
    pub fn meaning(self) -> &'static str {
        match self {
            Self::Harmless => "no harm by it is known to us; still not the crop",
            Self::Irritant => "it burns mouth, gut or skin for a while",
            Self::Poisonous => {
                "it makes people ill, some gravely, but of no death in our time do we know"
            }
            Self::Fatal => {
                "people have died of it, or a source of our time says that they may: a poison \
                 centre, a hospital, a paper or a field guide"
            }
        }
    }
}
