//! Boxes promised for a month, gathered week by week: what each week takes is played before
//! the next one is planned, so that every patch's share refills in between.

use jiff::ToSpan;
use jiff::civil::Date;
use uuid::Uuid;

use super::errand::Outing;
use super::planned::{WalkPlan, plan_outing};
use super::promises::holds;
use super::shortage::Shortage;
use crate::assess::{Asker, UnknownCrop, prepare_for};
use crate::catalogue::Catalogue;
use crate::records::{
    Fact, FactId, Hold, Ledger, NameError, Party, Purpose, SiteName, Walk, WalkName, Want,
};
use crate::units::{Amount, Week};
use crate::walk::{PlanError, month_demand, wanted_next, weeks_of_month};

/// The day that puts an ISO week into its month, Thursday, counted from Monday.
const THURSDAY: i64 = 3;

/// What is promised to the subscribers.
#[derive(Clone, Debug)]
pub struct BoxOrder {
    /// Any day of the month.
    pub month: Date,
    pub count: u32,
    /// What is in each box.
    pub each: Vec<Want>,
    /// Empty for all of them.
    pub sites: Vec<SiteName>,
    /// How many gather each week.
    pub people: u32,
    /// What the walks are called, with the week behind it.
    pub name: WalkName,
    /// Settles ties when a week's quota is split.
    pub seed: u32,
}

/// Where it all comes from.
#[derive(Clone, Debug)]
pub struct BoxPlan {
    pub weeks: Vec<BoxWeek>,
    pub wants: Vec<BoxWant>,
}

/// The gathering of one week, on its Thursday.
#[derive(Clone, Debug)]
pub struct BoxWeek {
    pub week: Week,
    pub plan: WalkPlan,
    /// The walk it would be, and what would be set aside for it; `None` for a week in which
    /// nothing is gathered.
    pub walk: Option<(Walk, Vec<Hold>)>,
}

/// What becomes of one thing that is in every box.
#[derive(Clone, Debug)]
pub struct BoxWant {
    /// Of each box.
    pub each: Want,
    /// Of all boxes.
    pub wanted: Amount,
    pub got: Amount,
    /// What is missing after the last week.
    pub shortage: Option<Shortage>,
}

#[derive(Debug, thiserror::Error)]
pub enum BoxError {
    #[error("every week of that month is over; choose a later one")]
    NoWeekLeft,
    #[error(transparent)]
    Crop(#[from] UnknownCrop),
    #[error(transparent)]
    Plan(#[from] PlanError),
    #[error(transparent)]
    Name(#[from] NameError),
}

/// Plans a month's boxes as one who asks on `today`: weeks whose Thursday is past are over.
///
/// # Errors
/// A month that is over, a patch of a crop that the catalogue does not have, a plan that the
/// solver gives up, or a name that is too long with the week behind it.
pub fn plan_boxes(
    order: &BoxOrder,
    ledger: &Ledger,
    catalogue: &Catalogue,
    today: Date,
) -> Result<BoxPlan, BoxError> {
    let weeks = weeks_of_month(order.month).into_iter().filter(|week| thursday(*week) >= today);
    let weeks: Vec<Week> = weeks.collect();
    if weeks.is_empty() {
        return Err(BoxError::NoWeekLeft);
    }
    let mut ledger = ledger.clone();
    let mut delivered: Vec<Vec<u64>> = vec![Vec::new(); order.each.len()];
    let mut planned: Vec<BoxWeek> = Vec::new();
    for week in &weeks {
        let outing = order.outing(*week, weeks.len(), &delivered);
        let asker = Asker { today, walk: None };
        let prepared = prepare_for(&ledger, catalogue, outing.day, asker)?;
        let plan = match outing.wants.as_slice() {
            [] => WalkPlan::nothing(&outing),
            _ => plan_outing(&outing, &prepared, catalogue)?,
        };
        for (sum, each) in delivered.iter_mut().zip(&order.each) {
            let met = plan.wants.iter().find(|met| met.want.what == each.what);
            sum.push(met.map_or(0, |met| met.got as u64));
        }
        let walk = order.walk(*week, &outing, &plan)?;
        drop(prepared);
        if let Some((_, holds)) = &walk {
            play(&mut ledger, holds);
        }
        planned.push(BoxWeek { week: *week, plan, walk });
    }
    let wants = order.each.iter().zip(&delivered).map(|(each, got)| order.met(each, got, &planned));
    Ok(BoxPlan { wants: wants.collect(), weeks: planned })
}

fn thursday(week: Week) -> Date {
    week.first_day().checked_add(THURSDAY.days()).unwrap_or(week.first_day())
}

/// Sets these aside, so that the weeks after see them kept.
pub(super) fn play(ledger: &mut Ledger, holds: &[Hold]) {
    let patches = ledger.sites.iter_mut().flat_map(|site| &mut site.patches);
    for patch in patches {
        let here = holds.iter().filter(|hold| hold.patch == patch.patch.record.name);
        patch.holds.extend(here.map(|hold| Fact {
            id: FactId(Uuid::nil()),
            happened_on: hold.day,
            recorded_on: hold.day,
            by: hold.walk.as_str().into(),
            file: None,
            record: hold.clone(),
        }));
    }
}

impl BoxOrder {
    /// What all boxes hold of one thing, in whole grams or pieces.
    fn demand(&self, each: &Want) -> u64 {
        month_demand(each.amount.value.ceil() as u64, self.count)
    }

    fn outing(&self, week: Week, weeks: usize, delivered: &[Vec<u64>]) -> Outing {
        let want = |(each, delivered): (&Want, &Vec<u64>)| {
            let wanted = wanted_next(self.demand(each), weeks, delivered);
            let amount = Amount { value: wanted as f64, ..each.amount };
            (wanted > 0).then(|| Want { what: each.what.clone(), amount })
        };
        Outing {
            day: thursday(week),
            people: self.people,
            purpose: Purpose::Sale,
            sites: self.sites.clone(),
            wants: self.each.iter().zip(delivered).filter_map(want).collect(),
            start: None,
            within: None,
            route: None,
        }
    }

    fn walk(
        &self,
        week: Week,
        outing: &Outing,
        plan: &WalkPlan,
    ) -> Result<Option<(Walk, Vec<Hold>)>, NameError> {
        let mut sites: Vec<SiteName> = Vec::new();
        for stop in &plan.stops {
            let site = stop.found.patch.site();
            if !sites.contains(site) {
                sites.push(site.clone());
            }
        }
        if sites.is_empty() {
            return Ok(None);
        }
        let walk = Walk {
            name: WalkName::new(&format!("{} {week}", self.name))?,
            day: outing.day,
            site: sites.remove(0),
            other_sites: sites,
            parties: vec![Party { adults: self.people, children: 0, stated_weight: None }],
            wants: outing.wants.clone(),
            stated_purpose: Some(Purpose::Sale),
            seed: self.seed,
        };
        let holds = holds(&walk, plan);
        Ok(Some((walk, holds)))
    }

    fn met(&self, each: &Want, got: &[u64], weeks: &[BoxWeek]) -> BoxWant {
        let last = weeks.last().map(|week| week.plan.wants.as_slice()).unwrap_or_default();
        let last = last.iter().find(|met| met.want.what == each.what);
        let amount = |value: u64| Amount { value: value as f64, ..each.amount };
        BoxWant {
            each: each.clone(),
            wanted: amount(self.demand(each)),
            got: amount(got.iter().sum()),
            shortage: last.and_then(|met| met.shortage.clone()),
        }
    }
}
