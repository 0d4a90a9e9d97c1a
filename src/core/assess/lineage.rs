//! The ground on which a patch stood before: it was drawn otherwise, or the ground was part of a
//! patch that is one no longer. What was seen and done there is not forgotten, since the plants
//! are the same ones, whatever the drawing: a patch that is retired and drawn again, or split,
//! keeps what it has spent and what it is owed.
//!
//! What has a place, as quadrats may, goes where that lies. What has none is told of the part of
//! the ground that both share: amounts by area, and what each plant was asked for whole. Ground
//! that was not of the patch before was never looked at, and adds nothing until it is surveyed.

use jiff::civil::Date;

use super::contested::shares_much;
use crate::crop::{Extent, standing_crop};
use crate::ground::{SiteGround, footprint_holds, geodesic_distance, shared_area};
use crate::records::{
    Counted, Fact, Footprint, GpsPoint, PatchFacts, PatchName, SiteFacts, Stratum, Survey,
    SurveyMethod, Visit,
};
use crate::regrowth::{Event, Growth, History, Seen, Terms};
use crate::units::Metres;

/// A patch on one ground, from a day to another.
#[derive(Clone, Copy, Debug)]
struct Stay<'a> {
    facts: &'a PatchFacts,
    footprint: &'a Footprint,
    from: Date,
    /// The first day on which it was on that ground no longer.
    until: Date,
    /// The first ground of its patch: what is told of days before it is told of it.
    is_first: bool,
}

/// All that a patch's history rests on.
pub(super) struct Lineage<'a> {
    site: &'a SiteFacts,
    ground: &'a SiteGround,
    visits: &'a [Fact<Visit>],
    terms: &'a Terms,
    growth: &'a Growth,
    /// The oldest first, never empty.
    stays: Vec<Stay<'a>>,
}

/// Patches are seldom split that often.
const MOST_STAYS: usize = 64;

impl<'a> Lineage<'a> {
    /// With the ground as it was drawn by the end of `until`; `visits` are those to the site.
    pub(super) fn of(
        (site, facts): (&'a SiteFacts, &'a PatchFacts),
        ground: &'a SiteGround,
        visits: &'a [Fact<Visit>],
        (terms, growth): (&'a Terms, &'a Growth),
        until: Date,
    ) -> Self {
        let mut stays = Vec::new();
        let mut below = (facts, until, Date::MAX);
        // From the youngest back.
        while stays.len() < MOST_STAYS {
            let (facts, until, left) = below;
            let from = stays.len();
            stays.extend(own_stays(facts, until, left).into_iter().rev());
            let Some(before) = predecessor(site, facts) else { break };
            let begun = facts.patch.happened_on;
            if let Some(first) = stays[from..].last_mut() {
                first.from = begun;
            }
            below = (before, begun, begun);
        }
        stays.reverse();
        Self { site, ground, visits, terms, growth, stays }
    }

