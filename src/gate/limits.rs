//! How new cuts stand to what was allowed on their day, and what each of them spends.

use std::collections::{BTreeMap, HashMap, HashSet};
use std::sync::Arc;

use jiff::civil::Date;
use rayon::prelude::*;

use super::delivery::Answers;
use super::gatekeeper::Gate;
use super::sorted::Fresh;
use super::turned::{Question, Turned};
use crate::assess::{CutRuling, NewCut, Prepared, UnknownCrop, prepare, rule_cuts};
use crate::book::{Moment, NewFact, Scope};
use crate::records::{Correction, Crop, Cut, FactId, Ledger, PatchName, Record, SiteName, Taken};
use crate::units::is_over;

/// Log-standard-deviations above the best estimate past which no stand is believed to reach.
const BEYOND_BELIEF_Z: f64 = 2.0;

/// Ledgers that are held in memory at once.
const AT_ONCE: usize = 16;

/// A new cut with its ruling.
#[derive(Clone, Debug)]
pub struct NewCutRuled {
    /// Of the cut.
    pub id: FactId,
    /// Where it was cut.
    pub patch: PatchName,
    /// When.
    pub day: Date,
    /// With the overrides of site and patch.
    pub crop: Arc<Crop>,
    /// In the crop's measure.
    pub amount: f64,
    /// Whether the amount's share of what was allowed was said, and not left to the book.
    pub was_said: bool,
    /// How it stood to what was allowed that morning.
    pub ruling: CutRuling,
}

impl NewCutRuled {
    /// Whether more was taken than every rule together allowed just before it.
    pub fn is_over(&self) -> bool {
        self.amount > 0.0 && self.ruling.before.most.is_some_and(|most| is_over(self.amount, most))
    }
}

/// Gives the cuts as they are to be recorded, and how each stood to its limit. The moment has
/// all that comes along with them.
///
/// # Errors
/// Questions about a cut larger than anything that can have stood there; a patch whose crop the
/// catalogue does not have; a book that cannot be read.
pub(super) fn hold_against_limits(
    cuts: Vec<Fresh>,
    corrections: &[Correction],
    moment: &Moment,
    gate: &Gate,
    answers: &Answers,
) -> Result<(Vec<NewFact>, Vec<NewCutRuled>), Turned> {
    let replaced: HashSet<FactId> = corrections.iter().map(|made| made.replaced).collect();
    let scopes = by_scope(&cuts);
    let mut cuts: Vec<Option<Fresh>> = cuts.into_iter().map(Some).collect();
    let mut over = Vec::new();
    let mut questions = Vec::new();
    for some in scopes.chunks(AT_ONCE) {
        let mut read = Vec::with_capacity(some.len());
        for (scope, of_scope) in some {
            let mut ledger = moment.ledger(scope)?;
            leave_out(&mut ledger, &replaced);
            read.push((ledger, of_scope.iter().filter_map(|n| cuts[*n].take()).collect()));
        }
        for (ruled, (_, of_scope)) in rule_all(read, gate, answers).into_iter().zip(some) {
            let ruled = ruled?;
            of_scope.iter().zip(ruled.cuts).for_each(|(n, cut)| cuts[*n] = Some(cut));
            over.extend(ruled.over);
            questions.extend(ruled.questions);
        }
    }
    if !questions.is_empty() {
        return Err(Turned::Questions(questions));
    }
    Ok((cuts.into_iter().flatten().map(|fresh| fresh.fact).collect(), over))
}

/// Cuts that share a scope, once they are ruled.
struct Ruled {
    cuts: Vec<Fresh>,
    over: Vec<NewCutRuled>,
    questions: Vec<Question>,
}

/// Rules the cuts of each ledger, several ledgers at a time: no limit rests on another scope.
fn rule_all(
    read: Vec<(Ledger, Vec<Fresh>)>,
    gate: &Gate,
    answers: &Answers,
) -> Vec<Result<Ruled, UnknownCrop>> {
    let (catalogue, on) = (gate.catalogue, gate.on);
    let rule_one = |(ledger, mut cuts): (Ledger, Vec<Fresh>)| {
        let last = cuts.iter().map(|cut| cut.fact.fact.happened_on).max();
        let mut prepared = prepare(&ledger, catalogue, last.unwrap_or(on))?;
        let mut questions = Vec::new();
        let over = rule(&mut cuts, &mut prepared, answers, &mut questions);
        Ok(Ruled { cuts, over, questions })
    };
    match read.len() {
        1 => read.into_iter().map(rule_one).collect(),
        _ => read.into_par_iter().map(rule_one).collect(),
    }
}

