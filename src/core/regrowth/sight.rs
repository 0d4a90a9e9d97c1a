//! The sight index: does a leaf patch look thinner than it used to look to the same eyes?
//!
//! One person is one looker, whether by eye or by what a one-in-N basket weighed. Baskets alone
//! shut no patch; a glance may. A survey is no look: it does not lower the index, nor make what
//! full looks like. But where the index shuts a patch nobody cuts there, and then no basket can tell
//! otherwise; so there a survey counts as a look.

use std::sync::Arc;

/// Weight of the newest look, at least.
const NEWEST_WEIGHT: f64 = 0.3;
/// Looks that make the anchor: what full looks like, and how a new observer differs.
const ANCHOR_LOOKS: u32 = 4;
/// At this index nothing is left of the share; it is whole again at 1.
const SHUT_AT: f64 = 0.5;
/// What a basket leaves of the share at the least: it may be light because a party stopped short,
/// and a patch that is shut fills none that could tell otherwise.
const LEFT_BY_BASKETS: f64 = 0.25;

/// Running averages of the logarithm of what was seen.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sight {
    looks: u32,
    recent: f64,
    mean: f64,
    anchor: f64,
    /// Whether an eye has lowered it since the last basket.
    lowered_by_eye: bool,
    lookers: Vec<(Arc<str>, Offset)>,
}

/// How far one observer's looks lie above those of the others, from their first looks.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Offset {
    looks: u32,
    mean: f64,
}

impl Sight {
    /// Takes in a look at `seen`, in the crop's measure, more than 0: by eye, or by what a basket
    /// weighed.
    pub(super) fn look(&mut self, by: &Arc<str>, seen: f64, by_eye: bool) {
        let y = seen.ln() - self.offset(by, seen.ln());
        self.looks += 1;
        let n = f64::from(self.looks);
        let weight = NEWEST_WEIGHT.max(1.0 / n);
        self.recent += weight * (y - self.recent);
        self.mean += (y - self.mean) / n;
        if self.looks <= ANCHOR_LOOKS {
            self.anchor = self.mean;
        }
        // An eye that sees more than the index says must not shut what baskets left open.
        self.lowered_by_eye = by_eye && (self.lowered_by_eye || y <= self.recent);
    }

    /// The first observer is the measure; a newcomer is anchored to what the index says.
    fn offset(&mut self, by: &Arc<str>, y: f64) -> f64 {
        let known = self.lookers.iter_mut().find(|(other, _)| other == by);
        let offset = match known {
            Some((_, offset)) => offset,
            None => {
                let measure = Offset { looks: ANCHOR_LOOKS, mean: 0.0 };
                let first = if self.looks == 0 { measure } else { Offset::default() };
                self.lookers.push((by.clone(), first));
                let newest = self.lookers.len() - 1;
                &mut self.lookers[newest].1
            }
        };
        if offset.looks < ANCHOR_LOOKS {
            offset.looks += 1;
            offset.mean += (y - self.recent - offset.mean) / f64::from(offset.looks);
        }
        offset.mean
    }

    /// Takes in a survey that found so much of the base, more than 0: nothing, unless the patch
    /// is shut.
    pub(super) fn survey(&mut self, part_of_base: f64) {
        if self.thin() <= 0.0 {
            let found = self.usual() + part_of_base.ln();
            self.recent += self.survey_weight() * (found - self.recent);
        }
    }

    /// How many surveys that find all of the base would open a patch that is shut; 0 for one
    /// that is not.
    pub fn surveys_to_reopen(&self) -> u32 {
        if self.thin() > 0.0 {
            return 0;
        }
        // Each leaves 1 − w of the logarithm of the index.
        let surveys = (SHUT_AT.ln() / self.index().ln()).ln() / (1.0 - self.survey_weight()).ln();
        surveys.floor() as u32 + 1
    }

    fn survey_weight(&self) -> f64 {
        NEWEST_WEIGHT.max(1.0 / f64::from(self.looks.max(1)))
    }

    /// What full looks like.
    fn usual(&self) -> f64 {
        self.anchor.max(self.mean)
    }

    /// How the patch looks against how it used to: 1 as ever, 0.75 a quarter thinner.
    pub fn index(&self) -> f64 {
        (self.recent - self.usual()).exp()
    }

