//! A few numbers by chance, the same ones each time, for tests.

/// Where the numbers come from.
pub struct Chance(pub u64);

impl Chance {
    /// The next number, below this one.
    pub fn below(&mut self, end: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % end
    }
}
