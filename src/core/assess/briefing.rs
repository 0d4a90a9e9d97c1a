//! What a leader carries on a walk: where it goes, how much may be cut there, by whom.

use std::sync::Arc;

use geo::Point;
use jiff::civil::Date;

use super::{FoundGrowing, Lack};
use crate::records::{Crop, Party, PatchName, Purpose, SiteName, WalkName};
use crate::rules::Reason;
use crate::units::Metres;

/// A walk made ready, all sums done.
#[derive(Clone, Debug)]
pub struct Briefing {
    /// Its name.
    pub walk: WalkName,
    /// Its day.
    pub day: Date,
    /// Who leads it.
    pub leader: Arc<str>,
    /// Where it goes.
    pub sites: Vec<SiteName>,
    /// What it gathers for.
    pub purpose: Purpose,
    /// Where it starts; `None` for the first stop.
    pub start: Option<Point>,
    /// In walking order.
    pub stops: Vec<Stop>,
    /// In a straight line from stop to stop.
    pub length: Metres,
    /// In the order of their numbers.
    pub parties: Vec<PartyStint>,
    /// Settles ties in the split.
    pub seed: u32,
    /// The quota is set aside in the book; else it is only what would be allowed.
    pub is_held: bool,
    /// What is wanted and cannot be met.
    pub short: Vec<Lack>,
}

/// One patch of the walk; amounts in the measure of its crop.
#[derive(Clone, Debug)]
pub struct Stop {
    /// Which patch.
    pub patch: PatchName,
    /// What is cut there.
    pub crop: Arc<Crop>,
    /// In degrees; `None` for a footprint without any position.
    pub centre: Option<Point>,
    /// The most that the whole walk may take here.
    pub quota: f64,
    /// Count off one in this many of what is seen.
    pub one_in: Option<u32>,
    /// What set the limit.
    pub why: Reason,
    /// What was found growing there that is taken for the crop, what may kill first.
    pub found_growing: Vec<FoundGrowing>,
    /// How many people its ground bears at once.
    pub people_at_once: u32,
    /// What no party has a share in and so stays standing.
    pub stays_standing: f64,
}

/// One party: what it may take where, and where it starts.
#[derive(Clone, Debug)]
pub struct PartyStint {
    /// Its number on the walk, from 1.
    pub number: u32,
    /// Who is in it.
    pub party: Party,
    /// What it may cut at which stop, in the order in which it goes there.
    pub shares: Vec<StopShare>,
}

/// What one party may cut at one stop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StopShare {
    /// Position in [`Briefing::stops`].
    pub stop: usize,
    /// When the party is at this stop, from 1; parties of one turn are there together.
    pub turn: u32,
    /// In the measure of the stop's crop.
    pub amount: f64,
}

/// How what is cut at a stop comes out for those who cut there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Each {
    /// The same for each person, rounded down to whole grams or pieces.
    Person(f64),
    /// The same for each party, though not for each person.
    Party(f64),
    /// The smallest and the largest share of a party.
    Between(f64, f64),
    /// No party has a share there.
    Nobody,
}

impl Briefing {
    /// How many come, children too.
    pub fn people(&self) -> u32 {
        self.parties.iter().fold(0, |sum, stint| sum.saturating_add(stint.party.people()))
    }

    /// The shares at a stop, in the order of the parties.
    pub fn shares_at(&self, stop: usize) -> impl Iterator<Item = (&PartyStint, &StopShare)> {
        self.parties.iter().flat_map(move |stint| {
            stint.shares.iter().filter(move |share| share.stop == stop).map(move |s| (stint, s))
        })
    }

    /// What each party, or each person, may cut at a stop, where that is alike.
    pub fn each_at(&self, stop: usize) -> Each {
        let amounts: Vec<f64> = self.shares_at(stop).map(|(_, share)| share.amount).collect();
        let a_person: Vec<f64> =
            self.shares_at(stop).map(|(stint, share)| per_person(stint, share)).collect();
        match (alike(&a_person), alike(&amounts)) {
            (Some(amount), _) if amount >= 1.0 => Each::Person(amount),
            (_, Some(amount)) => Each::Party(amount),
            _ => {
                let smallest = amounts.iter().copied().reduce(f64::min);
                let largest = amounts.iter().copied().reduce(f64::max);
                smallest.zip(largest).map_or(Each::Nobody, |(low, high)| Each::Between(low, high))
            }
        }
    }
}

fn per_person(stint: &PartyStint, share: &StopShare) -> f64 {
    (share.amount / f64::from(stint.party.people().max(1))).floor()
}

/// What all of them are, if they are all the same.
fn alike(amounts: &[f64]) -> Option<f64> {
    let (first, others) = amounts.split_first()?;
    others.iter().all(|other| other == first).then_some(*first)
}

impl PartyStint {
    /// The stop where it starts; `None` for a party without a share.
    pub fn starts_at(&self) -> Option<usize> {
        self.shares.first().map(|share| share.stop)
    }
}
