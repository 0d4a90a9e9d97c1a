//! What an outing asks, and the patches that it may ask it of.

use std::sync::Arc;

use geo::{LineString, Point};
use jiff::civil::Date;
use rayon::prelude::*;

use super::wishes::demand;
use crate::assess::{Assessment, Prepared, assess_case};
use crate::catalogue::Catalogue;
use crate::ground::geodesic_distance;
use crate::records::{Crop, Purpose, SiteName, Walk, Want};
use crate::rules::Case;
use crate::units::{Amount, Measure, Metres};
use crate::walk::{
    Demand, Errand, Gap, Offer, Plan, PlanError, RoundingUnit, Start, Take, Wanted, along, plan,
};

/// How far the highest share of a limit may lie over the least possible one, to save walking.
/// Common practice, no source: a twentieth of a limit, which no patch feels.
const SLACK: f64 = 0.05;

/// Who goes out when, where to, and for what.
#[derive(Clone, Debug)]
pub struct Outing {
    /// When.
    pub day: Date,
    /// How many come.
    pub people: u32,
    /// What for; ground whose permission does not say so is left alone.
    pub purpose: Purpose,
    /// Empty for all of them.
    pub sites: Vec<SiteName>,
    /// Empty for all that may be cut.
    pub wants: Vec<Want>,
    /// Crops that are not taken, whatever they would serve.
    pub left_out: Vec<Arc<str>>,
    /// Where the walk begins; `None` for the first patch.
    pub start: Option<Point>,
    /// Patches further from the start, as the crow flies, are left out.
    pub within: Option<Metres>,
    /// A way that the walk keeps to; `None` for any.
    pub route: Option<Route>,
}

/// A way that is given: patches off it are left out.
#[derive(Clone, Debug)]
pub struct Route {
    /// In degrees.
    pub line: LineString,
    /// How far off a patch may lie, either side.
    pub corridor: Metres,
}

/// A patch of the outing, assessed for its day and people.
#[derive(Debug)]
pub(super) struct Choice<'p, 'a> {
    pub prepared: &'p Prepared<'a>,
    pub found: Assessment,
}

/// What there is to choose from, with the errand it makes.
#[derive(Debug)]
pub(super) struct Choices<'p, 'a> {
    pub patches: Vec<Choice<'p, 'a>>,
    /// Positions in `patches` of those that offer something, and their places.
    pub offering: Vec<(usize, Point)>,
    pub offers: Vec<Offer>,
    pub group_limits: Vec<Amount>,
    pub demands: Vec<Demand>,
    start: Option<Start>,
}

/// A patch as the people of an outing find it, who are spread over its patches and take turns.
pub(super) fn assess_in_turns(
    patch: &Prepared,
    day: Date,
    people: u32,
    purpose: Purpose,
) -> Assessment {
    assess_case(patch, &case_in_turns(patch, day, people, purpose))
}

pub(super) fn case_in_turns<'b>(
    patch: &'b Prepared,
    day: Date,
    people: u32,
    purpose: Purpose,
) -> Case<'b> {
    Case { in_turns: true, purpose: Some(purpose), ..patch.case(day, Some(people), None) }
}

impl Outing {
    /// The outing that a recorded walk is.
    pub fn of(walk: &Walk) -> Self {
        Self {
            day: walk.day,
            people: walk.people().max(1),
            purpose: walk.purpose(),
            sites: walk.sites().cloned().collect(),
            wants: walk.wants.clone(),
            left_out: Vec::new(),
            start: None,
            within: None,
            route: None,
        }
    }

    pub(super) fn goes_to(&self, patch: &Prepared) -> bool {
        let is_here = self.sites.is_empty() || self.sites.contains(&patch.site.site.record.name);
        is_here && !self.left_out.contains(&patch.crop().name)
    }

    /// Whether a place lies by the route, or near enough to the start, where either is asked for.
    pub(super) fn reaches(&self, place: Point) -> bool {
        let by_route = |route: &Route| !along(&route.line, route.corridor, &[place]).is_empty();
        let is_near = |(start, within): (Point, Metres)| {
            geodesic_distance(start, place).is_some_and(|distance| distance <= within)
        };
        self.route.as_ref().is_none_or(by_route) && self.start.zip(self.within).is_none_or(is_near)
    }

    pub(super) fn choices<'p, 'a>(
        &self,
        prepared: &'p [Prepared<'a>],
        catalogue: &Catalogue,
    ) -> Choices<'p, 'a> {
        let here = prepared.par_iter().filter(|patch| self.goes_to(patch));
        let patches: Vec<Choice> = here
            .map(|prepared| Choice {
                prepared,
                found: assess_in_turns(prepared, self.day, self.people, self.purpose),
            })
            .collect();
        let offering = self.offering(&patches);
        let mut choices = Choices {
            offering,
            offers: Vec::new(),
            group_limits: Vec::new(),
            demands: Vec::new(),
            start: self.start.map(|at| Start { at, within: self.within }),
            patches,
        };
        choices.offers = choices.offering.iter().map(|(n, at)| choices.offer(*n, *at)).collect();
        choices.demands = self.demands(&choices.offers, catalogue);
        choices.group(self.people);
        choices
    }

    /// The open patches, of them those by the route if one is given.
    fn offering(&self, patches: &[Choice]) -> Vec<(usize, Point)> {
        let open = patches.iter().enumerate().filter(|(_, patch)| patch.found.is_open());
        let open: Vec<(usize, Point)> =
            open.filter_map(|(n, patch)| Some((n, patch.found.centre?))).collect();
        let Some(route) = &self.route else { return open };
        let places: Vec<Point> = open.iter().map(|(_, place)| *place).collect();
        along(&route.line, route.corridor, &places).iter().map(|by| open[by.place]).collect()
    }

    /// What is wanted, or else all that every crop's patches allow.
    fn demands(&self, offers: &[Offer], catalogue: &Catalogue) -> Vec<Demand> {
        if self.wants.is_empty() {
            return all_there_is(offers);
        }
        self.wants.iter().map(|want| demand(want, catalogue)).collect()
    }
}

