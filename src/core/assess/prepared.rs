//! Every patch of a ledger made ready for the model: ground, profile, growth, history, eyes.

use std::borrow::Cow;
use std::collections::HashMap;
use std::sync::Arc;

use geo::Point;
use jiff::civil::Date;
use rayon::prelude::*;

use super::Profile;
use super::lineage::{Lineage, told_by_visits};
use crate::catalogue::Catalogue;
use crate::crop::Extent;
use crate::ground::{Harvestable, SiteGround, centre, site_centre};
use crate::records::{
    Crop, Fact, Footprint, Hold, Ledger, PatchFacts, PatchName, SiteFacts, Visit, WalkName,
};
use crate::regrowth::{Course, DayByDay, Event, Eyes, Growth, History, Seen, State, Terms};
use crate::rules::{Case, Promise, Retired};

/// One patch with all that the model asks of it, from what happened up to a day.
#[derive(Clone, Debug)]
pub struct Prepared<'a> {
    /// Its site, with all that counts of it.
    pub site: &'a SiteFacts,
    /// All that counts of it.
    pub facts: &'a PatchFacts,
    /// Those up to the day, in the order of their days.
    pub visits: &'a [Fact<Visit>],
    /// The crop's profile, as it holds here.
    pub profile: Profile,
    /// What of its ground may be cut, as it is drawn now.
    pub ground: Harvestable,
    /// What a survey of it speaks for.
    pub extent: Extent,
    /// What it had before it was drawn anew, each with the first day of the next, in order.
    pub earlier_grounds: Vec<(Date, Harvestable, Extent)>,
    /// That it is a patch no longer, from a day on.
    pub retired: Option<Retired>,
    /// What the crop's habit sets.
    pub terms: Terms,
    /// How quickly the crop grows through the year, where it stands.
    pub growth: Arc<Growth>,
    /// How far each observer of the crop is believed.
    pub eyes: Arc<Eyes>,
    /// What was seen and done on it.
    pub history: History,
    /// Every cut of this crop on this site, in the order of their days: day, and amount in the crop's
    /// measure.
    pub site_cuts: DatedAmounts,
    /// What is promised here to other walks, in the order of their days.
    pub promises: Vec<Promise>,
    /// What is promised of this crop on this site: day, and amount in the crop's measure.
    pub site_promises: DatedAmounts,
    /// Another patch of the crop that claims the same ground.
    pub contested: Option<PatchName>,
}

/// Who asks, and on what day: which promises are another's, and which have lapsed.
#[derive(Clone, Copy, Debug)]
pub struct Asker<'a> {
    /// A promise lapses the day after its walk.
    pub today: Date,
    /// What this walk has set aside is its own.
    pub walk: Option<&'a WalkName>,
}

#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
/// A patch of a crop that no catalogue has.
#[error(
    "`{patch}` is a patch of `{crop}`, which the catalogue does not have{}",
    .near.as_ref().map(|name| format!("; did you mean `{name}`?")).unwrap_or_default()
)]
pub struct UnknownCrop {
    /// Which patch.
    pub patch: PatchName,
    /// What it is said to bear.
    pub crop: Arc<str>,
    /// A crop that is spelt nearly so.
    pub near: Option<String>,
}

