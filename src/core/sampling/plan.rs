//! The plan of a survey: its places, in walking order.

use std::collections::BTreeSet;

use geo::{Coord, Distance, Euclidean, Point};

use super::design::{Tile, Within};
use super::{Chance, Design, Sweep};
use crate::ground::{HarvestableShape, SiteGround, centre, walking_order};
use crate::records::Footprint;
use crate::units::Metres;

/// One quadrat shows no spread.
pub const FEWEST_QUADRATS: usize = 2;
/// More places than anyone looks at: a slip.
pub const MOST_QUADRATS: usize = 1000;

/// How often a place is drawn again in its part if rounding puts it over the edge.
const MOST_TRIES: usize = 100;

/// Places are given to 0.000001°: a decimetre.
const PER_DEGREE: f64 = 1e6;

/// What is asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Request {
    /// How chance is spread.
    pub design: Design,
    /// How many places, [`FEWEST_QUADRATS`] to [`MOST_QUADRATS`].
    pub quadrats: usize,
    /// Draws the same places again.
    pub seed: u64,
    /// Where the walk begins, in degrees; at the southernmost quadrat if not said.
    pub start: Option<Point>,
}

/// Where to measure, in walking order.
#[derive(Clone, Debug, PartialEq)]
pub struct SurveyPlan {
    /// What was asked for.
    pub request: Request,
    /// In walking order, or by number for plants that are counted.
    pub spots: Vec<Spot>,
    /// From where the walk begins to the first spot, if that was said.
    pub to_first: Option<Metres>,
}

/// One quadrat to be measured, or one plant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// Degrees, with six decimals. For a counted plant, the middle of the patch.
    pub at: Point,
    /// Which plant, counted from 1, on a patch of counted plants.
    pub plant: Option<u32>,
    /// As the crow flies; `None` for the last one, and for plants.
    pub to_next: Option<Metres>,
}

/// Why a survey cannot be planned so.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PlanError {
    /// Too many places, or too few; has how many.
    #[error("{0} quadrats are asked for; write a number from {FEWEST_QUADRATS} to {MOST_QUADRATS}")]
    Number(usize),
    /// All of its ground lies outside the site or in no-take zones.
    #[error("nothing of it may be harvested; `stintbook check` shows where its ground goes")]
    NoGround,
    /// More places than plants.
    #[error("it has {has} plants that may be harvested; ask for {has} at most, not {asked}")]
    FewPlants {
        /// How many plants there are.
        has: u32,
        /// How many places are asked for.
        asked: usize,
    },
    /// A design that needs parts, of plants that are only counted.
    #[error(
        "its plants are counted, not mapped, so it has no parts to draw in; draw `random` or \
         `systematic`"
    )]
    NoParts,
}

impl SurveyPlan {
    /// From the first spot to the last, and to the first if it is known from where.
    pub fn walk(&self) -> Metres {
        let legs = self.spots.iter().filter_map(|spot| spot.to_next).chain(self.to_first);
        Metres(legs.map(|leg| leg.0).sum())
    }
}

/// Draws the places of a survey.
///
/// # Errors
/// A number that nobody measures, a patch of which nothing may be harvested, and for counted
/// plants more than there are or a design that needs parts.
pub fn plan(
    site: &SiteGround,
    footprint: &Footprint,
    request: Request,
) -> Result<SurveyPlan, PlanError> {
    if !(FEWEST_QUADRATS..=MOST_QUADRATS).contains(&request.quadrats) {
        return Err(PlanError::Number(request.quadrats));
    }
    if let Footprint::Plants { .. } = footprint {
        return plants(site, footprint, request);
    }
    let shape = site.harvestable_shape(footprint).ok_or(PlanError::NoGround)?;
    let drawn = places(&shape, request);
    let metres: Vec<Coord> = drawn.iter().map(|place| shape.metres(*place)).collect();
    let start = request.start.map(|start| shape.metres(start));
    let order = walking_order(&metres, start);
    let leg = |from: Coord, to: usize| Metres(Euclidean.distance(from, metres[to]));
    let spots = order.iter().enumerate().map(|(n, &at)| Spot {
        at: drawn[at],
        plant: None,
        to_next: order.get(n + 1).map(|&next| leg(metres[at], next)),
    });
    let to_first = start.zip(order.first()).map(|(start, &first)| leg(start, first));
    Ok(SurveyPlan { request, spots: spots.collect(), to_first })
}

