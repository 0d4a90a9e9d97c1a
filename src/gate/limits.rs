//! How new cuts stand to what was allowed on their day, and what each of them spends.

use std::collections::BTreeMap;
use std::sync::Arc;

use foldhash::{HashMap, HashMapExt, HashSet};
use jiff::civil::Date;
use rayon::prelude::*;

use super::delivery::Answers;
use super::gatekeeper::Gate;
use super::sorted::Fresh;
use super::turned::{Question, Turned};
use crate::assess::{CutRuling, NewCut, Prepared, UnknownCrop, prepare, rule_cuts, stood_before};
use crate::book::{Moment, NewFact, Scope};
use crate::catalogue::Catalogue;
use crate::records::{
    Correction, Crop, Cut, FactId, Kind, Ledger, PatchName, Record, SiteName, Taken,
};
use crate::regrowth::State;
use crate::units::is_over;

/// Log-standard-deviations above the best estimate past which no stand is believed to reach.
const BEYOND_BELIEF_Z: f64 = 2.0;

/// Ledgers that are ruled at once; twice as many are held in memory.
const AT_ONCE: usize = 16;

/// From so many cuts on, only some are told of. So many facts of one kind are recorded as very many.
pub(super) const MANY: usize = 10_000;

/// Of so many cuts, those that are told of each site.
const MOST_OF_A_SITE: usize = 10;

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

/// New cuts with their rulings.
#[derive(Debug, Default)]
pub(super) struct Held {
    /// As they are to be recorded, those that the moment does not have yet.
    pub facts: Vec<NewFact>,
    /// How each stood to its limit; of very many, the first few of each site that are over it.
    pub cuts: Vec<NewCutRuled>,
    /// How many more are over it.
    pub more_over: usize,
}

/// Rules the cuts, and says how each stood to its limit. The moment has all that comes along with
/// them, and takes in the cuts themselves where they are of many sites and put nothing right.
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
) -> Result<Held, Turned> {
    let replaced: HashSet<FactId> = corrections.iter().map(|made| made.replaced).collect();
    let scopes = by_scope(&cuts);
    let are_many = cuts.len() > MANY;
    let mut desk = Desk {
        moment,
        replaced,
        cuts: cuts.into_iter().map(Some).collect(),
        are_many,
        records_at_once: scopes.len() > AT_ONCE && corrections.is_empty(),
        held: Vec::new(),
        more_over: 0,
    };
    if are_many && corrections.is_empty() {
        moment.expects_many(Kind::Cut)?;
    }
    let mut groups = scopes.chunks(AT_ONCE);
    let mut ready = groups.next().map(|group| desk.read(group)).transpose()?;
    let mut ruled_before = None;
    let (catalogue, on) = (gate.catalogue, gate.on);
    while let Some((group, ledgers)) = ready.take() {
        let next = groups.next();
        let ruled = if next.is_none() && ruled_before.is_none() {
            rule_all(ledgers, catalogue, on, answers)
        } else {
            // Others rule these, while this thread puts away what was ruled before and reads on.
            let mut ruled = Vec::new();
            let meanwhile = rayon::in_place_scope(|others| {
                others.spawn(|_| ruled = rule_all(ledgers, catalogue, on, answers));
                if let Some((group, ruled)) = ruled_before.take() {
                    desk.put_away(group, ruled)?;
                }
                next.map(|group| desk.read(group)).transpose()
            });
            ready = meanwhile?;
            ruled
        };
        ruled_before = Some((group, ruled));
    }
    if let Some((group, ruled)) = ruled_before {
        desk.put_away(group, ruled)?;
    }
    desk.close()
}

/// The cuts of a site, and what has to be read for them.
struct Scoped {
    site: SiteName,
    scope: Scope,
    /// Their numbers.
    cuts: Vec<usize>,
}

/// Scopes, each with its ledger and its cuts.
type Group<'s> = (&'s [Scoped], Vec<(Ledger, Vec<Fresh>)>);

/// The cuts on their way through.
struct Desk<'a> {
    moment: &'a Moment<'a>,
    replaced: HashSet<FactId>,
    /// By their number; `None` for those that are being ruled, or were recorded.
    cuts: Vec<Option<Fresh>>,
    are_many: bool,
    records_at_once: bool,
    held: Vec<HeldOfSite>,
    more_over: usize,
}

/// What there is to say of the cuts of a site.
struct HeldOfSite {
    site: SiteName,
    cuts: Vec<NewCutRuled>,
    questions: Vec<Question>,
}

