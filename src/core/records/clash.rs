//! One fact put right in two ways: which of them counts until a person settles it.
//!
//! Two books may correct one fact differently. What counts then must follow from the facts
//! alone, whichever book hears of the other first, and err to the side that allows less.

use std::cmp::Ordering;
use std::sync::Arc;

use jiff::civil::Date;

use super::{Closure, Correction, Fact, FactId, Kind, Permission, Record, Taken, Yardstick};
use crate::units::Amount;

/// What a branch of corrections comes to.
#[derive(Clone, Debug, PartialEq)]
pub enum Ending {
    /// The newest fact of the branch, and who put it right so.
    Says(Box<Fact<Record>>, Arc<str>),
    /// The correction that withdrew the last of it.
    Withdrawn(Correction),
}

/// One fact whose corrections come to different ends.
#[derive(Clone, Debug, PartialEq)]
pub struct Clash {
    /// Of the fact and of all its corrections.
    pub kind: Kind,
    /// What both put right, itself or its first.
    pub of: FactId,
    /// Two or more, in the order of their ids.
    pub ends: Vec<Ending>,
    /// The end that counts: its position.
    pub stands: usize,
}

impl Ending {
    /// The id of the fact, or of the correction that withdrew it.
    pub fn id(&self) -> FactId {
        match self {
            Self::Says(fact, _) => fact.id,
            Self::Withdrawn(correction) => correction.id,
        }
    }

    fn recorded_on(&self) -> Date {
        match self {
            Self::Says(fact, _) => fact.recorded_on,
            Self::Withdrawn(correction) => correction.recorded_on,
        }
    }

    /// The later recorded wins, then the larger id.
    fn age(&self) -> (Date, FactId) {
        (self.recorded_on(), self.id())
    }
}

impl Clash {
    /// The strictest of these ends stands. `ends` must not be empty.
    pub fn among(kind: Kind, of: FactId, mut ends: Vec<Ending>) -> Self {
        ends.sort_by_key(Ending::id);
        let stands = strictest(kind, &ends);
        Self { kind, of, ends, stands }
    }

    /// The end that counts until a person settles it.
    pub fn standing(&self) -> &Ending {
        &self.ends[self.stands]
    }

    /// Whether the fact is an end that does not count.
    pub fn loses(&self, id: FactId) -> bool {
        self.standing().id() != id && self.ends.iter().any(|end| end.id() == id)
    }
}

/// The position of the end that allows the least, where ends of the kind can be compared, and
/// else of the last that was recorded.
fn strictest(kind: Kind, ends: &[Ending]) -> usize {
    let newest = |which: &dyn Fn(&Ending) -> bool| {
        let those = ends.iter().enumerate().filter(|(_, end)| which(end));
        those.max_by_key(|(_, end)| end.age()).map(|(at, _)| at)
    };
    let withdrawn = newest(&|end| matches!(end, Ending::Withdrawn(_)));
    let says = strictest_fact(ends);
    match (says, withdrawn) {
        (Some(fact), Some(withdrawn)) => match kind {
            // What was cut, promised or shut binds; so does ground where nothing may be taken.
            // A walk stays, so that what is promised to it has a walk.
            Kind::Cut | Kind::Hold | Kind::Closure | Kind::Zone | Kind::Walk | Kind::Redraw => fact,
            // Without a permission or a place nothing may be taken.
            Kind::Permission | Kind::Site | Kind::Patch => withdrawn,
            _ if ends[fact].age() > ends[withdrawn].age() => fact,
            _ => withdrawn,
        },
        (fact, withdrawn) => fact.or(withdrawn).unwrap_or(0),
    }
}

fn strictest_fact(ends: &[Ending]) -> Option<usize> {
    let facts: Vec<(usize, &Fact<Record>)> = ends
        .iter()
        .enumerate()
        .filter_map(|(at, end)| match end {
            Ending::Says(fact, _) => Some((at, &**fact)),
            Ending::Withdrawn(_) => None,
        })
        .collect();
    if let Some(narrowest) = narrowest_permission(&facts) {
        return Some(narrowest);
    }
    let all: Option<Vec<Strictness>> = facts.iter().map(|(_, fact)| strictness(fact)).collect();
    let comparable = all.filter(|all| all.iter().all(|one| one.of == all[0].of));
    let stricter = |one: usize, other: usize| match &comparable {
        Some(all) => {
            let (one, other) = (&all[one], &all[other]);
            one.first.total_cmp(&other.first).then(one.then.cmp(&other.then))
        }
        None => Ordering::Equal,
    };
    let age = |at: usize| (facts[at].1.recorded_on, facts[at].1.id);
    let strictest = (0..facts.len())
        .max_by(|&one, &other| stricter(one, other).then_with(|| age(one).cmp(&age(other))))?;
    Some(facts[strictest].0)
}

