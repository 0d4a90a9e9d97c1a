//! What may be cut, for people who are to know that it grows but not where: no name, no shape, a
//! square in the place of a place.
//!
//! Someone may hold such answers of many days, in squares of every size, and lay them side by side.
//! What they learn of where a patch lies is its finest square and no more, since the place goes into
//! an answer through its square alone, and the square of a patch never changes:
//!
//! - it is that of the ground on which the patch was first drawn, so that ground which creeps over
//!   the edge of a square does not tell that the patch lies at that edge; what is drawn where a
//!   patch of the same crop was retired or split keeps the square of that one;
//! - squares of different sizes lie within one another (`ground/blur.rs`), so that they have no
//!   corners to cut from each other;
//! - areas, distances and the site are left out, and patches are listed by square, crop and number,
//!   never in the order of their names.
//!
//! A patch is called after its square and crop, with a number that tells those of one square and crop
//! apart. That name is the same on other days, and may be: what it leads to is the history of a crop in
//! a square, all of which those answers tell. Names and ids of the book do not go into it but for the
//! order of the ids, which is that of a checksum, so that it is found in no output that is not blurred
//! and no guess at a name can be tried against it.
//!
//! Of people nothing goes in: no verdict but open or shut, since `held` would tell of a walk and
//! `no permission` of its owner; no reason; no day but the one on which a season begins or a share
//! has refilled; and the most that may be cut to one figure, so that what a party took between two
//! answers is not the difference of their amounts.
//!
//! What this does not hide: that a crop grows within a square, and about how much of it may be cut,
//! which in a square with little fitting ground may be told by eye; and where the very first drawing
//! of a patch is put right over the edge of a square, that something moved there.

use std::collections::HashMap;
use std::sync::Arc;

use jiff::civil::Date;

use super::{Assessment, FoundGrowing, WeekAnswer};
use crate::ground::{Blur, SLIVER, Square, centre, shared_area};
use crate::records::{Crop, Fact, FactId, Footprint, Ledger, PatchFacts, Redraw, SiteFacts};
use crate::rules::Verdict;

/// The answer of a day, blurred.
#[derive(Clone, Debug)]
pub struct Blurred {
    /// The day as of which it is answered.
    pub on: Date,
    /// How large the squares are.
    pub blur: Blur,
    /// By square, crop and number.
    pub patches: Vec<BlurredPatch>,
}

/// A patch of which nobody can tell which it is.
#[derive(Clone, Debug)]
pub struct BlurredPatch {
    /// In which its ground was first drawn.
    pub square: Square,
    /// With the overrides of site and patch.
    pub crop: Arc<Crop>,
    /// Which of that crop in the square, from 1.
    pub number: usize,
    /// Whether anything may be cut.
    pub is_open: bool,
    /// The most that may be cut, to one figure and never more than it is, in the crop's measure;
    /// `None` where it is shut, and where there is no upper limit.
    pub most: Option<f64>,
    /// Where its season begins or its share refills on a day that is known.
    pub opens_on: Option<Date>,
    /// What was found growing there that may kill and is taken for the crop.
    pub found_growing: Vec<FoundGrowing>,
}

/// The patches of an answer, blurred; those without any position are left out. `ledger` is that of
/// the whole book, so that a patch has the same number whatever was asked about.
pub fn blurred(answer: &WeekAnswer, ledger: &Ledger, blur: Blur) -> Blurred {
    let numbered = blurred_numbers(ledger, blur);
    let patch = |patch: &Assessment| {
        let (square, number) = *numbered.get(&patch.id)?;
        Some(without_place(patch, square, number))
    };
    let mut patches: Vec<BlurredPatch> = answer.patches.iter().filter_map(patch).collect();
    patches.sort_by(|one, other| {
        let key = |patch: &BlurredPatch| (patch.square, patch.crop.name.clone(), patch.number);
        key(one).cmp(&key(other))
    });
    Blurred { on: answer.on, blur, patches }
}

fn without_place(patch: &Assessment, square: Square, number: usize) -> BlurredPatch {
    let is_open = patch.is_open();
    let tells_when = matches!(patch.ruling.verdict, Verdict::OutOfSeason | Verdict::Resting);
    let opening = patch.opening.filter(|it| tells_when && !it.needs_survey && !it.needs_permission);
    let found = patch.found_growing.iter().filter(|found| found.may_kill());
    BlurredPatch {
        square,
        crop: patch.crop.clone(),
        number,
        is_open,
        most: patch.ruling.most.filter(|_| is_open).map(to_one_figure),
        opens_on: opening.map(|opening| opening.day),
        found_growing: found.cloned().collect(),
    }
}

/// 8,765 becomes 8,000.
fn to_one_figure(amount: f64) -> f64 {
    if amount <= 0.0 || !amount.is_finite() {
        return amount;
    }
    let step = 10_f64.powf(amount.log10().floor());
    (amount / step + 1e-9).floor() * step
}

/// Every patch that ever was, by its fact, with its square and which of its crop it is there.
pub fn blurred_numbers(ledger: &Ledger, blur: Blur) -> HashMap<FactId, (Square, usize)> {
    let place = |(site, patch): (&SiteFacts, &PatchFacts)| {
        let square = square_of(site, patch, blur)?;
        Some((square, patch.patch.record.crop.clone(), patch.patch.id))
    };
    let mut placed: Vec<(Square, Arc<str>, FactId)> = ledger.patches().filter_map(place).collect();
    placed.sort();
    let mut numbered = HashMap::new();
    for alike in placed.chunk_by(|one, other| (one.0, &one.1) == (other.0, &other.1)) {
        let numbers = alike.iter().zip(1..);
        numbered.extend(numbers.map(|((square, _, id), number)| (*id, (*square, number))));
    }
    numbered
}

/// The square of a patch, the same whatever is drawn later; `None` without any position.
fn square_of(site: &SiteFacts, patch: &PatchFacts, blur: Blur) -> Option<Square> {
    // Patches are seldom made of one another that often.
    const MOST: usize = 64;
    let mut first = patch;
    for _ in 0..MOST {
        match before(site, first) {
            Some(earlier) => first = earlier,
            None => break,
        }
    }
    centre(first_ground(first)).map(|middle| blur.square(middle))
}

fn first_ground(patch: &PatchFacts) -> &Footprint {
    patch.changes.first.as_ref().unwrap_or(&patch.patch.record.footprint)
}

/// The patch of the same crop that stood there until this one was drawn.
fn before<'a>(site: &'a SiteFacts, patch: &PatchFacts) -> Option<&'a PatchFacts> {
    let ground = first_ground(patch);
    site.patches.iter().find(|other| {
        let is_ended = |ended: &Fact<Redraw>| ended.happened_on <= patch.patch.happened_on;
        other.patch.id != patch.patch.id
            && other.patch.record.crop == patch.patch.record.crop
            && other.retired().is_some_and(is_ended)
            && shared_area(other.ground_on(Date::MAX), ground) > SLIVER
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_amount_keeps_one_figure_and_never_grows() {
        for (amount, kept) in [
            (8765.0, 8000.0),
            (1000.0, 1000.0),
            (999.9, 900.0),
            (0.37, 0.3),
            (14.0, 10.0),
            (0.0, 0.0),
        ] {
            assert!((to_one_figure(amount) - kept).abs() < 1e-9, "{amount}");
        }
    }
}