    /// What the index leaves of the share: a quarter thinner, half the share; a quarter of it after
    /// a basket, however light.
    pub fn thin(&self) -> f64 {
        let above = (self.index() - SHUT_AT) / (1.0 - SHUT_AT);
        let least = if self.lowered_by_eye { 0.0 } else { LEFT_BY_BASKETS };
        if self.looks < 2 { 1.0 } else { above.clamp(least, 1.0) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ana() -> Arc<str> {
        "Ana".into()
    }

    fn seen_at(index: f64) -> Sight {
        Sight { looks: 12, recent: index.ln(), lowered_by_eye: true, ..Sight::default() }
    }

    #[test]
    fn a_light_basket_leaves_a_quarter_of_the_share_and_an_eye_that_sees_the_same_none() {
        let mut sight = Sight::default();
        for _ in 0..8 {
            sight.look(&ana(), 1000.0, false);
        }
        for _ in 0..6 {
            sight.look(&ana(), 300.0, false);
        }
        // 0.3 of the usual in six looks: 0.3^(1 − 0.7^6) of it.
        assert!((sight.index() - 0.345651).abs() < 1e-6, "{}", sight.index());
        assert_eq!((sight.thin(), sight.surveys_to_reopen()), (0.25, 0));
        // Who sees more than that shuts nothing by it.
        let mut seen_better = sight.clone();
        seen_better.look(&ana(), 400.0, true);
        assert_eq!(seen_better.thin(), 0.25);
        sight.look(&ana(), 300.0, true);
        assert_eq!((sight.thin(), sight.surveys_to_reopen()), (0.0, 2));
        // From then on an eye that sees a little more leaves it shut, and a basket does not.
        sight.look(&ana(), 400.0, true);
        assert_eq!(sight.thin(), 0.0);
        sight.look(&ana(), 300.0, false);
        assert_eq!(sight.thin(), 0.25);
    }

    /// Closed form of the index: after eight equal looks and a drop to q,
    /// x after j more looks is q^(1 − 0.7^j).
    #[test]
    fn a_drop_in_what_is_seen_comes_through_by_the_closed_form() {
        let mut sight = Sight::default();
        for _ in 0..8 {
            sight.look(&ana(), 3000.0, true);
        }
        assert!((sight.index() - 1.0).abs() < 1e-12);
        for expected in [0.857917, 0.770650, 0.714900, 0.678293, 0.653789] {
            sight.look(&ana(), 0.6 * 3000.0, true);
            assert!((sight.index() - expected).abs() < 1e-6, "{}", sight.index());
        }
    }

    #[test]
    fn scaling_every_look_leaves_the_index_as_it_is() {
        let (mut small, mut large) = (Sight::default(), Sight::default());
        for look in [900.0, 1100.0, 1000.0, 700.0, 650.0, 500.0] {
            small.look(&ana(), look, true);
            large.look(&ana(), 7.5 * look, true);
        }
        assert!((small.index() - large.index()).abs() < 1e-12);
        assert!(small.index() < 1.0);
    }

    #[test]
    fn a_newcomer_with_a_bolder_eye_does_not_make_the_patch_look_thicker() {
        let mut sight = Sight::default();
        for _ in 0..6 {
            sight.look(&ana(), 1000.0, true);
        }
        for _ in 0..6 {
            sight.look(&"Bo".into(), 1600.0, true);
        }
        assert!((sight.index() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_quarter_thinner_is_half_the_share() {
        let mut sight = Sight::default();
        sight.look(&ana(), 1000.0, true);
        assert_eq!(sight.thin(), 1.0);
        let thinner = seen_at(0.75);
        assert!((thinner.thin() - 0.5).abs() < 1e-12);
    }

    /// ln x of a shut patch moves by 0.3 of the way to ln(M/Kbase) at each survey.
    #[test]
    fn surveys_of_the_full_crop_reopen_a_shut_patch_after_as_many_as_it_says() {
        for (index, surveys) in [(0.48, 1), (0.38, 1), (0.36, 2), (0.3, 2), (0.1, 4), (0.5, 1)] {
            let mut sight = seen_at(index);
            assert_eq!(sight.surveys_to_reopen(), surveys, "{index}");
            for _ in 1..surveys {
                sight.survey(1.0);
                assert_eq!(sight.thin(), 0.0, "{index}");
            }
            let before = sight.index().ln();
            sight.survey(1.0);
            assert!((sight.index().ln() - 0.7 * before).abs() < 1e-12);
            assert!(sight.thin() > 0.0 && sight.surveys_to_reopen() == 0, "{index}");
            let open = sight.clone();
            sight.survey(0.2);
            assert_eq!(sight, open, "a survey of an open patch is no look");
        }
    }
}
