//! What there is to say of how a survey came to its number, as figures.

use std::sync::Arc;

use super::placement::{BY_CHOICE, Penalty};

/// How a number was found, or what was taken for granted of it.
#[derive(Clone, Debug, PartialEq)]
pub enum Account {
    /// Quadrats that are more alike than plants stand, and are taken to vary more.
    TooAlike,
    /// What was judged by eye was put right by what was measured.
    PutRight {
        /// How many were judged.
        judged: usize,
        /// How many of them were measured too.
        measured: usize,
        /// The relative standard error of either way; `None` where it is not to be had.
        by_ratio: Option<f64>,
        /// The same, by a line.
        by_regression: Option<f64>,
        /// Whether the ratio fits better.
        is_by_ratio: bool,
    },
    /// Units were counted.
    Counted {
        /// Whether every one of them was.
        all: bool,
        /// How many of them were weighed, and their mean weight in grams.
        weighed: Option<(usize, f64)>,
    },
    /// Cover, times what full cover weighs.
    Covered {
        /// The part of the ground that is covered.
        cover: f64,
        /// Grams a square metre at full cover.
        full_cover_g_m2: f64,
        /// How often full cover was weighed.
        weighings: usize,
    },
    /// Places were drawn by chance, by the plan of that name if any.
    Drawn(Option<Arc<str>>),
    /// Someone chose the places, which costs this.
    ByChoice(Penalty),
    /// Nobody said how the places were found; they count as drawn.
    TakenAsDrawn,
}

impl Account {
    pub(super) const CHOSEN: Self = Self::ByChoice(BY_CHOICE);
}
