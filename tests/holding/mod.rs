//! A plainly synthetic holding in the open sea, told in a few lines.

#![allow(dead_code, reason = "each test crate uses a part of the builder")]

use std::sync::Arc;

use geo::{BoundingRect, MultiPolygon, Point, Rect};
use jiff::civil::{Date, date};
use stintbook_core::assess::{Assessment, PatchSeason, assess, prepare, season_of};
use stintbook_core::catalogue::Catalogue;
use stintbook_core::estimate::Sample;
use stintbook_core::records::*;
use stintbook_core::units::{Amount, Metres, Season, SquareMetres};

/// South-west corner and side of the square site, degrees.
const CORNER: (f64, f64) = (-20.0, 47.0);
const SIDE: f64 = 0.1;
/// Patches are round, of 10 m radius: 314 m².
const RADIUS: Metres = Metres(10.0);

#[derive(Clone)]
pub struct Holding {
    site: SiteFacts,
}

/// The square of a site, so many degrees east of the corner.
fn ground(east: f64) -> MultiPolygon {
    let (west, south) = (CORNER.0 + east, CORNER.1);
    MultiPolygon::new(vec![Rect::new((west, south), (west + SIDE, south + SIDE)).to_polygon()])
}

impl Holding {
    pub fn new(name: &str) -> Self {
        let name = SiteName::new(name).unwrap();
        let site = Site {
            name: name.clone(),
            boundary: ground(0.0),
            occupier: None,
            protected: None,
            cautions: Some("The bull is in the lower field.".into()),
        };
        let permission = Permission {
            site: name,
            basis: Basis::Written,
            purposes: Some("own use; walk; sale".parse().unwrap()),
            from: date(2020, 1, 1),
            to: None,
            crops: vec![],
            methods: vec![],
            cap_per_visit: None,
            cap_per_season: None,
            largest_party: None,
            ask_first: false,
            lifts_code_cap: false,
            note: None,
        };
        let started = date(2020, 1, 1);
        Self {
            site: SiteFacts {
                site: fact(0, started, site),
                zones: vec![],
                permissions: vec![fact(1, started, permission)],
                closures: vec![],
                visits: vec![],
                landmarks: vec![],
                emergencies: vec![],
                overrides: vec![],
                walks: vec![],
                patches: vec![],
            },
        }
    }

    /// On land of its own, so many degrees east of where others lie; said before any patch.
    pub fn east(mut self, degrees: f64) -> Self {
        self.site.site.record.boundary = ground(degrees);
        self
    }

    /// What follows happens on this patch.
    pub fn patch(mut self, name: &str, crop: &str) -> Self {
        let n = self.site.patches.len();
        let step = |n: usize| 0.01 + 0.001 * n as f64;
        let west = self.site.site.record.boundary.bounding_rect().map_or(0.0, |it| it.min().x);
        let centre = Point::new(west + step(n % 50), CORNER.1 + step(n / 50));
        let patch = Patch {
            name: PatchName::new(&self.site.site.record.name, name).unwrap(),
            crop: crop.into(),
            footprint: Footprint::Disc { centre, radius: RADIUS },
            underfoot: None,
            note: None,
        };
        let patch = fact(100 + n as u128, date(2020, 1, 1), patch);
        self.site.patches.push(PatchFacts::of(patch));
        self
    }

    /// Twenty frames of 0.25 m², of this mean in grams (or pieces) a square metre.
    pub fn surveyed(mut self, day: Date, per_m2: f64) -> Self {
        let mean = per_m2 / 4.0;
        let method = MethodSummary::Quadrats(vec![StratumSummary {
            name: "".into(),
            area: None,
            frame: Frame::Area(SquareMetres(0.25)),
            sample: Sample { n: 20, mean, sd: mean * 0.6 },
        }]);
        let summary = SurveySummary { placement: Placement::NotSaid, ripe: None, method };
        self.last().surveys.push(fact(7, day, summary));
        self
    }

    pub fn glanced(mut self, day: Date, amount: &str) -> Self {
        let standing: Amount = amount.parse().unwrap();
        let patch = self.last().patch.record.name.clone();
        self.last().glances.push(fact(9, day, Glance { patch, standing }));
        self
    }