/// Places in degrees, in the order in which they were drawn.
fn places(shape: &HarvestableShape, request: Request) -> Vec<Point> {
    let sweep = Sweep::over(&shape.stretches);
    let mut chance = Chance::seeded(request.seed);
    let same_in_each = Within::drawn(&mut chance);
    let tiles = request.design.tiles(request.quadrats, sweep.slenderness());
    let place = |tile: &Tile| {
        let first = match request.design {
            Design::Systematic => same_in_each,
            Design::Random | Design::Stratified => Within::drawn(&mut chance),
        };
        place_in(tile, first, shape, &sweep, &mut chance)
    };
    tiles.iter().filter_map(place).collect()
}

/// The place at `within` its tile, or another one there if rounding would put that over the
/// edge. Ground narrower than the rounding keeps its last one.
fn place_in(
    tile: &Tile,
    within: Within,
    shape: &HarvestableShape,
    sweep: &Sweep,
    chance: &mut Chance,
) -> Option<Point> {
    let mut within = within;
    for _ in 0..MOST_TRIES {
        let place = rounded(tile, within, shape, sweep)?;
        if shape.holds(place) {
            return Some(place);
        }
        within = Within::drawn(chance);
    }
    rounded(tile, within, shape, sweep)
}

fn rounded(tile: &Tile, within: Within, shape: &HarvestableShape, sweep: &Sweep) -> Option<Point> {
    let (along, across) = tile.at(within);
    let place = shape.degrees(sweep.place(along, across)?);
    let rounded = |degrees: f64| (degrees * PER_DEGREE).round() / PER_DEGREE;
    Some(Point::new(rounded(place.x()), rounded(place.y())))
}

fn plants(
    site: &SiteGround,
    footprint: &Footprint,
    request: Request,
) -> Result<SurveyPlan, PlanError> {
    let count = site.harvestable(footprint).plants.filter(|&count| count > 0);
    let (Some(count), Some(at)) = (count, centre(footprint)) else {
        return Err(PlanError::NoGround);
    };
    if (count as usize) < request.quadrats {
        return Err(PlanError::FewPlants { has: count, asked: request.quadrats });
    }
    let numbers = plant_numbers(count, request)?;
    let spot = |plant: u32| Spot { at, plant: Some(plant), to_next: None };
    Ok(SurveyPlan { request, spots: numbers.into_iter().map(spot).collect(), to_first: None })
}

/// Different numbers from 1 to `count`, sorted.
fn plant_numbers(count: u32, request: Request) -> Result<Vec<u32>, PlanError> {
    let mut chance = Chance::seeded(request.seed);
    match request.design {
        Design::Stratified => Err(PlanError::NoParts),
        Design::Systematic => {
            let step = f64::from(count) / request.quadrats as f64;
            let start = chance.share();
            let number = |n: usize| ((n as f64 + start) * step) as u32;
            Ok((0..request.quadrats).map(|n| number(n).min(count - 1) + 1).collect())
        }
        Design::Random => Ok(selected(count, request.quadrats, &mut chance)),
    }
}

/// Floyd's way (Bentley & Floyd 1987, Commun. ACM 30:754–757): each set of numbers is as
/// likely, in as many draws as numbers are wanted.
fn selected(count: u32, wanted: usize, chance: &mut Chance) -> Vec<u32> {
    let mut taken = BTreeSet::new();
    let fixed = count - (wanted as u32).min(count);
    for last in fixed + 1..=count {
        let number = (chance.share() * f64::from(last)) as u32 + 1;
        if !taken.insert(number) {
            taken.insert(last);
        }
    }
    taken.into_iter().collect()
}
