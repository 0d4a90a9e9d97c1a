//! What pools give to demands, and what is asked of it.

use super::curve::Curve;

/// What a pool gives together, in grams or pieces.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Range {
    pub least: u64,
    pub most: u64,
}

#[derive(Clone, Copy, Debug)]
pub(super) enum Goal<'c> {
    /// The shares of the demands that are met, added up, at their most.
    Met,
    /// So much of that up to a share of the limits, with the least walking; `curves` are those of
    /// the share.
    Walking { met: f64, share: f64, curves: &'c [Curve] },
}

#[derive(Clone, Debug)]
pub(super) struct Flow {
    /// Grams or pieces from each pool to each of its demands.
    pub amounts: Vec<Vec<f64>>,
    /// What is met, or the walking: no plan within the ranges does better.
    pub reached: f64,
}
