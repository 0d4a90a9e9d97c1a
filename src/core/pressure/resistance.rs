//! How many passes halve the cover of each kind of ground, as published.
//!
//! A pass is one walk over a lane half a metre wide. Each figure is from another country,
//! climate and season than yours, and its own authors found much variation within a kind.

use crate::records::Underfoot;

/// What a kind of ground bears.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Resistance {
    /// Passes after which half the cover is left; `None` where feet wear nothing away.
    pub passes: Option<f64>,
    /// A citation, or what stands in for one.
    pub source: &'static str,
}

/// The least of the published figures below, for ground of which less is known.
const LEAST: f64 = 200.0;

impl Resistance {
    /// As published for that kind of ground; without a figure where nobody said, or where feet wear
    /// nothing.
    pub fn of(underfoot: Option<Underfoot>) -> Self {
        let halves = |passes, source| Self { passes: Some(passes), source };
        match underfoot {
            Some(Underfoot::Heath) => halves(
                200.0,
                "Hylgaard and Liddle 1981, J. Appl. Ecol. 18: half the cover of crowberry heath \
                 on a dune was left after 200 passages",
            ),
            Some(Underfoot::Fern) => halves(
                210.0,
                "Hill and Pickering 2009: 210 passes halved the cover of a fern understorey",
            ),
            // Erect herbs resist least (Cole 1995, J. Appl. Ecol. 32); the herb layer of damp
            // woods was more sensitive than heath (Roovers et al. 2004, Appl. Veg. Sci. 7).
            Some(Underfoot::WoodlandHerbs) => halves(
                LEAST,
                "no count of passes was found; woodland herbs are softer than heath (Roovers et \
                 al. 2004), so the least published figure stands in, and they may bear less",
            ),
            Some(Underfoot::TussockGrass) => halves(
                360.0,
                "Hill and Pickering 2009: 360 passes halved the cover of a tussock grass \
                 understorey",
            ),
            Some(Underfoot::Meadow) => halves(
                440.0,
                "Pickering and Growcock 2009: 440 to 450 passes halved the cover of alpine \
                 herbfield and subalpine grassland",
            ),
            Some(Underfoot::Lawn) => halves(
                860.0,
                "Hill and Pickering 2009: 860 passes halved the cover of a grassland of lawn \
                 grasses",
            ),
            // Bare rock did not change under sustained trampling, fronds on it tore at a single
            // step (Povey and Keough 1991, Oikos 61): hence only rock without them is bare.
            Some(Underfoot::Bare) => Self { passes: None, source: "common practice, no source" },
            None => halves(
                LEAST,
                "it is not said what grows underfoot, so the least published figure stands in",
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_kind_of_ground_bears_as_many_passes_as_published() {
        for (underfoot, published) in [
            (Underfoot::Heath, 200.0),
            (Underfoot::Fern, 210.0),
            (Underfoot::TussockGrass, 360.0),
            (Underfoot::Meadow, 440.0),
            (Underfoot::Lawn, 860.0),
        ] {
            assert_eq!(Resistance::of(Some(underfoot)).passes, Some(published), "{underfoot}");
        }
    }

    #[test]
    fn nothing_stands_in_for_a_figure_but_the_least_of_them() {
        let passes = |underfoot| Resistance::of(underfoot).passes;
        let known = Underfoot::ALL.into_iter().filter_map(|kind| passes(Some(kind)));
        assert_eq!(passes(None), known.reduce(f64::min));
        assert_eq!(passes(Some(Underfoot::Bare)), None);
    }
}