/// A crop without an upper limit has no quota to be shared out: it is left to be asked for.
fn all_there_is(offers: &[Offer]) -> Vec<Demand> {
    let mut demands: Vec<Demand> = Vec::new();
    for (offer, limit) in offers.iter().filter_map(|offer| Some((offer, offer.limit?))) {
        let wanted =
            Wanted::Crop { crop: offer.crop.clone(), kitchen_role: offer.kitchen_role.clone() };
        match demands.iter_mut().find(|demand| demand.wanted == wanted) {
            Some(demand) => demand.amount.value += limit,
            None => {
                let amount = Amount { value: limit, measure: offer.measure };
                demands.push(Demand { wanted, amount });
            }
        }
    }
    demands
}

impl Choices<'_, '_> {
    /// # Errors
    /// A plan that the solver gives up.
    pub fn plan(&self, outing: &Outing) -> Result<Plan, PlanError> {
        if outing.wants.is_empty() {
            self.plan_crop_by_crop()
        } else {
            plan(&self.errand(&self.offers, &self.demands))
        }
    }

    fn errand<'e>(&'e self, offers: &'e [Offer], demands: &'e [Demand]) -> Errand<'e> {
        let (group_limits, start) = (self.group_limits.as_slice(), self.start);
        Errand { offers, group_limits, demands, start, slack: SLACK }
    }

    /// All that there is of one crop has no bearing on another: many small programmes are
    /// solved sooner than one large one.
    fn plan_crop_by_crop(&self) -> Result<Plan, PlanError> {
        let mut whole = Plan {
            takes: Vec::new(),
            shortfalls: Vec::new(),
            highest_share: 0.0,
            substitutes: Vec::new(),
            too_far: Vec::new(),
            gap: Gap::default(),
        };
        for (n, demand) in self.demands.iter().enumerate() {
            let serving = |offer: &usize| self.offers[*offer].serves(demand);
            let positions: Vec<usize> = (0..self.offers.len()).filter(serving).collect();
            let offers: Vec<Offer> = positions.iter().map(|&at| self.offers[at].clone()).collect();
            let of_crop = plan(&self.errand(&offers, std::slice::from_ref(demand)))?;
            let take = |take: Take| Take { offer: positions[take.offer], demand: n, ..take };
            whole.takes.extend(of_crop.takes.into_iter().map(take));
            whole.shortfalls.extend(of_crop.shortfalls);
            whole.highest_share = whole.highest_share.max(of_crop.highest_share);
            whole.gap = whole.gap.together(of_crop.gap);
            whole.too_far.extend(of_crop.too_far.into_iter().map(|offer| positions[offer]));
        }
        whole.takes.sort();
        Ok(whole)
    }

    fn offer(&self, patch: usize, at: Point) -> Offer {
        let found = &self.patches[patch].found;
        let crop = &found.crop;
        Offer {
            crop: crop.name.clone(),
            kitchen_role: crop.kitchen_role.clone(),
            measure: crop.measure,
            limit: found.ruling.most,
            groups: Vec::new(),
            at,
            least: crop.smallest_useful.value.value,
            unit: RoundingUnit::of(crop.measure),
        }
    }

    /// Caps that patches share: the permission's for a crop on its site, and a code's for what
    /// one person takes of a crop in one visit.
    fn group(&mut self, people: u32) {
        let mut groups: Vec<(GroupOf, Amount)> = Vec::new();
        for (offer, (patch, _)) in self.offers.iter_mut().zip(&self.offering) {
            let found = &self.patches[*patch].found;
            let by_site = (GroupOf::site(found), found.room_on_site);
            let by_person = (GroupOf::visit(&found.crop), most_for(people, &found.crop));
            for (group, limit) in [by_site, by_person] {
                if !limit.is_finite() {
                    continue;
                }
                let known = groups.iter().position(|(known, _)| *known == group);
                let position = known.unwrap_or_else(|| {
                    groups.push((group, in_measure(limit, found.crop.measure)));
                    groups.len() - 1
                });
                offer.groups.push(position);
            }
        }
        self.group_limits = groups.into_iter().map(|(_, limit)| limit).collect();
    }
}

/// Which patches share a cap: those of a crop on one site, or on the whole walk.
#[derive(PartialEq)]
struct GroupOf {
    site: Option<SiteName>,
    crop: Arc<str>,
}

impl GroupOf {
    fn site(found: &Assessment) -> Self {
        Self { site: Some(found.patch.site().clone()), crop: found.crop.name.clone() }
    }

    fn visit(crop: &Crop) -> Self {
        Self { site: None, crop: crop.name.clone() }
    }
}

/// Infinite where no code caps what a person takes.
fn most_for(people: u32, crop: &Crop) -> f64 {
    let cap = crop.per_person_visit.as_ref();
    cap.map_or(f64::INFINITY, |cap| cap.value.value * f64::from(people))
}

fn in_measure(value: f64, measure: Measure) -> Amount {
    Amount { value, measure }
}
