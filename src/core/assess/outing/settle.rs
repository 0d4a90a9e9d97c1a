//! What came back from a walk, patch by patch, and what of it was over a limit.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::quota::{Quota, quotas_as_promised};
use super::shares::{Share, parties, shares};
use crate::assess::{CutRuling, Prepared};
use crate::catalogue::Catalogue;
use crate::records::{Crop, Party, PatchName, Taken, Walk};
use crate::units::{Amount, is_over};
use crate::walk::PlanError;

/// Under this part of the limit, a party may have stopped before its count was up.
pub const STOPPED_SHORT: f64 = 0.4;

/// One thing that was said to have been taken.
#[derive(Clone, Debug, PartialEq)]
pub struct Taking {
    /// Who took it.
    pub by: Taker,
    /// From where.
    pub of: TakenFrom,
    /// How much.
    pub amount: Amount,
    /// `None` to let the amounts tell.
    pub taken: Option<Taken>,
}

/// Who took something.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Taker {
    /// All parties together.
    Everyone,
    /// The number of a party of the walk, from 1.
    Party(u32),
    /// Nobody whom the walk knows.
    Stranger(Arc<str>),
}

/// Where something was taken from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TakenFrom {
    /// One patch.
    Patch(PatchName),
    /// A crop of the walk: from each of its patches, as the shares lie.
    Crop(Arc<str>),
}

/// What to do with shares of which nothing is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Untold {
    /// They are named, and nothing is recorded.
    Ask,
    /// They were taken in full.
    Assume,
}

/// What a walk took, ready to be recorded.
#[derive(Clone, Debug, Default)]
pub struct Settlement {
    /// One a patch, in walking order; then what was off the walk.
    pub cuts: Vec<SettledCut>,
    /// What was over a share or a limit, or by someone or from somewhere unforeseen.
    pub remarks: Vec<Remark>,
    /// Shares of which nothing was told.
    pub untold: Vec<UntoldShare>,
}

/// What came back otherwise than it was promised.
#[derive(Clone, Debug, PartialEq)]
pub enum Remark {
    /// Somebody took it whom the walk does not know; it counts all the same.
    Stranger {
        /// As it was written.
        name: Arc<str>,
        /// How much.
        amount: Amount,
    },
    /// A party took more than its share.
    OverShare {
        /// Its number, from 1.
        party: usize,
        /// Where.
        patch: PatchName,
        /// Of what.
        crop: Arc<Crop>,
        /// In the crop's measure.
        took: f64,
        /// What its share was, in the crop's measure.
        share: f64,
    },
    /// All parties together took more than the walk's.
    OverQuota {
        /// Where.
        patch: PatchName,
        /// How much.
        amount: Amount,
        /// The whole walk's.
        quota: Amount,
    },
    /// It was cut where the walk did not go.
    OffWalk {
        /// Where.
        patch: PatchName,
        /// How much.
        amount: Amount,
    },
    /// More than promised, and more than its day allowed.
    OverAllowed {
        /// Where.
        patch: PatchName,
        /// Of what.
        crop: Arc<Crop>,
        /// How much.
        amount: Amount,
        /// How it stood to what was allowed.
        ruling: CutRuling,
        /// Whether its part of what was allowed was said.
        was_said: bool,
    },
    /// Off the walk, and so little that they may not have taken all that was allowed.
    MayHaveStoppedShort {
        /// Where.
        patch: PatchName,
    },
    /// Taken for a part since it is far under what was promised.
    TakenForAPart {
        /// Where.
        patch: PatchName,
        /// How much.
        amount: Amount,
    },
}

/// A share of which nobody said what became of it.
#[derive(Clone, Debug, PartialEq)]
pub struct UntoldShare {
    /// The party's number, from 1.
    pub party: usize,
    /// Where.
    pub patch: PatchName,
    /// Of what.
    pub crop: Arc<Crop>,
    /// In the crop's measure.
    pub amount: f64,
}

/// What a walk cut on one patch.
#[derive(Clone, Debug, PartialEq)]
pub struct SettledCut {
    /// Where.
    pub patch: PatchName,
    /// What came off.
    pub amount: Amount,
    /// The whole walk's on it; `None` off the walk.
    pub quota: Option<Amount>,
    /// How much of what was allowed it used.
    pub taken: Taken,
    /// Whether `taken` is settled, by the promise or by who said so; else the ruling of the day
    /// settles it.
    pub is_settled: bool,
    /// Whether nobody said that it was a part, and it was only taken for one since it is far under
    /// what was promised.
    pub is_taken_for_a_part: bool,
    /// How many cut there; `None` where nobody said.
    pub people: Option<u32>,
}