impl Prepared<'_> {
    /// With the overrides of site and patch.
    pub fn crop(&self) -> &Arc<Crop> {
        &self.profile.crop
    }

    /// `None` for a footprint without any position.
    pub fn centre(&self) -> Option<Point> {
        centre(&self.facts.patch.record.footprint)
    }

    /// Whether it is still a patch on that day.
    pub fn is_kept_on(&self, day: Date) -> bool {
        self.retired.as_ref().is_none_or(|retired| day < retired.since)
    }

    /// With the profile and the ground that held on that day, for rulings of it.
    pub(super) fn as_on(&self, day: Date) -> Cow<'_, Self> {
        match self.earlier_grounds.iter().find(|(until, ..)| day < *until) {
            Some((_, ground, extent)) => {
                let profiled = self.with_profile_of(day).into_owned();
                Cow::Owned(Self { ground: ground.clone(), extent: *extent, ..profiled })
            }
            None => self.with_profile_of(day),
        }
    }

    fn with_profile_of(&self, day: Date) -> Cow<'_, Self> {
        let Some(profile) = self.profile.as_on(day) else { return Cow::Borrowed(self) };
        let terms = Terms::of(&profile.crop);
        let growth = SiteGrowths::of_site(self.site).of(&profile.crop, &terms);
        let until = self.history.events().last().map_or(day, |event| event.day);
        let history = self.history.tested_by(self.facts, &terms, &growth, until).into_owned();
        Cow::Owned(Self { profile, terms, growth, history, ..self.clone() })
    }

    /// Its history, for days asked about in their order.
    pub(super) fn day_by_day(&self) -> DayByDay<'_> {
        DayByDay::new(&self.terms, &self.growth, &self.eyes)
    }

    /// Its history, to be played day after day.
    pub fn course(&self) -> Course<'_> {
        Course {
            terms: &self.terms,
            growth: &self.growth,
            eyes: &self.eyes,
            history: &self.history,
        }
    }

    /// What the rules are asked of it that day, if so many would come and cut so.
    pub fn case<'b>(&'b self, day: Date, people: Option<u32>, method: Option<&'b str>) -> Case<'b> {
        self.case_in(self.course().state_on(day), day, people, method)
    }

    /// The same, once the state of the day is known.
    pub(super) fn case_in<'b>(
        &'b self,
        state: Option<State>,
        day: Date,
        people: Option<u32>,
        method: Option<&'b str>,
    ) -> Case<'b> {
        Case {
            day,
            people,
            in_turns: false,
            method,
            purpose: None,
            site: self.site,
            visits: self.visits,
            patch: &self.facts.patch.record,
            crop: &self.profile.crop,
            extent: self.extent,
            terms: &self.terms,
            growth: &self.growth,
            state,
            history: &self.history,
            site_cuts: &self.site_cuts,
            promises: &self.promises,
            site_promises: &self.site_promises,
            contested: self.contested.as_ref(),
            retired: self.retired.as_ref(),
            in_words: true,
        }
    }
}

/// Every patch of the sites, each with what is known of its own site alone.
pub(super) fn prepare_sites<'a>(
    ledger: &'a Ledger,
    catalogue: &Catalogue,
    until: Date,
    asker: Asker,
) -> Result<Vec<Prepared<'a>>, UnknownCrop> {
    let by_site: Result<Vec<Vec<Prepared>>, UnknownCrop> = ledger
        .sites
        .par_iter()
        .map(|site| {
            let mut prepared = Vec::with_capacity(site.patches.len());
            prepare_site(site, catalogue, until, asker, &mut prepared)?;
            Ok(prepared)
        })
        .collect();
    Ok(by_site?.into_iter().flatten().collect())
}

/// The same of a few sites, one after the other.
pub(super) fn prepare_few<'a>(
    ledger: &'a Ledger,
    catalogue: &Catalogue,
    until: Date,
    asker: Asker,
) -> Result<Vec<Prepared<'a>>, UnknownCrop> {
    let patches = ledger.sites.iter().map(|site| site.patches.len()).sum();
    let mut prepared = Vec::with_capacity(patches);
    for site in &ledger.sites {
        prepare_site(site, catalogue, until, asker, &mut prepared)?;
    }
    Ok(prepared)
}

fn prepare_site<'a>(
    site: &'a SiteFacts,
    catalogue: &Catalogue,
    until: Date,
    asker: Asker,
    prepared: &mut Vec<Prepared<'a>>,
) -> Result<(), UnknownCrop> {
    let first = prepared.len();
    let site_ground =
        SiteGround::new(&site.site.record, site.zones.iter().map(|zone| &zone.record));
    let mut growths = SiteGrowths::of_site(site);
    let seen = site.visits.partition_point(|fact| fact.happened_on <= until);
    let visits = &site.visits[..seen];
    let ground_changes = site.patches.iter().any(|patch| !patch.changes.redraws.is_empty());
    for facts in &site.patches {
        let patch = &facts.patch.record;
        let catalogued = catalogue.crop(&patch.crop).ok_or_else(|| UnknownCrop {
            patch: patch.name.clone(),
            crop: patch.crop.clone(),
            near: catalogue.nearest(&patch.crop),
        })?;
        let profile = Profile::of(catalogued, catalogue.own_file(&patch.crop), site, facts, until);
        let terms = Terms::of(&profile.crop);
        let growth = growths.of(&profile.crop, &terms);
        let (kept, promises) = promises(facts, until, asker);
        let on_ground = |footprint: &Footprint| {
            let ground = site_ground.harvestable(footprint);
            let extent = Extent::of(footprint, ground.harvestable, ground.plants);
            (ground, extent)
        };
        let (ground, extent, earlier_grounds, retired, history);
        if ground_changes {
            let model = (&terms, &*growth);
            let lineage = Lineage::of((site, facts), &site_ground, visits, model, until);
            (ground, extent) = on_ground(lineage.footprint());
            let earlier = lineage.earlier_grounds().map(|(until, footprint)| {
                let (ground, extent) = on_ground(footprint);
                (until, ground, extent)
            });
            earlier_grounds = earlier.collect();
            retired = facts.retired_by(until).map(|fact| Retired {
                since: fact.happened_on,
                why: fact.record.note.clone(),
                into: lineage.successors(),
            });
            history = lineage.history();
        } else {
            (ground, extent) = on_ground(&patch.footprint);
            (earlier_grounds, retired) = (Vec::new(), None);
            history =
                History::of(facts, &extent, &terms, &growth).with(told_by_visits(visits, facts));
        }
        let history = history.known_until(until);
        let history = if kept.is_empty() { history } else { history.with(kept) };
        prepared.push(Prepared {
            site,
            facts,
            visits,
            profile,
            ground,
            extent,
            earlier_grounds,
            retired,
            terms,
            growth,
            eyes: Arc::default(),
            history,
            site_cuts: Arc::default(),
            promises,
            site_promises: Arc::default(),
            contested: None,
        });
    }
    share_over_site(&mut prepared[first..]);
    Ok(())
}

