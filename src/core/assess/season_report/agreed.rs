//! What was agreed for the season, and whether it was kept.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use jiff::civil::Date;

use super::walks::walk_of;
use super::{PatchReport, Span};
use crate::records::{Answer, Closure, Crop, Cut, Fact, Permission, SiteFacts, Walk};
use crate::rules::answer_for;
use crate::units::{Amount, Measure, is_over};

/// One permission of the season, with what was done under it.
#[derive(Clone, Debug)]
pub struct Agreement<'a> {
    /// As it is recorded.
    pub permission: &'a Fact<Permission>,
    /// Cuts of the span that it covers.
    pub cuts: usize,
    /// The crop and day that came closest to the cap of a day.
    pub day: Option<Held>,
    /// The crop that came closest to the cap of a season.
    pub season: Option<Held>,
    /// The largest party written down.
    pub largest_party: Option<u32>,
    /// Whether a party was larger than any permission for that cut allows.
    pub party_over: bool,
    /// Cuts under it of which nobody wrote down how many came.
    pub cuts_without_people: usize,
    /// Where ways of cutting are agreed: cuts that do not say theirs.
    pub cuts_without_method: usize,
    /// Cuts of walks and boxes that no permission for such a cut is for, this one among them.
    pub cuts_for_other_use: usize,
}

/// The most of one crop against a cap, in the crop's measure.
#[derive(Clone, Debug)]
pub struct Held {
    /// Which crop.
    pub crop: Arc<Crop>,
    /// The most that is agreed.
    pub cap: f64,
    /// The most that was cut.
    pub most: f64,
    /// For the cap of a day.
    pub on: Option<Date>,
    /// More than any permission for it allows.
    pub is_over: bool,
}

/// A closure that falls into the span.
#[derive(Clone, Debug)]
pub struct ShutSpell<'a> {
    /// As it is recorded.
    pub closure: &'a Fact<Closure>,
    /// What was cut all the same: the patch's number, and the day.
    pub cuts: Vec<(usize, Date)>,
}

/// A cut that no permission covers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WithoutLeave {
    /// The patch's number.
    pub patch: usize,
    /// The day of the cut.
    pub day: Date,
}

/// A cut with its patch.
type CutOf<'p, 'a> = (&'p PatchReport<'a>, &'a Fact<Cut>);

impl Agreement<'_> {
    /// Whether nothing was cut against it: no cap, party or use was broken.
    pub fn was_kept(&self) -> bool {
        let over = |held: &Option<Held>| held.as_ref().is_some_and(|held| held.is_over);
        !over(&self.day) && !over(&self.season) && !self.party_over && !self.use_broken()
    }

    /// Whether it says what it is for, and somebody cut for something else. Where it says nothing,
    /// nobody can tell what was meant.
    pub fn use_broken(&self) -> bool {
        self.permission.record.purposes.is_some() && self.cuts_for_other_use > 0
    }

    /// The same where it does not say.
    pub fn use_unsaid(&self) -> usize {
        let says = self.permission.record.purposes.is_some();
        if says { 0 } else { self.cuts_for_other_use }
    }
}

pub(super) fn agreements<'a>(
    site: &'a SiteFacts,
    patches: &[PatchReport<'a>],
    walks: &[&Fact<Walk>],
    span: Span,
) -> Vec<Agreement<'a>> {
    let met = site.permissions.iter().filter(|fact| span.meets(fact.record.from, fact.record.to));
    let mut all: Vec<Agreement> =
        met.map(|permission| agreement(permission, site, patches, walks, span)).collect();
    all.sort_by_key(|agreement| (agreement.permission.record.from, agreement.permission.id));
    all
}