/// A cut that a walk brought back, and whether what it spends is settled: by what was promised,
/// or by who said so.
#[derive(Debug)]
pub struct Brought {
    /// The cut.
    pub fact: NewFact,
    /// Whether its `taken` stays as it is.
    pub is_settled: bool,
}

impl Gate<'_> {
    /// Gives what a walk brought back as it is to be recorded, and how each cut stood to its
    /// limit. What is not settled spends what its ruling says. `prepared` are the patches of the walk's sites as they stood for the walk on
    /// its day, and take the cuts in.
    ///
    /// # Errors
    /// Questions about a cut larger than anything that can have stood there.
    pub fn rule_brought(
        &self,
        brought: Vec<Brought>,
        prepared: &mut [Prepared],
        answers: &Answers,
    ) -> Result<(Vec<NewFact>, Vec<NewCutRuled>), Turned> {
        let fresh = |Brought { fact, is_settled }| Fresh {
            fact,
            is_settled,
            taken_unsaid: !is_settled,
            sure: false,
            again: false,
            replaces: false,
            is_recorded: false,
        };
        let mut cuts: Vec<Fresh> = brought.into_iter().map(fresh).collect();
        let mut questions = Vec::new();
        let ruled = rule(&mut cuts, prepared, answers, &mut questions);
        if !questions.is_empty() {
            return Err(Turned::Questions(questions));
        }
        Ok((cuts.into_iter().map(|fresh| fresh.fact).collect(), ruled))
    }
}

/// Rules those of the cuts whose patches are prepared, and settles what they spend.
fn rule(
    cuts: &mut [Fresh],
    prepared: &mut [Prepared],
    answers: &Answers,
    questions: &mut Vec<Question>,
) -> Vec<NewCutRuled> {
    let at: HashMap<&PatchName, usize> =
        prepared.iter().zip(0..).map(|(found, at)| (&found.facts.patch.record.name, at)).collect();
    let place = |n: usize| {
        let fresh = &cuts[n];
        let record = fresh.cut()?;
        Some((n, (*at.get(&record.patch)?, new_cut(record, fresh))))
    };
    let new: Vec<(usize, (usize, NewCut))> = (0..cuts.len()).filter_map(place).collect();
    if !answers.sure {
        questions.extend(new.iter().filter_map(|(n, (at, _))| larger(&cuts[*n], &prepared[*at])));
    }
    let crops: Vec<Arc<Crop>> =
        new.iter().map(|(_, (at, _))| prepared[*at].crop().clone()).collect();
    let (order, new): (Vec<usize>, Vec<(usize, NewCut)>) = new.into_iter().unzip();
    let rulings = rule_cuts(prepared, &new);
    if !answers.sure {
        let of_cut = order.iter().zip(&crops).zip(&rulings);
        let asked = of_cut.filter_map(|((n, crop), it)| passing_together(&cuts[*n], crop, it));
        // One question a day, for its last basket has the sum of all of them.
        let by_day: BTreeMap<(String, Date), Question> = asked.collect();
        questions.extend(by_day.into_values());
    }
    let ruled = order.into_iter().zip(crops).zip(rulings);
    ruled.filter_map(|((n, crop), ruling)| settle(&mut cuts[n], crop, ruling)).collect()
}

/// The cuts by what has to be read for them: one patch where there is but one, else sites.
fn by_scope(cuts: &[Fresh]) -> Vec<(Scope, Vec<usize>)> {
    let mut by_site: BTreeMap<SiteName, Vec<usize>> = BTreeMap::new();
    for (n, cut) in cuts.iter().enumerate() {
        let Some(record) = cut.cut() else { continue };
        by_site.entry(record.patch.site().clone()).or_default().push(n);
    }
    let scoped = |(site, of_site): (SiteName, Vec<usize>)| {
        let mut patches = of_site.iter().filter_map(|n| Some(&cuts[*n].cut()?.patch));
        let first = patches.next().cloned();
        match first.filter(|first| patches.all(|patch| patch == first)) {
            Some(only) => (Scope::Patch(only), of_site),
            None => (Scope::Site(site), of_site),
        }
    };
    by_site.into_iter().map(scoped).collect()
}

