//! A planned outing: who comes, and what they would like to bring home.

use std::fmt;
use std::str::FromStr;
use std::sync::Arc;

use jiff::civil::Date;

use super::column::{Column, DAY, Need, set_down};
use super::declared::{Written, fields};
use super::{FactId, Land, NameError, Purpose, Recorded, SiteName, name};
use crate::units::{Amount, Measure};

/// The most people that one party can have; more is a slip of the pen.
const MOST_PEOPLE: u32 = 1000;
/// A child's weight where nothing else is said: half an adult's.
const CHILD_WEIGHT: f64 = 0.5;
const MOST_WEIGHT: f64 = 10_000.0;

/// The name of a walk, unique in a book.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct WalkName(Arc<str>);

/// An outing on a day. Who leads it is who the fact is by.
#[derive(Clone, Debug, PartialEq)]
pub struct Walk {
    /// By which promises and cuts refer to it.
    pub name: WalkName,
    /// When it takes place.
    pub day: Date,
    /// Where it starts.
    pub site: SiteName,
    /// Further sites that it goes to.
    pub other_sites: Vec<SiteName>,
    /// Told apart by their number, from 1; their names are no part of the fact.
    pub parties: Vec<Party>,
    /// What it would like to bring home, in the order of wishes; may be empty.
    pub wants: Vec<Want>,
    /// What it gathers for, where that is not what walks are for.
    pub stated_purpose: Option<Purpose>,
    /// Settles ties in the split, so that it comes out alike each time.
    pub seed: u32,
}

fields! { Walk {
    name: written([Column::text(
        "walk", Need::Filled, "the name of the walk, like `spring walk`", "spring walk",
    )]),
    day: first_day([DAY]),
    site: site([Column::text(
        "site", Need::Filled, "the name of the site where it starts", "north wood",
    )]),
    other_sites: sites([Column::text(
        "other_sites", Need::Optional, "further sites it goes to, separated by `;`", "",
    )]),
    parties: list([Column::text(
        "parties",
        Need::Telling,
        "adults and children of each party, like `2+1; 3; 1+2`; a weight of its own behind `=`",
        "2+1; 3",
    )]),
    wants: list([Column::text(
        "wants",
        Need::Optional,
        "crops or kitchen roles and how much of each, like `ramsons-leaf=1.5kg; sour=300g`",
        "ramsons-leaf=1.5kg",
    )]),
    stated_purpose: maybe_written([Column::text(
        "for", Need::Optional, "`walk`, `sale` for boxes, or `own use`; empty for walk", "",
    )]),
    seed: seed([Column::number(
        "seed", Need::Optional, "a whole number, 1 or more, that settles ties; empty for 1", "",
    )]),
} }

impl Recorded for Walk {
    const NAME: &'static str = "walk";
    const PLURAL: &'static str = "walks";
    const WHAT: &'static str = "Walks: a row for each outing, planned or done.";
    const LAND: Land = Land::Site;
    const DATE: Column = set_down("the day it was planned; empty for `day`");

    fn site(&self) -> &SiteName {
        &self.site
    }

    fn key(&self, _: Date, _: &str) -> String {
        self.name.to_string()
    }

    fn gist(&self) -> String {
        format!("{} on {}, {} people", self.name, self.day, self.people())
    }
}

/// One person or household. Written `2+1` for two adults and a child, `3` for three adults,
/// with `=` and a weight where it is not that of its heads: `2+1=2`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Party {
    /// Who count one each.
    pub adults: u32,
    /// Who count half each, unless a weight is stated.
    pub children: u32,
    /// `None` for 1 an adult and ½ a child.
    pub stated_weight: Option<f64>,
}

/// A crop or a role in the kitchen, and how much of it. Written `ramsons-leaf=1.5kg`.
#[derive(Clone, Debug, PartialEq)]
pub struct Want {
    /// A crop's name or a kitchen role; which, the catalogue tells.
    pub what: Arc<str>,
    /// More than 0.
    pub amount: Amount,
}

/// A text that is no party; has the text.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not a party; write adults and children like `2+1`, or `3` for adults only")]
pub struct PartyError(String);

/// A text that wants nothing; has the text.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` does not say what is wanted; write a crop or a kitchen role, like `green leaf=2kg`")]
pub struct WantError(String);

impl WalkName {
    /// A walk of that name.
    ///
    /// # Errors
    /// A text that is no name.
    pub fn new(text: &str) -> Result<Self, NameError> {
        name::checked(text).map(Self)
    }

    /// As it was written.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The name with a short id behind it, for one of several that bear it.
    pub fn told_apart_by(&self, id: FactId) -> Self {
        Self(name::marked(&self.0, id))
    }
}

impl FromStr for WalkName {
    type Err = NameError;

    fn from_str(text: &str) -> Result<Self, NameError> {
        Self::new(text)
    }
}