    pub fn closed(mut self, from: Date, to: Option<Date>) -> Self {
        let site = self.site.site.record.name.clone();
        let closure = Closure { site, patch: None, from, to, reason: "nesting".into() };
        self.site.closures.push(fact(10, from, closure));
        self
    }

    /// Changes the permission that every holding has.
    pub fn permitted(mut self, change: impl FnOnce(&mut Permission)) -> Self {
        change(&mut self.site.permissions[0].record);
        self
    }

    /// On the patch last named, or on the whole site before the first.
    pub fn overridden(mut self, crop: &str, field: CropField, value: &str) -> Self {
        let patch = self.site.patches.last().map(|facts| facts.patch.record.name.patch().into());
        let site = self.site.site.record.name.clone();
        let (crop, value, source) = (crop.into(), value.into(), "our own record".into());
        let change = CropOverride { site, patch, crop, field, value, source };
        self.site.overrides.push(fact(11, date(2020, 1, 1), change));
        self
    }

    pub fn cut(self, day: Date, amount: &str, people: u32) -> Self {
        self.cut_as(day, amount, Some(people), Taken::ByWeight)
    }

    pub fn cut_as(mut self, day: Date, amount: &str, people: Option<u32>, taken: Taken) -> Self {
        let amount: Amount = amount.parse().unwrap();
        let patch = self.last().patch.record.name.clone();
        let cut = Cut { patch, amount, taken, people, method: None, walk: None };
        self.last().cuts.push(fact(8, day, cut));
        self
    }

    /// The last cut was made on a walk of that name.
    pub fn on_walk(mut self, walk: &str) -> Self {
        let cut = self.last().cuts.last_mut().expect("a cut comes first");
        cut.record.walk = Some(walk.parse().unwrap());
        self
    }

    /// A walk that starts here; parties as they are written, like `2+1; 2`.
    pub fn walk(mut self, name: &str, day: Date, others: &[&str], parties: &str) -> Self {
        let walk = Walk {
            name: name.parse().unwrap(),
            day,
            site: self.site.site.record.name.clone(),
            other_sites: others.iter().map(|site| SiteName::new(site).unwrap()).collect(),
            parties: parties.split("; ").map(|party| party.parse().unwrap()).collect(),
            wants: vec![],
            stated_purpose: None,
            seed: 1,
        };
        let id = 13 + self.site.walks.len() as u128;
        self.site.walks.push(fact(id, date(2020, 1, 2), walk));
        self
    }

    /// Set aside for a walk of that name.
    pub fn held(mut self, walk: &str, day: Date, amount: &str, taken: Taken) -> Self {
        let (walk, amount) = (walk.parse().unwrap(), amount.parse().unwrap());
        let patch = self.last().patch.record.name.clone();
        let hold = Hold { patch, walk, day, amount, taken, people: None };
        self.last().holds.push(fact(12, date(2020, 1, 2), hold));
        self
    }

    fn last(&mut self) -> &mut PatchFacts {
        self.site.patches.last_mut().expect("a patch comes first")
    }

    pub fn ledger(self) -> Ledger {
        ledger([self])
    }
}

pub fn ledger(holdings: impl IntoIterator<Item = Holding>) -> Ledger {
    let sites = holdings.into_iter().map(|holding| holding.site).collect();
    Ledger { sites, ..Ledger::default() }
}

pub fn seasons(ledger: &Ledger, season: Season, until: Date) -> Vec<PatchSeason> {
    let prepared = prepare(ledger, Catalogue::built_in(), until).unwrap();
    prepared.iter().map(|patch| season_of(patch, season, until)).collect()
}

pub fn assessed(ledger: &Ledger, day: Date) -> Vec<Assessment> {
    let prepared = prepare(ledger, Catalogue::built_in(), day).unwrap();
    prepared.iter().map(|patch| assess(patch, day, Some(4), None)).collect()
}

pub fn crop(name: &str) -> Arc<Crop> {
    Catalogue::built_in().crop(name).unwrap().clone()
}

fn fact<T>(id: u128, day: Date, record: T) -> Fact<T> {
    Fact {
        id: FactId(uuid::Uuid::from_u128(id)),
        happened_on: day,
        recorded_on: day,
        by: "Ana".into(),
        file: None,
        record,
    }
}
