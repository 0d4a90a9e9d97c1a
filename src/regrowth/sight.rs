//! The sight index: does a leaf patch look thinner than it used to look to the same eyes?

use std::sync::Arc;

/// Weight of the newest look, at least.
const NEWEST_WEIGHT: f64 = 0.3;
/// Looks that make the anchor: what full looks like, and how a new observer differs.
const ANCHOR_LOOKS: u32 = 4;

/// Who looked, and whether by eye or by what their one-in-N basket weighed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Looker {
    pub by: Arc<str>,
    pub by_basket: bool,
}

/// Running averages of the logarithm of what was seen.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sight {
    looks: u32,
    recent: f64,
    mean: f64,
    anchor: f64,
    lookers: Vec<(Looker, Offset)>,
}

/// How far one observer's looks lie above those of the others, from their first looks.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Offset {
    looks: u32,
    mean: f64,
}

impl Sight {
    /// Takes in a look at `seen`, in the crop's measure, more than 0.
    pub(super) fn look(&mut self, looker: &Looker, seen: f64) {
        let y = seen.ln() - self.offset(looker, seen.ln());
        self.looks += 1;
        let n = f64::from(self.looks);
        let weight = NEWEST_WEIGHT.max(1.0 / n);
        self.recent += weight * (y - self.recent);
        self.mean += (y - self.mean) / n;
        if self.looks <= ANCHOR_LOOKS {
            self.anchor = self.mean;
        }
    }

    /// The first observer is the measure; a newcomer is anchored to what the index says.
    fn offset(&mut self, looker: &Looker, y: f64) -> f64 {
        let known = self.lookers.iter_mut().find(|(other, _)| other == looker);
        let offset = match known {
            Some((_, offset)) => offset,
            None => {
                let measure = Offset { looks: ANCHOR_LOOKS, mean: 0.0 };
                let first = if self.looks == 0 { measure } else { Offset::default() };
                self.lookers.push((looker.clone(), first));
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

    /// How the patch looks against how it used to: 1 as ever, 0.75 a quarter thinner.
    pub fn index(&self) -> f64 {
        (self.recent - self.anchor.max(self.mean)).exp()
    }

    /// What the index leaves of the share: a quarter thinner, half the share.
    pub fn thin(&self) -> f64 {
        if self.looks < 2 { 1.0 } else { (2.0 * self.index() - 1.0).clamp(0.0, 1.0) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ana() -> Looker {
        Looker { by: "Ana".into(), by_basket: false }
    }

    /// Closed form of the index: after eight equal looks and a drop to q,
    /// x after j more looks is q^(1 − 0.7^j).
    #[test]
    fn a_drop_in_what_is_seen_comes_through_by_the_closed_form() {
        let mut sight = Sight::default();
        for _ in 0..8 {
            sight.look(&ana(), 3000.0);
        }
        assert!((sight.index() - 1.0).abs() < 1e-12);
        for expected in [0.857917, 0.770650, 0.714900, 0.678293, 0.653789] {
            sight.look(&ana(), 0.6 * 3000.0);
            assert!((sight.index() - expected).abs() < 1e-6, "{}", sight.index());
        }
    }

    #[test]
    fn scaling_every_look_leaves_the_index_as_it_is() {
        let (mut small, mut large) = (Sight::default(), Sight::default());
        for look in [900.0, 1100.0, 1000.0, 700.0, 650.0, 500.0] {
            small.look(&ana(), look);
            large.look(&ana(), 7.5 * look);
        }
        assert!((small.index() - large.index()).abs() < 1e-12);
        assert!(small.index() < 1.0);
    }

    #[test]
    fn a_newcomer_with_a_bolder_eye_does_not_make_the_patch_look_thicker() {
        let mut sight = Sight::default();
        for _ in 0..6 {
            sight.look(&ana(), 1000.0);
        }
        for _ in 0..6 {
            sight.look(&Looker { by: "Bo".into(), by_basket: false }, 1600.0);
        }
        assert!((sight.index() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_quarter_thinner_is_half_the_share() {
        let mut sight = Sight::default();
        sight.look(&ana(), 1000.0);
        assert_eq!(sight.thin(), 1.0);
        let thinner =
            Sight { looks: 9, recent: 0.75_f64.ln(), mean: 0.0, anchor: 0.0, lookers: vec![] };
        assert!((thinner.thin() - 0.5).abs() < 1e-12);
    }
}