/// How much a fact holds back beside others that are measured in the same way.
struct Strictness {
    of: Yardstick,
    /// The more, the stricter.
    first: f64,
    /// Where that is alike: whether all that was allowed is spent.
    then: bool,
}

/// `None` where it cannot be said.
fn strictness(fact: &Fact<Record>) -> Option<Strictness> {
    let plain = |of, first| Strictness { of, first, then: false };
    let spent = |amount: Amount, taken| Strictness {
        of: Yardstick::Of(amount.measure),
        first: amount.value,
        then: taken == Taken::All,
    };
    Some(match &fact.record {
        Record::Cut(cut) => spent(cut.amount, cut.taken),
        Record::Hold(hold) => spent(hold.amount, hold.taken),
        Record::Glance(glance) => {
            plain(Yardstick::Of(glance.standing.measure), -glance.standing.value)
        }
        // The larger first basket, or the smaller second one, makes the slower patch.
        Record::Clipping(clipping) => {
            let sign = if clipping.begun.is_none() { 1.0 } else { -1.0 };
            plain(Yardstick::Of(clipping.cut.measure), sign * clipping.cut.value)
        }
        Record::Survey(survey) => {
            let (of, found) = survey.summary()?.method.found()?;
            plain(of, -found)
        }
        Record::Closure(closure) => plain(Yardstick::Days, days_shut(closure)),
        _ => return None,
    })
}

/// A closure of the whole site shuts more than any of one patch.
fn days_shut(closure: &Closure) -> f64 {
    const LONGER_THAN_ANY: f64 = 1e7;
    let days = closure.to.map_or(LONGER_THAN_ANY, |to| {
        f64::from(closure.from.until(to).map_or(0, |span| span.get_days()))
    });
    if closure.patch.is_none() { days + 2.0 * LONGER_THAN_ANY } else { days }
}