impl Written for WalkName {}

impl fmt::Display for WalkName {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.pad(&self.0)
    }
}

impl Walk {
    /// The site where it starts, then the others.
    pub fn sites(&self) -> impl Iterator<Item = &SiteName> {
        std::iter::once(&self.site).chain(&self.other_sites)
    }

    /// What it gathers for: a walk, unless it states another.
    pub fn purpose(&self) -> Purpose {
        self.stated_purpose.unwrap_or(Purpose::Walk)
    }

    /// How many come, children too.
    pub fn people(&self) -> u32 {
        self.parties.iter().map(Party::people).sum()
    }

    /// How many of them are children.
    pub fn children(&self) -> u32 {
        self.parties.iter().map(|party| party.children).sum()
    }
}

impl Party {
    /// Adults and children.
    pub fn people(&self) -> u32 {
        self.adults.saturating_add(self.children)
    }

    /// What its share is in proportion to.
    pub fn weight(&self) -> f64 {
        let by_head = f64::from(self.adults) + CHILD_WEIGHT * f64::from(self.children);
        self.stated_weight.unwrap_or(by_head)
    }

    /// At least one person, not absurdly many, and a weight over 0.
    pub fn is_usable(&self) -> bool {
        (1..=MOST_PEOPLE).contains(&self.people())
            && self.weight() > 0.0
            && self.weight() <= MOST_WEIGHT
    }
}

impl Written for Party {
    fn is_unusable(&self) -> Option<&'static str> {
        (!self.is_usable()).then_some("parties of at least one person")
    }
}

impl FromStr for Party {
    type Err = PartyError;

    fn from_str(text: &str) -> Result<Self, PartyError> {
        let unreadable = || PartyError(text.to_owned());
        let number = |part: &str| part.trim().parse::<u32>().ok();
        let (heads, weight) = match text.split_once('=') {
            Some((heads, weight)) => {
                (heads, Some(weight.trim().parse::<f64>().map_err(|_| unreadable())?))
            }
            None => (text, None),
        };
        let (adults, children) = heads.split_once('+').unwrap_or((heads, "0"));
        let (adults, children) = number(adults).zip(number(children)).ok_or_else(unreadable)?;
        if adults > MOST_PEOPLE || children > MOST_PEOPLE {
            return Err(unreadable());
        }
        let party = Self { adults, children, stated_weight: weight };
        if party.is_usable() { Ok(party) } else { Err(unreadable()) }
    }
}

impl fmt::Display for Party {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}", self.adults)?;
        if self.children > 0 {
            write!(out, "+{}", self.children)?;
        }
        match self.stated_weight {
            Some(weight) => write!(out, "={weight}"),
            None => Ok(()),
        }
    }
}

impl Written for Want {}

impl FromStr for Want {
    type Err = WantError;

    fn from_str(text: &str) -> Result<Self, WantError> {
        let unreadable = || WantError(text.trim().to_owned());
        let (what, amount) = text.split_once('=').ok_or_else(unreadable)?;
        let amount: Amount = amount.parse().map_err(|_| unreadable())?;
        let what = what.trim().to_lowercase();
        let is_plain = what.chars().all(|c| c.is_alphanumeric() || matches!(c, ' ' | '-'));
        if what.is_empty() || !is_plain || amount.value <= 0.0 {
            return Err(unreadable());
        }
        Ok(Self { what: what.into(), amount })
    }
}

/// To the last digit, so that it reads back as it was.
impl fmt::Display for Want {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let unit = if self.amount.measure == Measure::Mass { "g" } else { "" };
        write!(out, "{}={}{unit}", self.what, self.amount.value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parties_are_read_as_they_are_written() {
        for text in ["2+1", "3", "0+4", "2+1=2.5", "1000", "2=10000"] {
            assert_eq!(text.parse::<Party>().unwrap().to_string(), text);
        }
        assert_eq!("2+1".parse::<Party>().unwrap().weight(), 2.5);
        for bad in ["", "0", "0+0", "-1", "two", "2+", "2+1=0", "2=NaN", "2=inf", "1001", "2=10001"]
        {
            assert!(bad.parse::<Party>().is_err(), "`{bad}` was taken");
        }
    }

    #[test]
    fn wants_are_read_as_they_are_written() {
        for text in ["ramsons-leaf=1500g", "green leaf=2000g", "elder-flower=12"] {
            assert_eq!(text.parse::<Want>().unwrap().to_string(), text);
        }
        assert_eq!("Sour = 0.3 kg".parse::<Want>().unwrap().to_string(), "sour=300g");
        for bad in ["", "sour", "=2kg", "sour=0g", "sour=-2g", "sour=lots", "a;b=2g"] {
            assert!(bad.parse::<Want>().is_err(), "`{bad}` was taken");
        }
    }
}
