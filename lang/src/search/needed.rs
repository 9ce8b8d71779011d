//! What a proof that there is no case cannot do without.

use super::{Question, Verdict};

impl Question<'_> {
    /// The answer, where a proof that there is none names as little as can be: leave any one of the things it names
    /// out, and there is a case, or it is no longer decided. By leaving out one after the other, the last first, and
    /// keeping what the remaining proof uses.
    pub fn answer_with_the_least(&self) -> Verdict {
        let mut needed = match self.answer() {
            Verdict::None(used) => used,
            other => return other,
        };
        let mut tried = needed.len();
        while tried > 0 {
            tried -= 1;
            let fewer: Vec<usize> = needed.iter().enumerate().filter(|(at, _)| *at != tried).map(|(_, id)| *id).collect();
            if let Verdict::None(used) = self.keeping(&fewer).answer() {
                // What stands behind was found to be needed, so it is used again; what stands before may have thinned.
                let used: Vec<usize> = used.into_iter().map(|at| fewer[at]).collect();
                tried = used.iter().filter(|id| **id < needed[tried]).count();
                needed = used;
            }
        }
        Verdict::None(needed)
    }
}