    /// The ground that it has now.
    pub(super) fn footprint(&self) -> &'a Footprint {
        self.last().footprint
    }

    /// The grounds that the same patch had before, each with the first day on which it had it no
    /// longer.
    pub(super) fn earlier_grounds(&self) -> impl Iterator<Item = (Date, &'a Footprint)> {
        let own = self.last().facts.patch.id;
        let earlier = &self.stays[..self.stays.len() - 1];
        let earlier = earlier.iter().filter(move |stay| stay.facts.patch.id == own);
        earlier.map(|stay| (stay.until, stay.footprint))
    }

    pub(super) fn history(&self) -> History {
        self.history_of(&self.stays)
    }

    fn last(&self) -> &Stay<'a> {
        &self.stays[self.stays.len() - 1]
    }

    fn history_of(&self, stays: &[Stay<'a>]) -> History {
        let Some((last, before)) = stays.split_last() else { return History::default() };
        let own = self.own_events(last);
        let Some(previous) = before.last() else { return History::new(own) };
        let earlier = match previous.facts.patch.id == last.facts.patch.id {
            true => self.history_of(before),
            false => History::new(own.clone()).known_until(eve(last.from)),
        };
        let mut carried = Vec::new();
        let mut part = 1.0;
        let mut to = last;
        for stay in before.iter().rev() {
            part *= self.part_on(stay.footprint, to.footprint);
            carried.extend(self.shrunk(stay, to));
            if part > 0.0 {
                carried.extend(self.told_for_part(stay, last, part));
            }
            to = stay;
        }
        // Whatever the hour: on the day itself the patch counts as it is since.
        for event in &mut carried {
            let is_change = matches!(event.seen, Seen::Shrunk(_));
            event.day = if is_change { event.day } else { event.day.min(eve(last.from)) };
        }
        History::new(own).with(carried).since(last.from, earlier)
    }

    /// What happened on one ground, as it was.
    fn own_events(&self, stay: &Stay<'a>) -> Vec<Event> {
        let extent = self.extent(stay.footprint);
        let told = History::of(stay.facts, &extent, self.terms, self.growth)
            .with(told_by_visits(self.visits, stay.facts));
        told.events().iter().filter(|event| stay.holds(event.day)).cloned().collect()
    }

    /// The same as it stands for `part` of the ground, which lies on that of `to`.
    fn told_for_part(&self, stay: &Stay<'a>, to: &Stay<'a>, part: f64) -> Vec<Event> {
        let is_survey = |event: &Event| matches!(event.seen, Seen::Survey(_));
        let events = self.own_events(stay).into_iter().filter(|event| !is_survey(event));
        let mut told: Vec<Event> = events.map(|event| event.on_part(part)).collect();
        let extent = self.extent(stay.footprint);
        for fact in stay.facts.surveys.iter().filter(|fact| stay.holds(fact.happened_on)) {
            let whole = stay.facts.changes.surveys.iter().find(|whole| whole.id == fact.id);
            let estimate = match whole.and_then(|whole| placed_in(&whole.record, to.footprint)) {
                // Each quadrat has a place, so it tells of where it lies and of nothing else.
                Some(there) => there
                    .summary()
                    .and_then(|summary| standing_crop(&summary, &part_of(&extent, part))),
                None => standing_crop(&fact.record, &extent).map(|whole| whole.scaled(part)),
            };
            told.extend(estimate.map(|estimate| Event {
                day: fact.happened_on,
                by: fact.by.clone(),
                seen: Seen::Survey(estimate),
            }));
        }
        told
    }

    /// A stand that came to cover less ground, and is the same patch.
    fn shrunk(&self, stay: &Stay<'a>, to: &Stay<'a>) -> Option<Event> {
        if stay.facts.patch.id != to.facts.patch.id {
            return None;
        }
        let size = |footprint| {
            let Extent { area, plants, .. } = self.extent(footprint);
            plants.map_or(area.0, f64::from)
        };
        let left = size(to.footprint) / size(stay.footprint);
        let by = stay.facts.patch.by.clone();
        (left > 0.0 && left < 1.0).then_some(Event { day: to.from, by, seen: Seen::Shrunk(left) })
    }

    /// How much of the one's harvestable ground lies on the other's, 0 to 1.
    fn part_on(&self, one: &Footprint, other: &Footprint) -> f64 {
        match (one, other) {
            (Footprint::Plants { count: were, .. }, Footprint::Plants { count: are, .. }) => {
                (f64::from(*are) / f64::from(*were)).min(1.0)
            }
            _ => self.ground.part_on(one, other),
        }
    }

    fn extent(&self, footprint: &Footprint) -> Extent {
        let ground = self.ground.harvestable(footprint);
        Extent::of(footprint, ground.harvestable, ground.plants)
    }

    /// Patches that stand on ground of this one since it is a patch no longer.
    pub(super) fn successors(&self) -> Vec<PatchName> {
        let own = self.last().facts;
        if own.retired().is_none() {
            return Vec::new();
        }
        let is_next = |patch: &&PatchFacts| {
            predecessor(self.site, patch).is_some_and(|before| before.patch.id == own.patch.id)
        };
        let next = self.site.patches.iter().filter(is_next);
        next.map(|patch| patch.patch.record.name.clone()).collect()
    }
}

impl Stay<'_> {
    fn holds(&self, day: Date) -> bool {
        (self.from <= day || self.is_first) && (day < self.until || self.until == Date::MAX)
    }
}

fn eve(day: Date) -> Date {
    day.yesterday().unwrap_or(day)
}

/// The drawings of one patch by the end of `until`, the oldest first; the last is left on `left`,
/// that day included.
fn own_stays<'a>(facts: &'a PatchFacts, until: Date, left: Date) -> Vec<Stay<'a>> {
    let first = facts.changes.first.as_ref().unwrap_or(&facts.patch.record.footprint);
    let mut stays =
        vec![Stay { facts, footprint: first, from: Date::MIN, until: Date::MAX, is_first: true }];
    for redraw in facts.changes.redraws.iter().filter(|redraw| redraw.happened_on <= until) {
        let Some(ground) = &redraw.record.ground else { continue };
        if let Some(last) = stays.last_mut() {
            last.until = redraw.happened_on;
        }
        let from = redraw.happened_on;
        stays.push(Stay { facts, footprint: ground, from, until: Date::MAX, is_first: false });
    }
    if let Some(last) = stays.last_mut() {
        last.until = left.tomorrow().unwrap_or(Date::MAX);
    }
    stays
}

