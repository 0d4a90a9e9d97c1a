//! Boxes promised for a month, gathered week by week: what each week takes is played before
//! the next one is planned, so that every patch's share refills in between.

use std::collections::BTreeSet;
use std::sync::Arc;

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
    Crop, Fact, FactId, Hold, Ledger, LookAlikeGrade, NameError, Party, Purpose, SiteName, Walk,
    WalkName, Want,
};
use crate::units::{Amount, Week};
use crate::walk::{
    PlanError, RoundingUnit, boxes_by, laid_out, level, month_demand, subscriber_at, wanted_next,
    weeks_of_month,
};

/// The day that puts an ISO week into its month, Thursday, counted from Monday.
const THURSDAY: i64 = 3;

/// What is promised to the subscribers.
#[derive(Clone, Debug)]
pub struct BoxOrder {
    /// Any day of the month.
    pub month: Date,
    /// How many boxes.
    pub count: u32,
    /// What is in each box.
    pub each: Vec<Want>,
    /// Empty for all of them.
    pub sites: Vec<SiteName>,
    /// How many gather each week.
    pub people: u32,
    /// Crops that are in no box.
    pub without: Vec<Arc<str>>,
    /// Crops that are in a box though people have died of what looks like them; what a box holds
    /// by its own name is one of them.
    pub named: Vec<Arc<str>>,
    /// What the walks are called, with the week behind it.
    pub name: WalkName,
    /// Settles ties when a week's quota is split.
    pub seed: u32,
}

/// Where it all comes from.
#[derive(Clone, Debug)]
pub struct BoxPlan {
    /// In the order of their days; those that are over are left out.
    pub weeks: Vec<BoxWeek>,
    /// In the order in which they were asked for.
    pub wants: Vec<BoxWant>,
    /// Crops that would have served, and are in no box.
    pub left_out: Vec<LeftOut>,
}

/// A crop that is in no box.
#[derive(Clone, Debug)]
pub struct LeftOut {
    /// Which crop.
    pub crop: Arc<Crop>,
    /// Somebody asked for it to be left out; else it has a fatal look-alike and nobody named it.
    pub unwanted: bool,
}

/// What is put into one box in one week.
#[derive(Clone, Debug)]
pub struct PackedBox {
    /// From 1; the same one month after month.
    pub subscriber: u32,
    /// Its own week; else it makes up for what fell short in that.
    pub is_own_week: bool,
    /// In the order in which it was asked for.
    pub contents: Vec<Packed>,
}

/// How much of one crop is in a box.
#[derive(Clone, Debug)]
pub struct Packed {
    /// Which crop.
    pub crop: Arc<Crop>,
    /// In the crop's measure.
    pub amount: f64,
}

/// The gathering of one week, on its Thursday.
#[derive(Clone, Debug)]
pub struct BoxWeek {
    /// Which week.
    pub week: Week,
    /// What is gathered.
    pub plan: WalkPlan,
    /// The walk it would be, and what would be set aside for it; `None` for a week in which
    /// nothing is gathered.
    pub walk: Option<(Walk, Vec<Hold>)>,
    /// Those that get something, in the order in which they are packed.
    pub boxes: Vec<PackedBox>,
}

/// What becomes of one thing that is in every box.
#[derive(Clone, Debug)]
pub struct BoxWant {
    /// Of each box.
    pub each: Want,
    /// Of all boxes.
    pub wanted: Amount,
    /// Of what is wanted, in its measure.
    pub got: Amount,
    /// What is missing after the last week.
    pub shortage: Option<Shortage>,
}

