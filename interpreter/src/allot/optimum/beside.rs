//! What is known of every plan that holds the counts from the question that found the last of them: there it loses just so
//! much, what it leaves in the purses included. So few plans are near enough to the best in both questions.

use super::relax::{NEVER, Relaxed};

/// Another question, and what all plans are worth in it that hold the counts.
pub struct Beside<const D: usize> {
    /// That question, its prices and losses.
    pub relaxed: Relaxed<D>,
    /// What the plans are worth in it.
    pub value: i128,
}

impl<const D: usize> Beside<D> {
    /// What sharing a group out loses. Nobody of the steps that come later was helped there: what they take only makes the
    /// loss greater.
    pub fn lost(&self, group: usize, shares: &[u32]) -> i128 {
        let losses = shares.iter().zip(&self.relaxed.losses[group]);
        let losses = losses.filter(|(share, loss)| **share > 0 && **loss != NEVER);
        losses.fold(0, |sum: i128, (share, loss)| sum.saturating_add(loss.saturating_mul(i128::from(*share))))
    }

    /// What more than this plan every plan loses that holds the counts, what it leaves in the purses included.
    pub fn more_than(&self, plan: &[Vec<u32>]) -> i128 {
        let lost = plan.iter().enumerate().map(|(group, shares)| self.lost(group, shares));
        lost.fold(self.relaxed.bound - self.value, i128::saturating_sub)
    }
}
