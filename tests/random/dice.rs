//! Chance that comes out the same each time it is started from the same number.

use proptest::prelude::Rng;
use proptest::test_runner::{RngAlgorithm, TestRng};

/// A source of chance.
pub struct Dice(TestRng);

impl Dice {
    /// Started from a number.
    pub fn new(start: u64) -> Self {
        let mut seed = [0; 32];
        seed[..8].copy_from_slice(&start.to_le_bytes());
        Self(TestRng::from_seed(RngAlgorithm::ChaCha, &seed))
    }

    /// A number below `end`, which is above nought.
    pub fn below(&mut self, end: usize) -> usize {
        (self.0.next_u64() % end as u64) as usize
    }

    /// A number from the first to the second, ends included.
    pub fn from(&mut self, least: i64, most: i64) -> i64 {
        least + (self.0.next_u64() % (most - least + 1) as u64) as i64
    }

    /// Yes, that many times in a hundred.
    pub fn chance(&mut self, percent: u64) -> bool {
        self.0.next_u64() % 100 < percent
    }

    /// One of them; none of none.
    pub fn pick<'a, T>(&mut self, of: &'a [T]) -> Option<&'a T> {
        if of.is_empty() { None } else { of.get(self.below(of.len())) }
    }

    /// Some of them, at least one and not more than `most`, in their order.
    pub fn some<T: Clone>(&mut self, of: &[T], most: usize) -> Vec<T> {
        let wanted = 1 + self.below(most.min(of.len()).max(1));
        let mut left = of.len();
        let mut taken = Vec::new();
        for one in of {
            if self.below(left.max(1)) < wanted.saturating_sub(taken.len()) {
                taken.push(one.clone());
            }
            left -= 1;
        }
        taken
    }
}