fn agreement<'a>(
    fact: &'a Fact<Permission>,
    site: &SiteFacts,
    patches: &[PatchReport<'a>],
    walks: &[&Fact<Walk>],
    span: Span,
) -> Agreement<'a> {
    let permission = &fact.record;
    let covered: Vec<CutOf> =
        cuts(patches, span).filter(|(patch, cut)| covers(permission, patch, cut)).collect();
    let for_other_use = covered.iter().filter(|(patch, cut)| {
        let purpose = walk_of(cut, walks).map(|walk| walk.record.purpose());
        let is_for = |purpose| {
            let mut all = site.permissions.iter().map(|fact| &fact.record);
            all.any(|permission| covers(permission, patch, cut) && permission.is_for(purpose))
        };
        purpose.is_some_and(|purpose| !is_for(purpose))
    });
    let cuts_for_other_use = for_other_use.count();
    let parties: Vec<Option<u32>> = covered.iter().map(|(_, cut)| party(cut, walks)).collect();
    let without_method = covered.iter().filter(|(_, cut)| cut.record.method.is_none()).count();
    let party_over = covered.iter().zip(&parties).any(|((patch, cut), party)| {
        let largest = roomiest(site, patch, cut.happened_on, |permission| {
            permission.largest_party.map(f64::from)
        });
        party.is_some_and(|people| f64::from(people) > largest)
    });
    Agreement {
        permission: fact,
        cuts: covered.len(),
        day: permission.cap_per_visit.and_then(|cap| closest_day(cap, &covered, site)),
        season: permission.cap_per_season.and_then(|cap| closest_season(cap, &covered, site)),
        largest_party: parties.iter().flatten().max().copied(),
        party_over,
        cuts_without_people: parties.iter().filter(|party| party.is_none()).count(),
        cuts_for_other_use,
        cuts_without_method: if permission.methods.is_empty() { 0 } else { without_method },
    }
}

/// How often the occupier was asked where they want to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AskedDays {
    /// With a cut under a permission that wants it.
    pub days: usize,
    /// Those to which they said yes.
    pub yes: usize,
}

/// `None` where no permission of the span wants to be asked.
pub(super) fn asked_days(
    site: &SiteFacts,
    patches: &[PatchReport],
    span: Span,
) -> Option<AskedDays> {
    let met = site.permissions.iter().filter(|fact| span.meets(fact.record.from, fact.record.to));
    let wanting: Vec<&Permission> =
        met.map(|fact| &fact.record).filter(|permission| permission.ask_first).collect();
    if wanting.is_empty() {
        return None;
    }
    let under = cuts(patches, span)
        .filter(|(patch, cut)| wanting.iter().any(|permission| covers(permission, patch, cut)));
    let days: BTreeSet<Date> = under.map(|(_, cut)| cut.happened_on).collect();
    let is_yes = |day: &&Date| matches!(answer_for(&site.visits, **day), Some((Answer::Yes, _)));
    Some(AskedDays { days: days.len(), yes: days.iter().filter(is_yes).count() })
}

/// How many came at once: all of the cut's walk, if that is recorded.
fn party(cut: &Fact<Cut>, walks: &[&Fact<Walk>]) -> Option<u32> {
    walk_of(cut, walks).map(|walk| walk.record.people()).max(cut.record.people)
}

fn cuts<'p, 'a>(patches: &'p [PatchReport<'a>], span: Span) -> impl Iterator<Item = CutOf<'p, 'a>> {
    patches.iter().flat_map(move |patch| patch.cuts(span).map(move |cut| (patch, cut)))
}

fn covers(permission: &Permission, patch: &PatchReport, cut: &Fact<Cut>) -> bool {
    permission.holds_on(cut.happened_on)
        && permission.covers_crop(&patch.crop().name)
        && permission.covers_method(cut.record.method.as_deref())
}

/// Where several permissions hold, the one that leaves most room counts; infinite where one of
/// them sets no limit.
fn roomiest(
    site: &SiteFacts,
    patch: &PatchReport,
    day: Date,
    limit: impl Fn(&Permission) -> Option<f64>,
) -> f64 {
    let holding = site.permissions.iter().map(|fact| &fact.record).filter(|permission| {
        permission.holds_on(day) && permission.covers_crop(&patch.crop().name)
    });
    holding.map(|permission| limit(permission).unwrap_or(f64::INFINITY)).fold(0.0, f64::max)
}

