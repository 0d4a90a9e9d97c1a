//! Chance that can be drawn again.

/// SplitMix64 (Steele, Lea & Flood 2014, Fast splittable pseudorandom number generators,
/// OOPSLA): whole numbers only, so that a seed draws the same on every machine.
#[derive(Clone, Debug)]
pub struct Chance {
    state: u64,
}

/// The golden section of 2⁶⁴, and the two odd factors of the published mixer.
const STEP: u64 = 0x9e37_79b9_7f4a_7c15;
const MIX_1: u64 = 0xbf58_476d_1ce4_e5b9;
const MIX_2: u64 = 0x94d0_49bb_1331_11eb;

/// A float holds this many bits of a number under 1.
const BITS: u32 = 53;

impl Chance {
    /// The same numbers for the same seed, on every machine.
    pub fn seeded(seed: u64) -> Self {
        Self { state: seed }
    }

    /// Any whole number, each as likely.
    pub fn number(&mut self) -> u64 {
        self.state = self.state.wrapping_add(STEP);
        let mixed = (self.state ^ (self.state >> 30)).wrapping_mul(MIX_1);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(MIX_2);
        mixed ^ (mixed >> 31)
    }

    /// A number from 0 up to, but not, 1.
    pub fn share(&mut self) -> f64 {
        (self.number() >> (u64::BITS - BITS)) as f64 / (1_u64 << BITS) as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first numbers of seed 1234567, as Rosetta Code lists them under
    /// "Pseudo-random numbers/Splitmix64".
    #[test]
    fn the_numbers_are_the_published_ones() {
        let mut chance = Chance::seeded(1_234_567);
        let drawn: [u64; 5] = std::array::from_fn(|_| chance.number());
        assert_eq!(
            drawn,
            [
                6_457_827_717_110_365_317,
                3_203_168_211_198_807_973,
                9_817_491_932_198_370_423,
                4_593_380_528_125_082_431,
                16_408_922_859_458_223_821,
            ]
        );
    }

    #[test]
    fn shares_lie_from_0_to_under_1() {
        let mut chance = Chance::seeded(7);
        let shares: Vec<f64> = (0..1000).map(|_| chance.share()).collect();
        assert!(shares.iter().all(|share| (0.0..1.0).contains(share)));
        assert!(shares.iter().any(|share| *share < 0.01) && shares.iter().any(|s| *s > 0.99));
    }
}