impl Desk<'_> {
    fn read<'s>(&mut self, group: &'s [Scoped]) -> Result<Group<'s>, Turned> {
        let mut read = Vec::with_capacity(group.len());
        for scoped in group {
            let mut ledger = self.moment.ledger(&scoped.scope)?;
            leave_out(&mut ledger, &self.replaced);
            let cuts = scoped.cuts.iter().filter_map(|n| self.cuts[*n].take()).collect();
            read.push((ledger, cuts));
        }
        Ok((group, read))
    }

    fn put_away(
        &mut self,
        group: &[Scoped],
        ruled: Vec<Result<Ruled, UnknownCrop>>,
    ) -> Result<(), Turned> {
        let mut facts = Vec::new();
        for (ruled, scoped) in ruled.into_iter().zip(group) {
            let Ruled { cuts, mut over, questions } = ruled?;
            if self.are_many {
                over.retain(NewCutRuled::is_over);
                self.more_over += over.len().saturating_sub(MOST_OF_A_SITE);
                over.truncate(MOST_OF_A_SITE);
            }
            self.held.push(HeldOfSite { site: scoped.site.clone(), cuts: over, questions });
            if self.records_at_once {
                facts.extend(cuts.into_iter().map(|cut| cut.fact));
            } else {
                scoped.cuts.iter().zip(cuts).for_each(|(n, cut)| self.cuts[*n] = Some(cut));
            }
        }
        let none_is_asked = self.held.iter().all(|held| held.questions.is_empty());
        if none_is_asked && !facts.is_empty() {
            self.moment.record(&facts, &[])?;
        }
        Ok(())
    }

    fn close(mut self) -> Result<Held, Turned> {
        // As the sites are called, whatever the order in which they were ruled.
        self.held.sort_by(|one, other| one.site.cmp(&other.site));
        let mut held = Held { more_over: self.more_over, ..Held::default() };
        let mut questions = Vec::new();
        for of_site in self.held {
            held.cuts.extend(of_site.cuts);
            questions.extend(of_site.questions);
        }
        if !questions.is_empty() {
            return Err(Turned::Questions(questions));
        }
        held.facts.extend(self.cuts.into_iter().flatten().map(|cut| cut.fact));
        Ok(held)
    }
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
    catalogue: &Catalogue,
    on: Date,
    answers: &Answers,
) -> Vec<Result<Ruled, UnknownCrop>> {
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
        let stood = stood_before(prepared, new.iter().map(|(_, (at, cut))| (*at, cut.day)));
        let held = new.iter().zip(stood);
        questions.extend(
            held.filter_map(|((n, (at, _)), stood)| {
                larger(&cuts[*n], prepared[*at].crop(), stood?)
            }),
        );
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

/// The cuts by what has to be read for them: one patch where there is but one, else sites, in the
/// order in which they first come: so it is likely that they lie in the book.
fn by_scope(cuts: &[Fresh]) -> Vec<Scoped> {
    let mut by_site: HashMap<&SiteName, Vec<usize>> = HashMap::new();
    for (n, cut) in cuts.iter().enumerate() {
        let Some(record) = cut.cut() else { continue };
        by_site.entry(record.patch.site()).or_default().push(n);
    }
    let scoped = |(site, of_site): (&SiteName, Vec<usize>)| {
        let mut patches = of_site.iter().filter_map(|n| Some(&cuts[*n].cut()?.patch));
        let first = patches.next().cloned();
        let scope = match first.filter(|first| patches.all(|patch| patch == first)) {
            Some(only) => Scope::Patch(only),
            None => Scope::Site(site.clone()),
        };
        Scoped { site: site.clone(), scope, cuts: of_site }
    };
    let mut scopes: Vec<Scoped> = by_site.into_iter().map(scoped).collect();
    scopes.sort_unstable_by_key(|scoped| scoped.cuts.first().copied());
    scopes
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
fn larger(fresh: &Fresh, crop: &Crop, stood: State) -> Option<Question> {
    let (cut, fact) = (fresh.cut()?, &fresh.fact.fact);
    if fresh.sure {
        return None;
    }
    let most = stood.band(BEYOND_BELIEF_Z).1;
    let seen = match cut.taken {
        Taken::OneIn(n) if !fresh.taken_unsaid => cut.amount.value * f64::from(n),
        _ => cut.amount.value,
    };
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
