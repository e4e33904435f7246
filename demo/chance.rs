//! Chance that is the same on every machine: a small generator of whole numbers and the two shapes drawn from it.
//!
//! The numbers are those of SplitMix64 (Steele, Lea and Flood, "Fast splittable pseudorandom number generators",
//! OOPSLA 2014; the public-domain reference text by Vigna). They are whole-number arithmetic only. What is drawn
//! from them uses nothing but sums, products and quotients of doubles, which IEEE 754 defines to the last bit.

/// A stream of chance numbers.
pub(crate) struct Chance(u64);

impl Chance {
    /// The seed of the whole month.
    const SEED: u64 = 0x6f63_746f_6265_7232;

    /// A stream of its own for one named thing, so that a change to one lot leaves all others as they were.
    pub(crate) fn of(name: &str) -> Self {
        let mut chance = Chance(Self::SEED);
        for byte in name.bytes() {
            chance.0 = chance.next() ^ u64::from(byte);
        }
        chance
    }

    /// The next 64 bits.
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Evenly spread over `low..=high`, steps of one. (The tiny lean of a remainder does not matter here.)
    pub(crate) fn whole(&mut self, low: i64, high: i64) -> i64 {
        let width = high.abs_diff(low).saturating_add(1);
        low.saturating_add_unsigned(self.next() % width)
    }

    /// Evenly spread over `low..high`: 53 bits, so the quotient is exact.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        let part = (self.next() >> 11) as f64 / 9_007_199_254_740_992.0;
        low + (high - low) * part
    }

    /// Bell-shaped about nought with the given standard deviation: four even draws added, never beyond 3.5 deviations.
    pub(crate) fn noise(&mut self, deviation: f64) -> f64 {
        let sum = self.between(-1.0, 1.0) + self.between(-1.0, 1.0) + self.between(-1.0, 1.0) + self.between(-1.0, 1.0);
        // Four draws from -1..1 have a variance of 4/3; 0.866 is the square root of 3/4.
        sum * 0.866 * deviation
    }

    /// Whether the generator gives the published numbers for the seed 1234567.
    pub(crate) fn is_sound() -> bool {
        let mut chance = Chance(1_234_567);
        [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423]
            .iter()
            .all(|published| chance.next() == *published)
    }
}
