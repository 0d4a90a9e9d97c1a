//! How chance is spread over a patch.

use std::fmt;
use std::ops::Range;
use std::str::FromStr;

use super::Chance;

/// Which places chance may choose.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Design {
    /// Simple random: every place as likely, whatever the others are.
    Random,
    /// One place at random in each of as many parts of equal area.
    Stratified,
    /// The same parts, and the same place in each: where in the first, chance decides.
    Systematic,
}

/// A text that names no design; has the text.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not a way of drawing places; write `random`, `stratified` or `systematic`")]
pub struct UnknownDesign(String);

/// A rectangle of the unit square that stands for the ground: a share of its area.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Tile {
    along: Range<f64>,
    across: Range<f64>,
}

/// Where a place lies in its tile: shares along and across.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Within {
    along: f64,
    across: f64,
}

impl Design {
    /// Every design.
    pub const ALL: [Self; 3] = [Self::Random, Self::Stratified, Self::Systematic];

    /// In a word: `stratified`.
    pub fn name(self) -> &'static str {
        match self {
            Self::Random => "random",
            Self::Stratified => "stratified",
            Self::Systematic => "systematic",
        }
    }

    /// The tile that each of `n` places is drawn in. `slenderness` is how many times longer
    /// than wide the ground is: it keeps the tiles about as long as wide.
    pub(super) fn tiles(self, n: usize, slenderness: f64) -> Vec<Tile> {
        match self {
            Self::Random => vec![Tile::whole(); n],
            Self::Stratified | Self::Systematic => equal_tiles(n, slenderness),
        }
    }
}

fn equal_tiles(n: usize, slenderness: f64) -> Vec<Tile> {
    let rows = (n as f64 * slenderness).sqrt().round().clamp(1.0, n as f64) as usize;
    let share = |places: usize| places as f64 / n as f64;
    let row = |row: usize| {
        let (from, to) = (row * n / rows, (row + 1) * n / rows);
        let columns = to - from;
        let column = move |column: usize| column as f64 / columns as f64;
        (0..columns).map(move |at| Tile {
            along: share(from)..share(to),
            across: column(at)..column(at + 1),
        })
    };
    (0..rows).flat_map(row).collect()
}

impl Tile {
    pub(super) fn whole() -> Self {
        Self { along: 0.0..1.0, across: 0.0..1.0 }
    }

    /// Shares of the whole ground, along and across.
    pub(super) fn at(&self, within: Within) -> (f64, f64) {
        let between = |range: &Range<f64>, share| range.start + share * (range.end - range.start);
        (between(&self.along, within.along), between(&self.across, within.across))
    }
}

impl Within {
    pub(super) fn drawn(chance: &mut Chance) -> Self {
        Self { along: chance.share(), across: chance.share() }
    }
}

impl fmt::Display for Design {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.pad(self.name())
    }
}

impl FromStr for Design {
    type Err = UnknownDesign;

    fn from_str(text: &str) -> Result<Self, UnknownDesign> {
        let known = Self::ALL.into_iter().find(|design| design.name() == text.trim());
        known.ok_or_else(|| UnknownDesign(text.to_owned()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tiles_are_equal_and_cover_the_ground() {
        for n in 1..60 {
            for slenderness in [0.01, 1.0, 3.0, 500.0] {
                let tiles = Design::Stratified.tiles(n, slenderness);
                assert_eq!(tiles.len(), n);
                for tile in &tiles {
                    let along = tile.along.end - tile.along.start;
                    let area = along * (tile.across.end - tile.across.start);
                    assert!((area * n as f64 - 1.0).abs() < 1e-9, "{n} tiles, {tile:?}");
                }
            }
        }
    }

    #[test]
    fn a_hedge_is_parted_by_its_length_alone() {
        let tiles = Design::Systematic.tiles(12, 80.0);
        assert!(tiles.iter().all(|tile| tile.across == (0.0..1.0)));
    }
}
