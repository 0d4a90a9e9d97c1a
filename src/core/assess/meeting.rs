//! What two leaders' facts make of each other once they lie in one book: places and walks of
//! one name, what was likely recorded twice, and promises that are more together than there is.

use std::collections::HashSet;
use std::sync::Arc;

use jiff::civil::Date;

use super::Prepared;
use crate::records::{
    Crop, Fact, FactId, Ledger, PatchFacts, PatchName, SiteFacts, folded, without_mark,
};
use crate::rules::{Promise, promises_not_kept};
use crate::units::Amount;

/// Two of one name. The first keeps it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Namesakes {
    /// `site`, `patch` or `walk`.
    pub what: &'static str,
    /// The name that both bear.
    pub keeps: String,
    /// What the second is shown as: the name with a short id.
    pub shown_as: String,
    /// Of the one that does not keep the name, as it is now.
    pub fact: FactId,
}

/// Two facts that may be one, recorded by two hands.
#[derive(Clone, Debug, PartialEq)]
pub struct Double {
    /// `survey`, `glance` or `cut`.
    pub what: &'static str,
    /// Where.
    pub patch: PatchName,
    /// When.
    pub day: Date,
    /// What both say, where they say an amount.
    pub amounts: Option<[Amount; 2]>,
    /// The older first.
    pub facts: [FactId; 2],
    /// Who recorded each.
    pub by: [std::sync::Arc<str>; 2],
}

/// Sites, patches and walks that bear another's name.
pub fn namesakes(ledger: &Ledger) -> Vec<Namesakes> {
    let patches = ledger.sites.iter().flat_map(Namesakes::of_patches);
    let (sites, walks) = (Namesakes::of_sites(ledger), Namesakes::of_walks(ledger));
    sites.into_iter().chain(patches).chain(walks).collect()
}

impl Namesakes {
    /// The sites among them.
    pub fn of_sites(ledger: &Ledger) -> Vec<Self> {
        let name = |site: &SiteFacts| (site.site.record.name.to_string(), site.site.id);
        among("site", ledger.sites.iter().map(name).collect())
    }

    /// The patches among them that lie on the site.
    pub fn of_patches(site: &SiteFacts) -> Vec<Self> {
        let name = |patch: &PatchFacts| (patch.patch.record.name.to_string(), patch.patch.id);
        among("patch", site.patches.iter().map(name).collect())
    }

    /// The walks among them.
    pub fn of_walks(ledger: &Ledger) -> Vec<Self> {
        among("walk", ledger.walks().map(|walk| (walk.record.name.to_string(), walk.id)).collect())
    }
}

fn among(what: &'static str, names: Vec<(String, FactId)>) -> Vec<Namesakes> {
    let all: HashSet<String> = names.iter().map(|(name, _)| folded(name)).collect();
    let marked = names.into_iter().filter_map(|(shown_as, fact)| {
        let (keeps, _) = without_mark(&shown_as)?;
        let keeps = keeps.to_owned();
        all.contains(&folded(&keeps)).then_some(Namesakes { what, keeps, shown_as, fact })
    });
    marked.collect()
}

/// Facts among those that came which may be one with a fact that was there: of one patch and
/// day, and by one person or of one amount.
pub fn likely_doubles(ledger: &Ledger, came: &HashSet<FactId>) -> Vec<Double> {
    let mut found = Vec::new();
    for (_, patch) in ledger.patches() {
        let name = &patch.patch.record.name;
        found.extend(pairs("survey", name, &patch.surveys, came, |_| None));
        found.extend(pairs("glance", name, &patch.glances, came, |glance| Some(glance.standing)));
        found.extend(pairs("cut", name, &patch.cuts, came, |cut| Some(cut.amount)));
    }
    found
}

/// Facts of one book that may be one: of one of the patches, of one day and amount, by two hands. What
/// was said to be another as it came, as `told_apart` has it, is none of them.
pub fn doubles_by_two_hands(patches: &[PatchFacts], told_apart: &HashSet<FactId>) -> Vec<Double> {
    let mut found = Vec::new();
    for patch in patches {
        let name = &patch.patch.record.name;
        let glances = two_hands("glance", name, &patch.glances, |glance| glance.standing);
        let cuts = two_hands("cut", name, &patch.cuts, |cut| cut.amount);
        found.extend(glances.into_iter().chain(cuts));
    }
    found.retain(|double| double.facts.iter().all(|fact| !told_apart.contains(fact)));
    found
}

/// Each two facts of a day and amount by different people; `facts` lie in the order of their
/// days.
fn two_hands<T>(
    what: &'static str,
    patch: &PatchName,
    facts: &[Fact<T>],
    amount: impl Fn(&T) -> Amount,
) -> Vec<Double> {
    let mut found = Vec::new();
    for day in facts.chunk_by(|one, other| one.happened_on == other.happened_on) {
        for (at, old) in day.iter().enumerate() {
            let alike = day[at + 1..].iter().filter(|new| {
                amount(&old.record) == amount(&new.record) && folded(&old.by) != folded(&new.by)
            });
            found.extend(alike.map(|new| Double {
                what,
                patch: patch.clone(),
                day: new.happened_on,
                amounts: Some([amount(&old.record), amount(&new.record)]),
                facts: [old.id, new.id],
                by: [old.by.clone(), new.by.clone()],
            }));
        }
    }
    found
}

/// `facts` lie in the order of their days.
fn pairs<T>(
    what: &'static str,
    patch: &PatchName,
    facts: &[Fact<T>],
    came: &HashSet<FactId>,
    amount: impl Fn(&T) -> Option<Amount>,
) -> Vec<Double> {
    let mut found = Vec::new();
    for day in facts.chunk_by(|one, other| one.happened_on == other.happened_on) {
        let (new, old): (Vec<_>, Vec<_>) = day.iter().partition(|fact| came.contains(&fact.id));
        for (new, old) in new.iter().flat_map(|new| old.iter().map(move |old| (new, old))) {
            let amounts = amount(&old.record).zip(amount(&new.record));
            let same_amount = amounts.is_some_and(|(one, other)| one == other);
            if same_amount || old.by == new.by {
                found.push(Double {
                    what,
                    patch: patch.clone(),
                    day: new.happened_on,
                    amounts: amounts.map(|(one, other)| [one, other]),
                    facts: [old.id, new.id],
                    by: [old.by.clone(), new.by.clone()],
                });
            }
        }
    }
    found
}

/// A promise that would not be found on its day if all were kept in turn.
#[derive(Clone, Debug)]
pub struct Overpromised {
    /// On which patch.
    pub patch: PatchName,
    /// With the overrides of site and patch.
    pub crop: Arc<Crop>,
    /// What was promised.
    pub promise: Promise,
}

/// The promises on a patch of which that is so.
pub fn overpromised(patch: &Prepared, today: Date) -> Vec<Overpromised> {
    if patch.promises.len() < 2 {
        return Vec::new();
    }
    let over = |promise| Overpromised {
        patch: patch.facts.patch.record.name.clone(),
        crop: patch.crop().clone(),
        promise,
    };
    promises_not_kept(&patch.case(today, None, None)).into_iter().map(over).collect()
}
