//! Deterministic pseudo-random numbers, the same on every machine: SplitMix64 (G. L. Steele,
//! D. Lea, C. H. Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014; the
//! constants are from memory).

pub struct SplitMix64(pub u64);

impl SplitMix64 {
    pub fn draw(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }
}
