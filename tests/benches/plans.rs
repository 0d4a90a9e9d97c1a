//! How long a walk over large ground takes to plan, reading and assessing left aside, and how
//! far the plan may be from the best.
//!
//! `cargo bench` reports; nothing here passes or fails.

#![expect(clippy::unwrap_used, reason = "a benchmark may stop at once")]
#![expect(clippy::print_stdout, reason = "a benchmark says what it found")]

use std::collections::BTreeMap;
use std::sync::Arc;

use divan::Bencher;
use geo::Point;
use stintbook::sampling::Chance;
use stintbook::units::{Amount, Measure};
use stintbook::walk::{Demand, Errand, Offer, Plan, RoundingUnit, Wanted, plan};

const PATCHES: [usize; 3] = [1000, 10_000, 100_000];
const PATCHES_PER_SITE: usize = 100;
const CROPS: u64 = 40;
const SEED: u64 = 2027;

/// Offers as a synthetic book makes them: 100 patches a site, 40 crops, and a cap a site.
#[derive(Debug)]
struct Ground {
    offers: Vec<Offer>,
    group_limits: Vec<Amount>,
}

/// Who shares a cap.
#[derive(Clone, Copy, Debug)]
enum Caps {
    /// Each crop of a site its own, as permissions are.
    EachCrop,
    /// All crops of a site one, which ties them all together.
    AllCrops,
}

fn main() {
    let ground = Ground::of(100_000, Caps::EachCrop);
    for (name, demands) in [("one crop", one_crop()), ("two crops and their role", with_role())] {
        let Plan { takes, highest_share, gap, .. } = ground.plan(&demands);
        println!(
            "{name}, 100,000 patches: {} stops, highest share {highest_share:.3}, {gap:?}",
            takes.len()
        );
    }
    divan::main();
}

impl Ground {
    fn of(patches: usize, caps: Caps) -> Self {
        let mut chance = Chance::seeded(SEED);
        let mut below = |most: u64| chance.number() % most;
        let mut group_limits: Vec<Amount> = Vec::new();
        let mut groups: BTreeMap<(usize, u64), usize> = BTreeMap::new();
        let offer = |n: usize| {
            let (site, crop) = (n / PATCHES_PER_SITE, below(CROPS));
            let shared = match caps {
                Caps::EachCrop => (site, crop),
                Caps::AllCrops => (site, 0),
            };
            let group = *groups.entry(shared).or_insert_with(|| {
                group_limits.push(Amount::grams(1000.0 + below(5000) as f64));
                group_limits.len() - 1
            });
            Offer {
                crop: format!("crop {crop}").into(),
                kitchen_role: if crop < CROPS / 4 { "leaf" } else { "root" }.into(),
                measure: Measure::Mass,
                limit: Some(10.0 + below(2500) as f64),
                groups: vec![group],
                at: place(n),
                least: 50.0,
                unit: RoundingUnit::of(Measure::Mass),
            }
        };
        let offers = (0..patches).map(offer).collect();
        Self { offers, group_limits }
    }

    fn plan(&self, demands: &[Demand]) -> Plan {
        let Self { offers, group_limits } = self;
        plan(&Errand { offers, group_limits, demands, start: None, slack: 0.05 }).unwrap()
    }
}

/// On open ocean, ten by ten to a site.
fn place(n: usize) -> Point {
    let (site, patch) = (n / PATCHES_PER_SITE, n % PATCHES_PER_SITE);
    let lon = -30.0 + 0.02 * (site % 100) as f64 + 0.0005 * (patch % 10) as f64;
    let lat = 45.0 + 0.02 * (site / 100) as f64 + 0.0005 * (patch / 10) as f64;
    Point::new(lon, lat)
}

fn of_crop(crop: u64, kilos: f64) -> Demand {
    let crop: Arc<str> = format!("crop {crop}").into();
    let wanted = Wanted::Crop { crop, kitchen_role: "leaf".into() };
    Demand { wanted, amount: Amount::grams(1000.0 * kilos) }
}

fn one_crop() -> Vec<Demand> {
    vec![of_crop(0, 20.0)]
}

fn with_role() -> Vec<Demand> {
    let role = Demand { wanted: Wanted::Role("leaf".into()), amount: Amount::grams(15_000.0) };
    vec![of_crop(0, 20.0), of_crop(1, 10.0), role]
}

#[divan::bench(args = PATCHES, sample_count = 10)]
fn twenty_kilos_of_one_crop(bencher: Bencher, patches: usize) {
    let (ground, demands) = (Ground::of(patches, Caps::EachCrop), one_crop());
    bencher.bench(|| ground.plan(&demands));
}

#[divan::bench(args = PATCHES, sample_count = 10)]
fn two_crops_and_their_role(bencher: Bencher, patches: usize) {
    let (ground, demands) = (Ground::of(patches, Caps::EachCrop), with_role());
    bencher.bench(|| ground.plan(&demands));
}

/// What no permission asks for: it takes many programmes, and stops where its effort is spent.
#[divan::bench(args = PATCHES, sample_count = 2)]
fn the_same_with_caps_that_crops_share(bencher: Bencher, patches: usize) {
    let (ground, demands) = (Ground::of(patches, Caps::AllCrops), with_role());
    bencher.bench(|| ground.plan(&demands));
}