/// Why no boxes can be planned.
#[derive(Debug, thiserror::Error)]
pub enum BoxError {
    /// The month lies behind.
    #[error("every week of that month is over; choose a later one")]
    NoWeekLeft,
    /// A patch of a crop that nobody knows.
    #[error(transparent)]
    Crop(#[from] UnknownCrop),
    /// A plan that the solver gave up.
    #[error(transparent)]
    Plan(#[from] PlanError),
    /// The name of the walks is none.
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
    let left_out = order.left_out(ledger, catalogue);
    let names: Vec<Arc<str>> = left_out.iter().map(|it| it.crop.name.clone()).collect();
    let mut packer = Packer::new(order, weeks.len());
    let mut ledger = ledger.clone();
    let mut delivered: Vec<Vec<u64>> = vec![Vec::new(); order.each.len()];
    let mut planned: Vec<BoxWeek> = Vec::new();
    for week in &weeks {
        let outing =
            Outing { left_out: names.clone(), ..order.outing(*week, weeks.len(), &delivered) };
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
        let boxes = packer.pack(&plan);
        planned.push(BoxWeek { week: *week, plan, walk, boxes });
    }
    let wants = order.each.iter().zip(&delivered).map(|(each, got)| order.met(each, got, &planned));
    Ok(BoxPlan { wants: wants.collect(), weeks: planned, left_out })
}

/// What one box holds of it, in whole grams or pieces.
fn units_of(each: &Want) -> u64 {
    each.amount.value.ceil() as u64
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

/// Keeps count of what each box has had, by what it holds and by its place in the month.
struct Packer<'o> {
    order: &'o BoxOrder,
    weeks: usize,
    week: usize,
    had: Vec<Vec<u64>>,
}

impl<'o> Packer<'o> {
    fn new(order: &'o BoxOrder, weeks: usize) -> Self {
        let had = order.each.iter().map(|_| vec![0; order.count as usize]).collect();
        Self { order, weeks, week: 0, had }
    }

    /// What the week's plan brings, level over all boxes whose week it is or was.
    fn pack(&mut self, plan: &WalkPlan) -> Vec<PackedBox> {
        let BoxOrder { count, each, month, .. } = self.order;
        let before = match self.week.checked_sub(1) {
            Some(week) => boxes_by(*count, self.weeks, week),
            None => 0,
        };
        let packed = boxes_by(*count, self.weeks, self.week) as usize;
        let mut contents: Vec<Vec<Packed>> = vec![Vec::new(); packed];
        for (each, had) in each.iter().zip(&mut self.had) {
            let Some(met) = plan.wants.iter().find(|met| met.want.what == each.what) else {
                continue;
            };
            let unit = RoundingUnit::of(each.amount.measure).size() as f64;
            let units = |amount: f64| (amount / unit).floor() as u64;
            let crops: Vec<u64> = met.of_crops.iter().map(|(_, amount)| units(*amount)).collect();
            let due = (each.amount.value / unit).ceil() as u64;
            let given = level(&had[..packed], due, crops.iter().sum());
            let rows = laid_out(&given, &crops);
            for ((had, given), (contents, row)) in
                had.iter_mut().zip(&given).zip(contents.iter_mut().zip(&rows))
            {
                *had += given;
                let of_crop = met.of_crops.iter().zip(row).filter(|(_, units)| **units > 0);
                contents.extend(of_crop.map(|((crop, _), units)| Packed {
                    crop: crop.clone(),
                    amount: *units as f64 * unit,
                }));
            }
        }
        self.week += 1;
        let months = i64::from(month.year()) * 12 + i64::from(month.month());
        let boxes = contents.into_iter().zip(0..).filter(|(contents, _)| !contents.is_empty());
        boxes
            .map(|(contents, at)| PackedBox {
                subscriber: subscriber_at(at, *count, months) + 1,
                is_own_week: at >= before,
                contents,
            })
            .collect()
    }
}

impl BoxOrder {
    /// Crops that would serve what is in a box and stay out of it: those that nobody wants, and
    /// those with a fatal look-alike that nobody named.
    fn left_out(&self, ledger: &Ledger, catalogue: &Catalogue) -> Vec<LeftOut> {
        let on_site = |site: &SiteName| self.sites.is_empty() || self.sites.contains(site);
        let here = ledger.patches().filter(|(site, _)| on_site(&site.site.record.name));
        let names: BTreeSet<&Arc<str>> = here.map(|(_, facts)| &facts.patch.record.crop).collect();
        let crops = names.into_iter().filter_map(|name| catalogue.crop(name));
        let serves = |crop: &&Arc<Crop>| {
            self.each.iter().any(|each| each.what == crop.kitchen_role || each.what == crop.name)
        };
        let left_out = |crop: &Arc<Crop>| {
            let unwanted = self.without.contains(&crop.name);
            let is_named = self.named.contains(&crop.name)
                || self.each.iter().any(|each| each.what == crop.name);
            let kills = crop
                .gravest_look_alike()
                .is_some_and(|gravest| gravest.grade == LookAlikeGrade::Fatal);
            (unwanted || kills && !is_named).then(|| LeftOut { crop: crop.clone(), unwanted })
        };
        crops.filter(serves).filter_map(left_out).collect()
    }

    /// What all boxes hold of one thing, in whole grams or pieces.
    fn demand(&self, each: &Want) -> u64 {
        month_demand(units_of(each), self.count)
    }

    fn outing(&self, week: Week, weeks: usize, delivered: &[Vec<u64>]) -> Outing {
        let want = |(each, delivered): (&Want, &Vec<u64>)| {
            let wanted = wanted_next(units_of(each), self.count, weeks, delivered);
            let amount = Amount { value: wanted as f64, ..each.amount };
            (wanted > 0).then(|| Want { what: each.what.clone(), amount })
        };
        Outing {
            day: thursday(week),
            people: self.people,
            purpose: Purpose::Sale,
            sites: self.sites.clone(),
            wants: self.each.iter().zip(delivered).filter_map(want).collect(),
            left_out: Vec::new(),
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
