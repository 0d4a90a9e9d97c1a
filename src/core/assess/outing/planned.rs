//! Which patches an outing goes to, in which order, and what it takes there.

use std::collections::BTreeMap;
use std::sync::Arc;

use geo::Point;
use jiff::civil::Date;

use super::errand::{Choices, Outing};
use super::shortage::{Lack, Shortage, shortage, why_shut};
use crate::assess::{Assessment, Prepared};
use crate::catalogue::Catalogue;
use crate::records::{Crop, PatchName, Want};
use crate::rules::Reason;
use crate::units::Metres;
use crate::walk::{Gap, Plan, PlanError, along, way};

/// A plan with all that there is to say of it.
#[derive(Clone, Debug)]
pub struct WalkPlan {
    /// When.
    pub day: Date,
    /// How many come.
    pub people: u32,
    /// In degrees; `None` for the first stop.
    pub start: Option<Point>,
    /// In walking order.
    pub stops: Vec<PlannedStop>,
    /// In a straight line from stop to stop.
    pub length: Metres,
    /// Of what was asked for; empty where nothing was.
    pub wants: Vec<WantMet>,
    /// The highest share of any patch's limit that is taken.
    pub highest_share: f64,
    /// How much better a plan could be at most.
    pub gap: Gap,
    /// Open patches left out because they lie too far from the start.
    pub too_far: Vec<PatchName>,
    /// What shuts each patch, where nothing was asked for and none is open.
    pub why_shut: Option<Vec<Reason>>,
    /// Open patches without an upper limit that nobody asked for.
    pub without_limit: Vec<PatchName>,
}

/// One patch of a plan; amounts in the measure of its crop.
#[derive(Clone, Debug)]
pub struct PlannedStop {
    /// What there is to say of it that day.
    pub found: Assessment,
    /// What the whole walk takes here.
    pub quota: f64,
    /// From the stop before, or from the start.
    pub leg: Metres,
    /// From the route, where one was given.
    pub off_route: Option<Metres>,
}

/// How far a want is met.
#[derive(Clone, Debug)]
pub struct WantMet {
    /// What was asked for.
    pub want: Want,
    /// In the want's own measure.
    pub got: f64,
    /// The crops that meet it.
    pub crops: Vec<Arc<str>>,
    /// How much of each, in the order of their names.
    pub of_crops: Vec<(Arc<Crop>, f64)>,
    /// What is missing; `None` where nothing is.
    pub shortage: Option<Shortage>,
}

impl WalkPlan {
    /// Of an outing that wants no more than it has.
    pub(super) fn nothing(outing: &Outing) -> Self {
        Self {
            day: outing.day,
            people: outing.people,
            start: outing.start,
            stops: Vec::new(),
            length: Metres(0.0),
            wants: Vec::new(),
            highest_share: 0.0,
            gap: Gap::default(),
            too_far: Vec::new(),
            why_shut: None,
            without_limit: Vec::new(),
        }
    }

    /// What cannot be had.
    pub(super) fn lacks(&self) -> Vec<Lack> {
        let shortages = self.wants.iter().filter_map(|want| want.shortage.clone());
        let shortages = shortages.map(|shortage| Lack::Want(Box::new(shortage)));
        let unlimited = self.without_limit.iter().cloned().map(Lack::Unlimited);
        shortages.chain(unlimited).chain(self.why_shut.clone().map(Lack::AllShut)).collect()
    }
}

/// Plans an outing over patches that were prepared for its day.
///
/// # Errors
/// A plan that the solver gives up.
pub fn plan_outing(
    outing: &Outing,
    prepared: &[Prepared],
    catalogue: &Catalogue,
) -> Result<WalkPlan, PlanError> {
    let choices = outing.choices(prepared, catalogue);
    let plan = choices.plan(outing)?;
    let (stops, length) = outing.in_order(stops(&choices, &plan));
    let name = |offer: &usize| choices.found(*offer).patch.clone();
    Ok(WalkPlan {
        day: outing.day,
        people: outing.people,
        start: outing.start,
        stops,
        length,
        wants: wants(outing, &choices, &plan),
        highest_share: plan.highest_share,
        gap: plan.gap,
        too_far: plan.too_far.iter().map(name).collect(),
        why_shut: choices.why_all_shut(outing),
        without_limit: without_limit(outing, &choices),
    })
}

impl Choices<'_, '_> {
    fn why_all_shut(&self, outing: &Outing) -> Option<Vec<Reason>> {
        let all: Vec<_> = self.patches.iter().collect();
        why_shut(&all).filter(|_| outing.wants.is_empty())
    }

    /// The patch behind an offer.
    pub fn found(&self, offer: usize) -> &Assessment {
        &self.patches[self.offering[offer].0].found
    }
}

fn stops(choices: &Choices, plan: &Plan) -> Vec<PlannedStop> {
    let by_offer = plan.takes.chunk_by(|one, other| one.offer == other.offer);
    let stop = |takes: &[crate::walk::Take]| PlannedStop {
        found: choices.found(takes[0].offer).clone(),
        quota: takes.iter().map(|take| take.amount as f64).sum(),
        leg: Metres(0.0),
        off_route: None,
    };
    by_offer.map(stop).collect()
}

fn without_limit(outing: &Outing, choices: &Choices) -> Vec<PatchName> {
    let left_out =
        |offer: &usize| outing.wants.is_empty() && choices.offers[*offer].limit.is_none();
    let offers = (0..choices.offers.len()).filter(left_out);
    offers.map(|offer| choices.found(offer).patch.clone()).collect()
}

impl Outing {
    /// The stops in walking order, and how far it is.
    pub(super) fn in_order(&self, stops: Vec<PlannedStop>) -> (Vec<PlannedStop>, Metres) {
        // Only patches with a centre are offered.
        let places: Vec<Point> = stops.iter().filter_map(|stop| stop.found.centre).collect();
        let Some(route) = &self.route else {
            let way = way(&places, self.start);
            let length = way.length();
            let legs = way.order.into_iter().zip(way.legs);
            let stop = |(n, leg): (usize, Metres)| PlannedStop { leg, ..stops[n].clone() };
            return (legs.map(stop).collect(), length);
        };
        let passed = along(&route.line, route.corridor, &places);
        let before = std::iter::once(0.0).chain(passed.iter().map(|by| by.along.0));
        let stop = |(by, before): (&crate::walk::Passed, f64)| PlannedStop {
            leg: Metres(by.along.0 - before),
            off_route: Some(by.off),
            ..stops[by.place].clone()
        };
        let length = passed.last().map_or(Metres(0.0), |by| by.along);
        (passed.iter().zip(before).map(stop).collect(), length)
    }
}

fn wants(outing: &Outing, choices: &Choices, plan: &Plan) -> Vec<WantMet> {
    let met = |(n, want): (usize, &Want)| {
        let takes = || plan.takes.iter().filter(move |take| take.demand == n);
        let mut crops: Vec<Arc<str>> =
            takes().map(|take| choices.offers[take.offer].crop.clone()).collect();
        crops.sort();
        crops.dedup();
        let mut of_crops: BTreeMap<&str, (Arc<Crop>, f64)> = BTreeMap::new();
        for take in takes() {
            let crop = &choices.found(take.offer).crop;
            of_crops.entry(&crop.name).or_insert((crop.clone(), 0.0)).1 += take.amount as f64;
        }
        WantMet {
            of_crops: of_crops.into_values().collect(),
            want: want.clone(),
            got: takes().map(|take| take.amount as f64).sum(),
            crops,
            shortage: shortage(n, outing, choices, plan),
        }
    };
    outing.wants.iter().enumerate().map(met).collect()
}
