//! Where and when each crop was found to stand, for a records centre: every survey and glance, in
//! a square or, for one's own hands, exactly.

use std::sync::Arc;

use geo::{CoordsIter, Point};
use jiff::civil::Date;

use super::{Prepared, blurred_numbers};
use crate::crop::standing_crop;
use crate::estimate::Estimate;
use crate::ground::{Blur, Square, centre, footprint_outline, geodesic_distance};
use crate::records::{Crop, Footprint, Ledger, MethodSummary};
use crate::units::Metres;

/// One finding of a crop.
#[derive(Clone, Debug)]
pub struct Occurrence {
    /// With the overrides of site and patch.
    pub crop: Arc<Crop>,
    /// Which patch it was, without telling which: of that crop in its square, from 1.
    pub number: usize,
    /// Which finding of that kind on that patch and day, from 1.
    pub again: usize,
    /// In which it lies; the finest there is where the place is told exactly.
    pub square: Square,
    /// What is told of the place.
    pub place: ToldPlace,
    /// On which day.
    pub day: Date,
    /// How it was found.
    pub how: Found,
    /// What stood on the whole patch, in the crop's measure.
    pub standing: f64,
    /// `None` for what was judged by eye.
    pub estimate: Option<Estimate>,
    /// By whom.
    pub by: Arc<str>,
}

/// What is told of a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ToldPlace {
    /// The middle of its square.
    Blurred,
    /// The middle of the patch in degrees, and how far its ground reaches from there.
    Exact(Point, Metres),
}

/// How a crop was found to stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Found {
    /// Sampling units were measured out.
    Quadrats,
    /// Sampling units were judged by eye, and some measured.
    Judged,
    /// Units were counted.
    Units,
    /// Cover was read.
    Cover,
    /// A glance at the whole.
    Glance,
}

/// Of every patch, by square, crop, number and day; up to a day. With `exact`, places are told as
/// they are; squares that `blur` has are told otherwise.
pub fn occurrences(
    prepared: &[Prepared],
    ledger: &Ledger,
    until: Date,
    blur: Blur,
    exact: bool,
) -> Vec<Occurrence> {
    let numbered = blurred_numbers(ledger, blur);
    let of_patch = |patch: &Prepared| -> Option<Vec<Occurrence>> {
        let (square, number) = *numbered.get(&patch.facts.patch.id)?;
        let found = findings(patch, until).into_iter().filter_map(|finding| {
            let place = match exact {
                false => ToldPlace::Blurred,
                true => exactly(patch.facts.ground_on(finding.day))?,
            };
            let Finding { day, how, standing, estimate, by } = finding;
            let crop = patch.crop().clone();
            let again = 1;
            Some(Occurrence {
                crop,
                number,
                again,
                square,
                place,
                day,
                how,
                standing,
                estimate,
                by,
            })
        });
        Some(found.collect())
    };
    let mut all: Vec<Occurrence> = prepared.iter().filter_map(of_patch).flatten().collect();
    let key = |it: &Occurrence| (it.square, it.crop.name.clone(), it.number, it.day, it.how as u8);
    all.sort_by_cached_key(key);
    for alike in all.chunk_by_mut(|one, other| key(one) == key(other)) {
        (1..).zip(alike).for_each(|(again, found)| found.again = again);
    }
    all
}

struct Finding {
    day: Date,
    how: Found,
    standing: f64,
    estimate: Option<Estimate>,
    by: Arc<str>,
}

fn findings(patch: &Prepared, until: Date) -> Vec<Finding> {
    let surveys = patch.facts.surveys.iter().filter(|fact| fact.happened_on <= until);
    let surveys = surveys.filter_map(|fact| {
        let earlier = patch.earlier_grounds.iter().find(|(next, ..)| fact.happened_on < *next);
        let extent = earlier.map_or(&patch.extent, |(_, _, extent)| extent);
        let estimate = standing_crop(&fact.record, extent)?;
        let how = match fact.record.method {
            MethodSummary::Quadrats(_) => Found::Quadrats,
            MethodSummary::Judged(_) => Found::Judged,
            MethodSummary::Units(_) => Found::Units,
            MethodSummary::Cover(_) => Found::Cover,
        };
        let (day, by) = (fact.happened_on, fact.by.clone());
        Some(Finding { day, how, standing: estimate.best, estimate: Some(estimate), by })
    });
    let glances = patch.facts.glances.iter().filter(|fact| fact.happened_on <= until);
    let glances = glances.map(|fact| Finding {
        day: fact.happened_on,
        how: Found::Glance,
        standing: fact.record.standing.value,
        estimate: None,
        by: fact.by.clone(),
    });
    surveys.chain(glances).collect()
}

/// `None` without any position.
fn exactly(ground: &Footprint) -> Option<ToldPlace> {
    /// What a hand-held receiver errs by under open sky: 4.9 m for phones (GPS.gov, GPS Accuracy,
    /// citing van Diggelen and Enge 2015).
    const RECEIVER: f64 = 5.0;
    let middle = centre(ground)?;
    let outline = footprint_outline(ground);
    let reach = outline.coords_iter().filter_map(|at| geodesic_distance(middle, Point(at)));
    let furthest = reach.map(|reach| reach.0).fold(0.0, f64::max);
    Some(ToldPlace::Exact(middle, Metres(furthest + RECEIVER)))
}
