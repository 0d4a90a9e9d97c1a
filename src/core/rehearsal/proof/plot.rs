//! The ground of the proof: an invented patch on open sea, made ready as any patch is.

use std::sync::Arc;

use geo::{MultiPolygon, Point, Rect};
use jiff::civil::{Date, date};
use uuid::Uuid;

use crate::assess::{Prepared, prepare};
use crate::catalogue::{Catalogue, read};
use crate::records::{
    Basis, Fact, FactId, Footprint, Habit, Ledger, NameError, Patch, PatchFacts, PatchName,
    Permission, Site, SiteFacts, SiteName,
};
use crate::regrowth::Growth;
use crate::units::Metres;

/// The proof begins on the first day of a season.
pub(super) const FIRST_DAY: Date = date(2026, 9, 1);
/// Where the winter guard's days are taken from.
pub(super) const LATITUDE_DEGREES: f64 = 52.0;

const FILE: &str = "crops.toml";
const CROPS: &str = include_str!("crops.toml");

/// One patch of each crop of the proof.
#[derive(Debug)]
pub struct Plots {
    catalogue: Catalogue,
    ledger: Ledger,
}

impl Plots {
    /// # Panics
    /// Never: a test reads the crops.
    pub fn new() -> Self {
        let crops = read(FILE, CROPS).expect("a test reads the crops of the proof");
        let catalogue: Catalogue = crops.into_iter().collect();
        let ledger = ledger(&catalogue).expect("the names are plain");
        Self { catalogue, ledger }
    }

    /// The patch of that habit.
    pub fn of(&self, habit: Habit) -> Prepared<'_> {
        let prepared = prepare(&self.ledger, &self.catalogue, FIRST_DAY);
        let mut all = prepared.expect("the catalogue has every crop").into_iter();
        all.find(|patch| patch.crop().habit == habit).expect("every habit has a crop")
    }
}

impl Default for Plots {
    fn default() -> Self {
        Self::new()
    }
}

/// The patch with other growth in the book.
pub(super) fn with_growth<'a>(patch: &Prepared<'a>, growth: Growth) -> Prepared<'a> {
    Prepared { growth: Arc::new(growth), ..patch.clone() }
}

fn ledger(catalogue: &Catalogue) -> Result<Ledger, NameError> {
    let name = SiteName::new("plots")?;
    let corner = (-20.0, LATITUDE_DEGREES);
    let square = Rect::new(corner, (corner.0 + 0.1, corner.1 + 0.1)).to_polygon();
    let site = Site {
        name: name.clone(),
        boundary: MultiPolygon::new(vec![square]),
        occupier: None,
        protected: None,
        cautions: None,
    };
    let permission = Permission {
        site: name.clone(),
        basis: Basis::Written,
        purposes: None,
        from: FIRST_DAY,
        to: None,
        crops: Vec::new(),
        methods: Vec::new(),
        cap_per_visit: None,
        cap_per_season: None,
        largest_party: None,
        ask_first: false,
        lifts_code_cap: false,
        note: None,
    };
    let patches: Result<Vec<PatchFacts>, NameError> = catalogue
        .crops()
        .enumerate()
        .map(|(n, crop)| {
            let centre = Point::new(corner.0 + 0.01 * (n as f64 + 1.0), corner.1 + 0.05);
            let patch = Patch {
                name: PatchName::new(&name, &crop.name)?,
                crop: crop.name.clone(),
                footprint: Footprint::Disc { centre, radius: Metres(10.0) },
                underfoot: None,
                note: None,
            };
            Ok(PatchFacts::of(fact(patch)))
        })
        .collect();
    let (zones, closures, overrides) = Default::default();
    let permissions = vec![fact(permission)];
    let site = SiteFacts {
        site: fact(site),
        zones,
        permissions,
        closures,
        visits: vec![],
        landmarks: vec![],
        emergencies: vec![],
        overrides,
        walks: vec![],
        patches: patches?,
    };
    Ok(Ledger { sites: vec![site], ..Ledger::default() })
}

fn fact<T>(record: T) -> Fact<T> {
    let (happened_on, recorded_on) = (FIRST_DAY, FIRST_DAY);
    Fact {
        id: FactId(Uuid::nil()),
        happened_on,
        recorded_on,
        by: "nobody".into(),
        file: None,
        record,
    }
}