/// What others have set aside on a patch: as cuts for the days before `until`, as promises
/// for that day and those after it.
fn promises(facts: &PatchFacts, until: Date, asker: Asker) -> (Vec<Event>, Vec<Promise>) {
    let holds = facts.holds.iter().map(|fact| &fact.record);
    let others = holds.filter(|hold| hold.day >= asker.today && Some(&hold.walk) != asker.walk);
    let mut others: Vec<&Hold> = others.collect();
    // Those of one day count one after the other, and in the same order on whatever day is asked.
    others.sort_by(|one, other| (one.day, &one.walk).cmp(&(other.day, &other.walk)));
    let (past, coming): (Vec<&Hold>, Vec<&Hold>) =
        others.into_iter().partition(|hold| hold.day < until);
    let kept = past.into_iter().map(|hold| Event {
        day: hold.day,
        by: hold.walk.as_str().into(),
        seen: Seen::Cut { amount: hold.amount.value, taken: hold.taken, people: hold.people },
    });
    (kept.collect(), coming.into_iter().map(Promise::from).collect())
}

/// Gives every patch of a site what was cut, and what is promised, of its crop on all of it.
fn share_over_site(patches: &mut [Prepared<'_>]) {
    let cuts = by_crop(patches, |patch, all| all.extend(patch.history.cuts()));
    let promises = by_crop(patches, |patch, all| {
        all.extend(patch.promises.iter().map(|promise| (promise.day, promise.amount)));
    });
    for patch in patches {
        let crop = &patch.profile.crop.name;
        patch.site_cuts = cuts.get(crop).cloned().unwrap_or_default();
        patch.site_promises = promises.get(crop).cloned().unwrap_or_default();
    }
}

/// What is the same for every patch of a site that has the crop.
pub type DatedAmounts = Arc<Vec<(Date, f64)>>;

fn by_crop(
    patches: &[Prepared],
    add: impl Fn(&Prepared, &mut Vec<(Date, f64)>),
) -> HashMap<Arc<str>, DatedAmounts> {
    let mut all: HashMap<Arc<str>, Vec<(Date, f64)>> = HashMap::new();
    for patch in patches {
        add(patch, all.entry(patch.profile.crop.name.clone()).or_default());
    }
    let by_day = |mut amounts: Vec<(Date, f64)>| {
        amounts.sort_by_key(|(day, _)| *day);
        amounts.into()
    };
    all.into_iter().map(|(crop, amounts)| (crop, by_day(amounts))).collect()
}

/// The growth seasons met on one site, each worked out once.
struct SiteGrowths {
    latitude_degrees: f64,
    guard: Option<Arc<Growth>>,
    by_month: Vec<([f64; 12], Arc<Growth>)>,
}

impl SiteGrowths {
    fn of_site(site: &SiteFacts) -> Self {
        let latitude_degrees = site_centre(&site.site.record).map_or(0.0, |centre| centre.y());
        Self { latitude_degrees, guard: None, by_month: Vec::new() }
    }

    fn of(&mut self, crop: &Crop, terms: &Terms) -> Arc<Growth> {
        if terms.counts_whole_years() {
            self.months([1.0; 12])
        } else if let Some(months) = &crop.growth_by_month {
            self.months(months.value)
        } else {
            let latitude = self.latitude_degrees;
            self.guard.get_or_insert_with(|| Arc::new(Growth::winter_guard(latitude))).clone()
        }
    }

    fn months(&mut self, months: [f64; 12]) -> Arc<Growth> {
        if let Some((_, known)) = self.by_month.iter().find(|(other, _)| *other == months) {
            return known.clone();
        }
        let growth = Arc::new(Growth::by_month(months));
        self.by_month.push((months, growth.clone()));
        growth
    }
}