/// Settles a walk. Crops that are named must be crops of the walk, and amounts in the measure
/// of their crop.
///
/// # Errors
/// A plan that the solver gives up, where nothing was set aside.
pub fn settle(
    walk: &Walk,
    prepared: &[Prepared],
    catalogue: &Catalogue,
    takings: &[Taking],
    untold: Untold,
) -> Result<Settlement, PlanError> {
    let stops = quotas_as_promised(walk, prepared, catalogue)?;
    let parties = parties(walk);
    let shares = shares(&stops, &parties, walk.seed);
    let mut sums = Sums { stops, parties, shares, ..Sums::default() };
    takings.iter().for_each(|taking| sums.add(taking));
    sums.look_for_untold(untold);
    Ok(sums.settled())
}

/// Baskets as they are emptied.
#[derive(Debug, Default)]
struct Sums {
    stops: Vec<Quota>,
    parties: Vec<Party>,
    shares: Vec<Share>,
    /// By stop and party.
    by_party: BTreeMap<(usize, usize), f64>,
    /// By stop: what is told of everyone or of strangers.
    together: BTreeMap<usize, f64>,
    /// Stops and parties that are told of by what is said of everyone.
    told: Vec<(usize, usize)>,
    /// By stop: what was said of the share.
    said: BTreeMap<usize, Vec<Taken>>,
    elsewhere: BTreeMap<PatchName, Elsewhere>,
    remarks: Vec<Remark>,
    untold: Vec<UntoldShare>,
}

/// What was taken off the walk.
#[derive(Debug)]
struct Elsewhere {
    amount: Amount,
    people: u32,
    /// Whether somebody said that it was not all that was allowed.
    is_part: bool,
}

impl Sums {
    fn add(&mut self, taking: &Taking) {
        let party = match taking.by {
            Taker::Party(number) => Some(number as usize - 1),
            _ => None,
        };
        if let Taker::Stranger(name) = &taking.by {
            self.remarks.push(Remark::Stranger { name: name.clone(), amount: taking.amount });
        }
        match &taking.of {
            TakenFrom::Patch(patch) => {
                match self.stops.iter().position(|stop| stop.found.patch == *patch) {
                    Some(stop) => self.put(stop, party, taking, taking.amount.value),
                    None => self.put_elsewhere(patch, party, taking),
                }
            }
            TakenFrom::Crop(crop) => {
                for (stop, amount) in self.spread(crop, party, taking.amount.value) {
                    self.put(stop, party, taking, amount);
                }
            }
        }
    }

    fn put(&mut self, stop: usize, party: Option<usize>, taking: &Taking, amount: f64) {
        match party {
            Some(party) => *self.by_party.entry((stop, party)).or_default() += amount,
            None => *self.together.entry(stop).or_default() += amount,
        }
        if taking.by == Taker::Everyone {
            let there = self.shares.iter().filter(|share| share.stop == stop);
            self.told.extend(there.map(|share| (stop, share.party)));
        }
        self.said.entry(stop).or_default().extend(taking.taken);
    }

    fn put_elsewhere(&mut self, patch: &PatchName, party: Option<usize>, taking: &Taking) {
        let people = party.map_or(0, |party| self.parties[party].people());
        let nothing = Amount { value: 0.0, ..taking.amount };
        let none = || Elsewhere { amount: nothing, people: 0, is_part: false };
        let there = self.elsewhere.entry(patch.clone()).or_insert_with(none);
        there.amount.value += taking.amount.value;
        there.people += people;
        there.is_part |= taking.taken == Some(Taken::ByWeight);
    }

    /// An amount of a crop laid over its patches as the shares lie, in whole grams or pieces.
    fn spread(&self, crop: &Arc<str>, party: Option<usize>, amount: f64) -> Vec<(usize, f64)> {
        let stops: Vec<usize> =
            (0..self.stops.len()).filter(|n| self.stops[*n].found.crop.name == *crop).collect();
        let share = |stop: &usize| -> f64 {
            let there = self.shares.iter().filter(|share| share.stop == *stop);
            there.filter(|share| party.is_none_or(|one| share.party == one)).map(|s| s.amount).sum()
        };
        let shares: Vec<f64> = stops.iter().map(share).collect();
        let whole: f64 = shares.iter().sum();
        if whole <= 0.0 {
            return stops.first().map(|stop| (*stop, amount)).into_iter().collect();
        }
        let mut left = amount;
        let mut laid: Vec<(usize, f64)> = Vec::new();
        for (stop, share) in stops.iter().zip(&shares).filter(|(_, share)| **share > 0.0) {
            let part = (amount * share / whole).floor();
            left -= part;
            laid.push((*stop, part));
        }
        laid[0].1 += left;
        laid
    }

    /// Whether anything is told of a share.
    fn is_told(&self, share: &Share) -> bool {
        let place = (share.stop, share.party);
        self.by_party.contains_key(&place) || self.told.contains(&place)
    }