/// The permission that allows no more than each of the others in any respect, if there is one.
fn narrowest_permission(facts: &[(usize, &Fact<Record>)]) -> Option<usize> {
    let permissions: Option<Vec<(usize, &Fact<Record>, &Permission)>> = facts
        .iter()
        .map(|&(at, fact)| match &fact.record {
            Record::Permission(permission) => Some((at, fact, permission)),
            _ => None,
        })
        .collect();
    let permissions = permissions?;
    let within_all = |one: &&(usize, &Fact<Record>, &Permission)| {
        permissions.iter().all(|other| one.2.is_within(other.2))
    };
    let newest = permissions.iter().filter(within_all);
    newest.max_by_key(|(_, fact, _)| (fact.recorded_on, fact.id)).map(|(at, ..)| *at)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::{Basis, Cut, Glance, Hold, PatchName, Replacement, SiteName};
    use jiff::civil::date;
    use uuid::Uuid;

    fn id(number: u128) -> FactId {
        FactId(Uuid::from_u128(number))
    }

    fn says(number: u128, recorded: i8, record: Record) -> Ending {
        let day = date(2027, 3, recorded);
        let by: Arc<str> = "a leader".into();
        let (id, file) = (id(number), None);
        let fact = Fact { id, happened_on: day, recorded_on: day, by: by.clone(), file, record };
        Ending::Says(Box::new(fact), by)
    }

    fn withdrawn(number: u128, recorded: i8) -> Ending {
        Ending::Withdrawn(Correction {
            id: id(number),
            replaced: id(99),
            replacement: Replacement::Withdrawn,
            why: "entered twice".into(),
            recorded_on: date(2027, 3, recorded),
            by: "a leader".into(),
        })
    }

    fn bank() -> PatchName {
        "wood/bank".parse().unwrap()
    }

    fn cut(grams: f64, taken: Taken) -> Record {
        let amount = Amount::grams(grams);
        let (people, method, walk) = (None, None, None);
        Record::Cut(Cut { patch: bank(), amount, taken, people, method, walk })
    }

    fn hold(grams: f64) -> Record {
        let (amount, taken, people) = (Amount::grams(grams), Taken::All, None);
        let (walk, day) = ("a walk".parse().unwrap(), date(2027, 4, 1));
        Record::Hold(Hold { patch: bank(), walk, day, amount, taken, people })
    }

    fn permission(cap_g: Option<f64>, to: Option<Date>) -> Record {
        Record::Permission(Permission {
            site: SiteName::new("wood").unwrap(),
            basis: Basis::Spoken,
            purposes: None,
            from: date(2027, 3, 1),
            to,
            crops: Vec::new(),
            methods: Vec::new(),
            cap_per_visit: cap_g.map(Amount::grams),
            cap_per_season: None,
            largest_party: None,
            ask_first: false,
            lifts_code_cap: false,
            note: None,
        })
    }

    fn permission_for(purposes: &str) -> Record {
        let Record::Permission(plain) = permission(None, None) else { unreachable!() };
        Record::Permission(Permission { purposes: purposes.parse().ok(), ..plain })
    }

    /// One that says nothing counts as own use, and so is within one that says more.
    #[test]
    fn the_permission_for_fewer_uses_stands() {
        let wide = says(1, 5, permission_for("own use; walk; sale"));
        let narrow = says(2, 1, permission_for("own use; walk"));
        assert_eq!(stands(Kind::Permission, &[wide.clone(), narrow.clone()]), id(2));
        let unsaid = says(3, 1, permission_for(""));
        assert_eq!(stands(Kind::Permission, &[wide, narrow.clone(), unsaid.clone()]), id(3));
        // Neither is within the other: the later recorded stands.
        let sale = says(4, 6, permission_for("sale"));
        assert_eq!(stands(Kind::Permission, &[sale, unsaid]), id(4));
    }

    #[test]
    fn the_permission_for_fewer_crops_stands() {
        let of = |crops: &[&str]| {
            let Record::Permission(plain) = permission(None, None) else { unreachable!() };
            let crops = crops.iter().map(|crop| (*crop).into()).collect();
            Record::Permission(Permission { crops, ..plain })
        };
        let [all, two, one] = [(1, &[][..]), (2, &["sloe", "elder"]), (3, &["elder"])]
            .map(|(n, crops)| says(n, 5, of(crops)));
        assert_eq!(stands(Kind::Permission, &[all.clone(), two.clone()]), id(2));
        assert_eq!(stands(Kind::Permission, &[all, two, one]), id(3));
    }

    fn closure(patch: Option<&str>, to: Option<Date>) -> Record {
        Record::Closure(Closure {
            site: SiteName::new("wood").unwrap(),
            patch: patch.map(Into::into),
            from: date(2027, 3, 1),
            to,
            reason: "nests".into(),
        })
    }

    /// In whatever order the ends are met.
    fn stands(kind: Kind, ends: &[Ending]) -> FactId {
        let forth = Clash::among(kind, id(99), ends.to_vec());
        let back = Clash::among(kind, id(99), ends.iter().rev().cloned().collect());
        assert_eq!(forth, back);
        forth.standing().id()
    }

    #[test]
    fn the_larger_cut_or_hold_stands_and_either_before_its_withdrawal() {
        let (small, large) = (cut(500.0, Taken::All), cut(650.0, Taken::ByWeight));
        let ends = [says(1, 1, large), says(2, 5, small.clone()), withdrawn(3, 9)];
        assert_eq!(stands(Kind::Cut, &ends), id(1));
        let by_weight = [says(1, 1, small), says(2, 5, cut(500.0, Taken::ByWeight))];
        assert_eq!(stands(Kind::Cut, &by_weight), id(1));
        let holds = [says(1, 1, hold(300.0)), says(2, 5, hold(200.0))];
        assert_eq!(stands(Kind::Hold, &holds), id(1));
    }

    #[test]
    fn the_lesser_glance_the_longer_closure_and_the_narrower_permission_stand() {
        let glance = |grams| {
            let standing = Amount::grams(grams);
            Record::Glance(Glance { patch: bank(), standing })
        };
        assert_eq!(
            stands(Kind::Glance, &[says(1, 1, glance(3.0)), says(2, 5, glance(4.0))]),
            id(1)
        );
        let until = |day| Some(date(2027, day, 1));
        let long = says(1, 1, closure(Some("bank"), until(9)));
        let short = says(2, 5, closure(Some("bank"), until(6)));
        assert_eq!(stands(Kind::Closure, &[long.clone(), short.clone()]), id(1));
        let whole_site = says(3, 1, closure(None, until(4)));
        assert_eq!(stands(Kind::Closure, &[long, short, whole_site, withdrawn(4, 9)]), id(3));
        let narrow = says(1, 1, permission(Some(500.0), until(9)));
        let wide = says(2, 5, permission(None, until(9)));
        assert_eq!(stands(Kind::Permission, &[narrow.clone(), wide.clone()]), id(1));
        assert_eq!(stands(Kind::Permission, &[narrow, wide, withdrawn(3, 2)]), id(3));
    }

    #[test]
    fn where_nothing_can_be_compared_the_later_recorded_stands_and_then_the_larger_id() {
        let capped = says(1, 6, permission(Some(500.0), None));
        let shorter = says(2, 5, permission(None, Some(date(2027, 9, 1))));
        assert_eq!(stands(Kind::Permission, &[capped, shorter.clone()]), id(1));
        let too = says(3, 5, permission(Some(400.0), None));
        assert_eq!(stands(Kind::Permission, &[too, shorter]), id(3));
        let glance = Record::Glance(Glance { patch: bank(), standing: Amount::grams(3.0) });
        assert_eq!(stands(Kind::Glance, &[says(1, 5, glance.clone()), withdrawn(2, 4)]), id(1));
        assert_eq!(stands(Kind::Glance, &[says(1, 5, glance), withdrawn(2, 6)]), id(2));
    }
}