/// Takes out of the ledger what the new cuts take the place of.
fn leave_out(ledger: &mut Ledger, replaced: &HashSet<FactId>) {
    let patches = ledger.sites.iter_mut().flat_map(|site| &mut site.patches);
    for patch in patches {
        patch.cuts.retain(|cut| !replaced.contains(&cut.id));
    }
}

fn new_cut<'c>(cut: &'c Cut, fresh: &'c Fresh) -> NewCut<'c> {
    NewCut {
        day: fresh.fact.fact.happened_on,
        amount: cut.amount.value,
        people: cut.people,
        method: cut.method.as_deref(),
        walk: cut.walk.as_ref(),
        by: &fresh.fact.fact.by,
        said: (!fresh.taken_unsaid).then_some(cut.taken),
    }
}

/// Asks about a cut of more than can have stood there.
fn larger(fresh: &Fresh, patch: &Prepared) -> Option<Question> {
    let (cut, fact) = (fresh.cut()?, &fresh.fact.fact);
    if fresh.sure {
        return None;
    }
    let stood = patch.course().state_on(fact.happened_on)?;
    let most = stood.band(BEYOND_BELIEF_Z).1;
    let seen = match cut.taken {
        Taken::OneIn(n) if !fresh.taken_unsaid => cut.amount.value * f64::from(n),
        _ => cut.amount.value,
    };
    let crop = patch.crop();
    if seen <= most {
        return None;
    }
    let place = fact.file.as_deref().unwrap_or_default().to_owned();
    let (took, most) = (crop.show(cut.amount.value), crop.show(most));
    let (patch, day) = (&cut.patch, fact.happened_on);
    Some(match cut.taken {
        Taken::OneIn(n) if !fresh.taken_unsaid => Question {
            place,
            found: format!(
                "{took} as 1 in {n} would mean that {} stood on {patch} on {day}, where no more \
                 than {most} is believed",
                crop.show(seen)
            ),
            way_out: "see that the count is right; if it is, say --sure".to_owned(),
        },
        _ => Question {
            place,
            found: format!(
                "{took} cut from {patch} on {day}, where no more than {most} can have stood"
            ),
            way_out: "see that the amount is right; if it is, say --sure".to_owned(),
        },
    })
}

/// Asks about a day whose baskets passed together what was allowed in the morning, though each of
/// them kept to what the ones before it had left.
fn passing_together(
    fresh: &Fresh,
    crop: &Crop,
    ruling: &CutRuling,
) -> Option<((String, Date), Question)> {
    let (cut, fact) = (fresh.cut()?, &fresh.fact.fact);
    let (taken, allowed) = (ruling.day.take.taken, ruling.day.take.allowed?);
    let kept = !ruling.before.most.is_some_and(|most| is_over(cut.amount.value, most));
    let is_new = !fresh.sure && !fresh.is_settled;
    if !(is_new && kept && cut.amount.value > 0.0 && ruling.day.take.is_over()) {
        return None;
    }
    let day = fact.happened_on;
    let question = Question {
        place: fact.file.as_deref().unwrap_or_default().to_owned(),
        found: format!(
            "the baskets from {} on {day} come to {} by this one, where no more than {} was \
             allowed that morning",
            cut.patch,
            crop.show(taken),
            crop.show(allowed)
        ),
        way_out: "see that none of them is written down twice; if all are right, say --sure"
            .to_owned(),
    };
    Some(((cut.patch.to_string(), day), question))
}

/// Gives the cut what it spends. What came under an id of its own keeps what was settled when
/// it was first recorded.
fn settle(fresh: &mut Fresh, crop: Arc<Crop>, ruling: CutRuling) -> Option<NewCutRuled> {
    let was_said = !fresh.taken_unsaid;
    let (id, day, keeps) = (fresh.fact.fact.id, fresh.fact.fact.happened_on, fresh.is_settled);
    let Record::Cut(cut) = &mut fresh.fact.fact.record else { return None };
    if !keeps {
        cut.taken = ruling.taken;
    }
    let (patch, amount) = (cut.patch.clone(), cut.amount.value);
    Some(NewCutRuled { id, patch, day, crop, amount, was_said, ruling })
}