/// The patch whose ground this one stands on, since that is a patch no longer: of several the one
/// with most ground in common, and then the first by name.
pub(super) fn predecessor<'a>(site: &'a SiteFacts, facts: &PatchFacts) -> Option<&'a PatchFacts> {
    let first = facts.changes.first.as_ref().unwrap_or(&facts.patch.record.footprint);
    let (patch, begun) = (&facts.patch.record, facts.patch.happened_on);
    let before = site.patches.iter().filter(|other| {
        let is_over = other.retired().is_some_and(|fact| fact.happened_on <= begun);
        is_over && other.patch.id != facts.patch.id && other.patch.record.crop == patch.crop
    });
    let shared = before.filter_map(|other| {
        let ground = &other.patch.record.footprint;
        Some((other, in_common(first, ground)?))
    });
    shared.min_by(|one, other| other.1.total_cmp(&one.1)).map(|(patch, _)| patch)
}

/// Counted plants have no ground of their own: those drawn this near to where others stood are
/// some of them (common practice, no source: a receiver under trees errs by some ten metres).
pub const SAME_PLANTS: Metres = Metres(30.0);

/// What two grounds have in common, in square metres or plants; `None` where that is not much.
fn in_common(one: &Footprint, other: &Footprint) -> Option<f64> {
    use Footprint::Plants;
    if let (Plants { centre: here, count }, Plants { centre: there, count: were }) = (one, other) {
        let apart = geodesic_distance(*here, *there)?;
        return (apart.0 <= SAME_PLANTS.0).then(|| f64::from(*count.min(were)));
    }
    let shared = shared_area(one, other);
    shares_much([one, other], shared).then_some(shared.0)
}

/// What visits say that bears on the crop: that something took of it, nobody knows how much, and
/// how much of it was ripe.
pub(super) fn told_by_visits<'a>(
    visits: &'a [Fact<Visit>],
    facts: &'a PatchFacts,
) -> impl Iterator<Item = Event> {
    let name = facts.patch.record.name.patch();
    let covering = visits.iter().filter(move |fact| fact.record.covers_patch(name));
    covering.flat_map(|fact| {
        let takes = fact.record.troubles.iter().any(|it| it.takes_crop());
        let seen = [
            takes.then_some(Seen::Disturbed),
            fact.record.ripe.map(|ripe| Seen::Ripe(ripe.part())),
        ];
        let event = |seen| Event { day: fact.happened_on, by: fact.by.clone(), seen };
        seen.into_iter().flatten().map(event)
    })
}

fn part_of(extent: &Extent, part: f64) -> Extent {
    Extent {
        area: extent.area * part,
        length: extent.length.map(|length| Metres(length.0 * part)),
        plants: extent.plants.map(|plants| (f64::from(plants) * part).round() as u32),
    }
}

/// The survey with those of its measurements alone that were made on this ground; `None` where
/// some were made nobody knows where.
fn placed_in(survey: &Survey, ground: &Footprint) -> Option<Survey> {
    let places = places(&survey.method);
    if places.is_empty() || places.iter().any(Option::is_none) {
        return None;
    }
    let is_there =
        |at: Option<&GpsPoint>| at.is_some_and(|at| footprint_holds(ground, at.lon, at.lat));
    let mut there = survey.clone();
    let keep = |strata: &mut Vec<Stratum>| {
        for stratum in strata.iter_mut() {
            stratum.quadrats.retain(|one| is_there(one.at.as_deref()));
        }
        strata.retain(|stratum| !stratum.quadrats.is_empty());
    };
    match &mut there.method {
        SurveyMethod::Quadrats(strata) => keep(strata),
        SurveyMethod::Judged(judged) => judged.quadrats.retain(|one| is_there(one.at.as_ref())),
        SurveyMethod::Units(units) => {
            if let Counted::Sampled(strata) = &mut units.counted {
                keep(strata);
            }
        }
        SurveyMethod::Cover(cover) => cover.quadrats.retain(|one| is_there(one.at.as_ref())),
    }
    Some(there)
}

fn places(method: &SurveyMethod) -> Vec<Option<&GpsPoint>> {
    fn of_strata(strata: &[Stratum]) -> Vec<Option<&GpsPoint>> {
        strata.iter().flat_map(|stratum| &stratum.quadrats).map(|one| one.at.as_deref()).collect()
    }
    match method {
        SurveyMethod::Quadrats(strata) => of_strata(strata),
        SurveyMethod::Judged(judged) => judged.quadrats.iter().map(|one| one.at.as_ref()).collect(),
        SurveyMethod::Units(units) => match &units.counted {
            Counted::Sampled(strata) => of_strata(strata),
            Counted::InAll(_) => Vec::new(),
        },
        SurveyMethod::Cover(cover) => cover.quadrats.iter().map(|one| one.at.as_ref()).collect(),
    }
}
