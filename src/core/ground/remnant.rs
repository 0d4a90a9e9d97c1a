//! What is left of a patch when ground is taken away from it.

use geo::{Area, BooleanOps, MultiPolygon};

use super::centre::metres_around;
use super::projection::LocalMetres;
use crate::units::SquareMetres;

/// Less ground than this is the trace of two hands that drew one line, not ground.
pub const SLIVER: SquareMetres = SquareMetres(0.05);

/// On a patch that is tiny itself, a sliver is at most this share of it.
const LARGEST_SLIVER_SHARE: f64 = 0.001;

/// Under a square centimetre, in square metres, a shape is a slip of the pen; the overlay
/// cannot lay its grid over it.
const LEAST_AREA: f64 = 1e-4;

/// The rest of a patch, in metres around its middle; areas are shares of the whole patch.
#[derive(Clone, Debug)]
pub(super) struct Remnant {
    metres: LocalMetres,
    left: MultiPolygon,
    whole_area: f64,
}

impl Remnant {
    /// `None` for an outline without ground.
    pub(super) fn whole(outline: &MultiPolygon) -> Option<Self> {
        let metres = metres_around(outline)?;
        let left = metres.metres(outline);
        let whole_area = left.unsigned_area();
        (whole_area >= LEAST_AREA).then_some(Self { metres, left, whole_area })
    }

    /// Leaves only what lies in the ground given, and returns the share lost by that.
    pub(super) fn keep(&mut self, ground: &MultiPolygon) -> f64 {
        self.replace_by(self.left.intersection(&self.metres.metres(ground)))
    }

    /// Leaves only what lies outside the ground given, and returns the share lost by that.
    pub(super) fn take_away(&mut self, ground: &MultiPolygon) -> f64 {
        self.replace_by(self.left.difference(&self.metres.metres(ground)))
    }

    fn replace_by(&mut self, left: MultiPolygon) -> f64 {
        let before = self.share_of(&self.left);
        self.left = left;
        (before - self.share_of(&self.left)).max(0.0)
    }

    fn share_of(&self, ground: &MultiPolygon) -> f64 {
        (ground.unsigned_area() / self.whole_area).min(1.0)
    }

    /// The share of the patch that is left, without slivers. Where no more than a sliver is
    /// lost, nothing is.
    pub(super) fn share_left(&self) -> f64 {
        let sliver = self.sliver_share();
        let pieces = self.left.iter().map(|piece| piece.unsigned_area() / self.whole_area);
        let left: f64 = pieces.filter(|&share| share >= sliver).sum();
        if left > 1.0 - sliver { 1.0 } else { left }
    }

    /// What is left, in metres around the middle given, without slivers.
    pub(super) fn into_shape(self) -> (LocalMetres, MultiPolygon) {
        let sliver = self.sliver_share() * self.whole_area;
        let pieces = self.left.into_iter().filter(|piece| piece.unsigned_area() >= sliver);
        (self.metres, pieces.collect())
    }

    /// The least share of the patch that counts as ground.
    pub(super) fn sliver_share(&self) -> f64 {
        (SLIVER.0 / self.whole_area).min(LARGEST_SLIVER_SHARE)
    }
}

/// The ground that two outlines share, in local metres, slivers left out.
pub(super) fn shared_ground(one: &MultiPolygon, other: &MultiPolygon) -> SquareMetres {
    let (Some(mut shared), Some(_)) = (Remnant::whole(one), Remnant::whole(other)) else {
        return SquareMetres(0.0);
    };
    shared.keep(other);
    let pieces = shared.left.iter().map(|piece| SquareMetres(piece.unsigned_area()));
    pieces.filter(|&area| area >= SLIVER).sum()
}