    fn look_for_untold(&mut self, untold: Untold) {
        let silent: Vec<Share> =
            self.shares.iter().filter(|share| !self.is_told(share)).copied().collect();
        for share in silent {
            let stop = &self.stops[share.stop].found;
            self.untold.push(UntoldShare {
                party: share.party + 1,
                patch: stop.patch.clone(),
                crop: stop.crop.clone(),
                amount: share.amount,
            });
            if untold == Untold::Assume {
                self.by_party.insert((share.stop, share.party), share.amount);
            }
        }
    }

    fn settled(mut self) -> Settlement {
        let cuts: Vec<SettledCut> = (0..self.stops.len()).filter_map(|n| self.cut(n)).collect();
        self.name_overruns(&cuts);
        let elsewhere = self.elsewhere.iter().map(|(patch, there)| SettledCut {
            patch: patch.clone(),
            amount: there.amount,
            quota: None,
            taken: Taken::ByWeight,
            is_settled: there.is_part,
            is_taken_for_a_part: false,
            people: Some(there.people).filter(|people| *people > 0),
        });
        Settlement {
            cuts: cuts.into_iter().chain(elsewhere).collect(),
            remarks: self.remarks,
            untold: self.untold,
        }
    }

    /// `None` for a stop at which no party had a share and nothing was taken.
    fn cut(&self, n: usize) -> Option<SettledCut> {
        let at = |(stop, _): &(usize, usize)| *stop == n;
        let own: f64 = self.by_party.iter().filter(|(place, _)| at(place)).map(|(_, it)| it).sum();
        let amount = own + self.together.get(&n).copied().unwrap_or(0.0);
        let mut there: Vec<usize> =
            self.shares.iter().filter(|share| share.stop == n).map(|share| share.party).collect();
        there.extend(self.by_party.keys().filter(|place| at(place)).map(|(_, party)| party));
        there.sort_unstable();
        there.dedup();
        if there.is_empty() && amount <= 0.0 {
            return None;
        }
        let people: u32 = there.iter().map(|party| self.parties[*party].people()).sum();
        let stop = &self.stops[n];
        let measure = stop.found.crop.measure;
        Some(SettledCut {
            patch: stop.found.patch.clone(),
            amount: Amount { value: amount, measure },
            quota: Some(Amount { value: stop.amount, measure }),
            taken: self.taken(n, amount),
            is_settled: true,
            is_taken_for_a_part: self.is_taken_for_a_part(n, amount),
            people: Some(people).filter(|people| *people > 0),
        })
    }

    fn said_of(&self, n: usize) -> &[Taken] {
        self.said.get(&n).map_or(&[][..], Vec::as_slice)
    }

    /// Whether a party with a share there took nothing.
    fn left_one_out(&self, n: usize) -> bool {
        self.by_party.iter().any(|((stop, _), took)| *stop == n && *took <= 0.0)
    }

    /// Every party may have counted off all that it was allowed, and it weighed little.
    fn is_taken_for_a_part(&self, n: usize, amount: f64) -> bool {
        let stop = &self.stops[n];
        let is_little = amount > 0.0 && amount < STOPPED_SHORT * stop.amount;
        is_little
            && stop.taken != Taken::ByWeight
            && self.said_of(n).is_empty()
            && !self.left_one_out(n)
    }

    /// All that was allowed was taken where it was said, or where every party took something
    /// and the sum is neither over the limit nor far under it.
    fn taken(&self, n: usize, amount: f64) -> Taken {
        let stop = &self.stops[n];
        let said = self.said_of(n);
        let keeps_to_it = !is_over(amount, stop.amount);
        let fits = keeps_to_it && amount >= STOPPED_SHORT * stop.amount && !self.left_one_out(n);
        if amount <= 0.0 || said.contains(&Taken::ByWeight) {
            Taken::ByWeight
        } else if fits || said.contains(&Taken::All) && keeps_to_it {
            stop.taken
        } else {
            Taken::ByWeight
        }
    }

    fn name_overruns(&mut self, cuts: &[SettledCut]) {
        for ((stop, party), took) in &self.by_party {
            let found = &self.stops[*stop].found;
            let had = self.shares.iter().find(|s| (s.stop, s.party) == (*stop, *party));
            let had = had.map_or(0.0, |share| share.amount);
            if is_over(*took, had) {
                self.remarks.push(Remark::OverShare {
                    party: party + 1,
                    patch: found.patch.clone(),
                    crop: found.crop.clone(),
                    took: *took,
                    share: had,
                });
            }
        }
        for cut in cuts {
            let Some(quota) = cut.quota else { continue };
            if is_over(cut.amount.value, quota.value) {
                let (patch, amount) = (cut.patch.clone(), cut.amount);
                self.remarks.push(Remark::OverQuota { patch, amount, quota });
            }
        }
        for (patch, Elsewhere { amount, .. }) in &self.elsewhere {
            self.remarks.push(Remark::OffWalk { patch: patch.clone(), amount: *amount });
        }
    }
}
