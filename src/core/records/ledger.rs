//! The facts that count, arranged by place: what the book hands to the model.

use jiff::civil::Date;

use std::sync::Arc;

use super::{
    Clipping, Closure, CropOverride, Cut, Emergency, EyeTold, Fact, Footprint, Glance, Hold,
    Landmark, LandmarkKind, Patch, Permission, Redraw, Site, Survey, SurveySummary, Visit, Walk,
    WalkName, Zone,
};

/// Live facts, as known on a day. Sites and patches are sorted by name, dated facts by day.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ledger {
    /// Every site that counts, sorted by name.
    pub sites: Vec<SiteFacts>,
    /// How eyes erred on land that is not shown: for who may see some sites alone of a shared book.
    pub eyes_elsewhere: Vec<EyeTold>,
}

/// All that counts of one site.
#[derive(Clone, Debug, PartialEq)]
pub struct SiteFacts {
    /// The site itself.
    pub site: Fact<Site>,
    /// Its ground where nothing is cut.
    pub zones: Vec<Fact<Zone>>,
    /// All that hold, held, or will hold.
    pub permissions: Vec<Fact<Permission>>,
    /// Of the site as a whole and of its patches.
    pub closures: Vec<Fact<Closure>>,
    /// Of crops on it, for all of it or for one patch.
    pub overrides: Vec<Fact<CropOverride>>,
    /// On it or by it.
    pub landmarks: Vec<Fact<Landmark>>,
    /// The last of them counts.
    pub emergencies: Vec<Fact<Emergency>>,
    /// To the site and to its patches.
    pub visits: Vec<Fact<Visit>>,
    /// Walks that start on this site.
    pub walks: Vec<Fact<Walk>>,
    /// Its patches, sorted by name, retired ones too.
    pub patches: Vec<PatchFacts>,
}

/// All that counts of one patch.
#[derive(Clone, Debug, PartialEq)]
pub struct PatchFacts {
    /// As it is drawn now, or was when it was a patch last.
    pub patch: Fact<Patch>,
    /// When its ground was drawn anew, and what it was made of.
    pub changes: GroundChanges,
    /// By day; sums only, never single quadrats.
    pub surveys: Vec<Fact<SurveySummary>>,
    /// By day.
    pub glances: Vec<Fact<Glance>>,
    /// Live ones, whether their day has passed or not.
    pub holds: Vec<Fact<Hold>>,
    /// What was cut from it, with what recovery tests took: those come as cuts under the ids of
    /// their clippings.
    pub cuts: Vec<Fact<Cut>>,
    /// The days of its recovery tests.
    pub clippings: Vec<Fact<Clipping>>,
}

impl SiteFacts {
    /// Those of one kind, in the order in which they were recorded.
    pub fn landmarks_of(&self, what: LandmarkKind) -> impl Iterator<Item = &Landmark> {
        let all = self.landmarks.iter().map(|fact| &fact.record);
        all.filter(move |landmark| landmark.what == what)
    }

    /// What holds there in an emergency.
    pub fn emergency(&self) -> Option<&Emergency> {
        self.emergencies.last().map(|fact| &fact.record)
    }
}

/// How a patch's ground changed since it was first drawn.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct GroundChanges {
    /// In the order of their days.
    pub redraws: Vec<Fact<Redraw>>,
    /// The ground on which it was first drawn, where it is drawn otherwise since.
    pub first: Option<Footprint>,
    /// Where there are redraws: its surveys with every quadrat, as some have a place.
    pub surveys: Vec<Fact<Survey>>,
}

impl PatchFacts {
    /// A patch of which nothing more is known.
    pub fn of(patch: Fact<Patch>) -> Self {
        Self {
            patch,
            changes: GroundChanges::default(),
            surveys: Vec::new(),
            glances: Vec::new(),
            holds: Vec::new(),
            cuts: Vec::new(),
            clippings: Vec::new(),
        }
    }

    /// The ground at the end of a day, which it had last where it is a patch no longer.
    pub fn ground_on(&self, day: Date) -> &Footprint {
        let drawn = self.changes.redraws.iter().rev().filter(|fact| fact.happened_on <= day);
        let first = self.changes.first.as_ref().unwrap_or(&self.patch.record.footprint);
        drawn.filter_map(|fact| fact.record.ground.as_ref()).next().unwrap_or(first)
    }

    /// What made it a patch no longer, by the end of a day.
    pub fn retired_by(&self, day: Date) -> Option<&Fact<Redraw>> {
        let mut retired = self.changes.redraws.iter().filter(|fact| fact.record.ground.is_none());
        retired.next().filter(|fact| fact.happened_on <= day)
    }

    /// Whatever the day.
    pub fn retired(&self) -> Option<&Fact<Redraw>> {
        self.retired_by(Date::MAX)
    }

    /// Every day on which it was seen or cut, in no order.
    pub fn days_told(&self) -> impl Iterator<Item = Date> {
        let surveys = self.surveys.iter().map(|fact| fact.happened_on);
        let glances = self.glances.iter().map(|fact| fact.happened_on);
        surveys.chain(glances).chain(self.cuts.iter().map(|fact| fact.happened_on))
    }
}

impl Ledger {
    /// Each patch beside its site, sorted by their names.
    pub fn patches(&self) -> impl Iterator<Item = (&SiteFacts, &PatchFacts)> {
        self.sites.iter().flat_map(|site| site.patches.iter().map(move |patch| (site, patch)))
    }

    /// Every walk, by the site where it starts.
    pub fn walks(&self) -> impl Iterator<Item = &Fact<Walk>> {
        self.sites.iter().flat_map(|site| &site.walks)
    }

    /// What counts as set aside for a walk.
    pub fn holds_of(&self, walk: &WalkName) -> Vec<&Fact<Hold>> {
        let holds = self.patches().flat_map(|(_, patch)| &patch.holds);
        holds.filter(|hold| hold.record.walk == *walk).collect()
    }

    /// The cuts that a walk was settled with.
    pub fn cuts_of(&self, walk: &WalkName) -> Vec<&Fact<Cut>> {
        let cuts = self.patches().flat_map(|(_, patch)| &patch.cuts);
        cuts.filter(|cut| cut.record.walk.as_ref() == Some(walk)).collect()
    }

    /// The crop's name of each patch, as often as it grows.
    pub fn crops(&self) -> impl Iterator<Item = &Arc<str>> {
        self.patches().map(|(_, patch)| &patch.patch.record.crop)
    }
}