fn in_measure(cap: Option<Amount>, measure: Measure) -> Option<f64> {
    cap.filter(|cap| cap.measure == measure).map(|cap| cap.value)
}

fn closest_day(cap: Amount, covered: &[CutOf], site: &SiteFacts) -> Option<Held> {
    let mut sums: BTreeMap<(&str, Date), (f64, &PatchReport)> = BTreeMap::new();
    for (patch, cut) in covered.iter().filter(|(patch, _)| patch.crop().measure == cap.measure) {
        let key = (&*patch.crop().name, cut.happened_on);
        sums.entry(key).or_insert((0.0, patch)).0 += cut.record.amount.value;
    }
    let ((_, day), (most, patch)) = sums.into_iter().max_by(|a, b| a.1.0.total_cmp(&b.1.0))?;
    let limit = |permission: &Permission| in_measure(permission.cap_per_visit, cap.measure);
    let room = roomiest(site, patch, day, limit);
    Some(held(cap, most, Some(day), patch, room))
}

fn closest_season(cap: Amount, covered: &[CutOf], site: &SiteFacts) -> Option<Held> {
    let mut sums: BTreeMap<&str, (f64, Date, &PatchReport)> = BTreeMap::new();
    for (patch, cut) in covered.iter().filter(|(patch, _)| patch.crop().measure == cap.measure) {
        let start = (0.0, cut.happened_on, *patch);
        let sum = sums.entry(&patch.crop().name).or_insert(start);
        sum.0 += cut.record.amount.value;
        sum.1 = sum.1.max(cut.happened_on);
    }
    let (most, last, patch) = sums.into_values().max_by(|a, b| a.0.total_cmp(&b.0))?;
    let limit = |permission: &Permission| in_measure(permission.cap_per_season, cap.measure);
    let room = roomiest(site, patch, last, limit);
    Some(held(cap, most, None, patch, room))
}

fn held(cap: Amount, most: f64, on: Option<Date>, patch: &PatchReport, room: f64) -> Held {
    Held { crop: patch.crop().clone(), cap: cap.value, most, on, is_over: is_over(most, room) }
}

pub(super) fn shut_spells<'a>(
    site: &'a SiteFacts,
    patches: &[PatchReport<'a>],
    span: Span,
) -> Vec<ShutSpell<'a>> {
    let met = site.closures.iter().filter(|fact| span.meets(fact.record.from, fact.record.to));
    let spell = |closure: &'a Fact<Closure>| {
        let shut = patches.iter().filter(|patch| closure.record.covers_patch(patch.name()));
        let days =
            shut.flat_map(|patch| patch.cut_days().iter().map(move |cut| (patch.number, cut.day)));
        let cuts = days.filter(|(_, day)| closure.record.holds_on(*day)).collect();
        ShutSpell { closure, cuts }
    };
    let mut spells: Vec<ShutSpell> = met.map(spell).collect();
    spells.sort_by_key(|spell| (spell.closure.record.from, spell.closure.id));
    spells
}

/// Ways of cutting count here: a cut by another way than was agreed is without leave.
pub(super) fn without_leave(site: &SiteFacts, patches: &[PatchReport]) -> Vec<WithoutLeave> {
    let permissions = || site.permissions.iter().map(|fact| &fact.record);
    let mut found: Vec<WithoutLeave> = Vec::new();
    for patch in patches {
        let days: Vec<Date> = patch.cut_days().iter().map(|cut| cut.day).collect();
        let of_days = patch.facts.cuts.iter().filter(|cut| days.contains(&cut.happened_on));
        let bare =
            of_days.filter(|cut| !permissions().any(|permission| covers(permission, patch, cut)));
        found.extend(bare.map(|cut| WithoutLeave { patch: patch.number, day: cut.happened_on }));
    }
    found.sort_by_key(|found| (found.day, found.patch));
    found.dedup();
    found
}
