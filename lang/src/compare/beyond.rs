//! Findings that hold only where a record says what one book alone takes: a kind of instrument that it alone knows, a choice
//! or a number that it alone allows.
//!
//! No record of both shows such a difference, so it is a difference in what may be said. The other book is taken by its
//! words: what it would find if it took the record as well is no difference.

use std::slice::from_ref;

use super::claims::{FindingClaims, Kind, Known, Weighing};
use crate::book::{FindingId, LookId};
use crate::finite::node::Node;
use crate::search::Verdict;

/// A finding that can hold where one book alone takes what is said of a look.
#[derive(Debug)]
pub struct BeyondClaim {
    /// Which of the pairs.
    pub pair: usize,
    /// Whether it is the new book that takes it, and finds.
    pub by_new: bool,
    /// The look, in both; none where nothing was decided.
    pub look: Option<LookId>,
    /// What is known of it: a case, or that nothing was decided.
    pub known: Known,
}

impl Weighing<'_> {
    /// Every finding that can be found with what one book alone takes, where no record of both shows that the two differ
    /// so. `findings` is what is known of records of both.
    pub fn beyond(&self, findings: &[FindingClaims]) -> Vec<BeyondClaim> {
        let mut claims = Vec::new();
        for by_new in [false, true] {
            if !self.both.outside.iter().any(|alone| alone.by_new == by_new) {
                continue;
            }
            for pair in 0..self.both.pairs.len() {
                let kind = if by_new { Kind::Found } else { Kind::NotFound };
                let ways = findings.iter().filter(|claims| claims.pair == pair).flat_map(|claims| &claims.ways);
                if !ways.into_iter().any(|(way, known)| *way == kind && matches!(known, Known::Case { .. })) {
                    claims.extend(self.beyond_one(pair, by_new));
                }
            }
        }
        claims
    }

    fn beyond_one(&self, number: usize, by_new: bool) -> Option<BeyondClaim> {
        let pair = &self.both.pairs[number];
        if pair.written_alike() {
            return None;
        }
        let (here, there) = if by_new { (pair.new, pair.old) } else { (pair.old, pair.new) };
        let (_, here) = here?;
        let spots: Vec<(Node, Node)> = match there {
            Some((_, there)) => {
                let both = if by_new { (there, here) } else { (here, there) };
                let sides = self.side_by_side(both).into_iter();
                sides.map(|spot| if by_new { (spot.new, spot.old) } else { (spot.old, spot.new) }).collect()
            }
            None => self.holding(here).map(|node| (node, Node::Constant(false))).collect(),
        };
        let mut decided = true;
        for (here, there) in spots {
            match self.case_within(from_ref(&here), from_ref(&there), |alone| alone.by_new != by_new) {
                Verdict::Found(case) => {
                    let conditions = self.world.conditions();
                    let said = self.both.outside.iter().filter(|alone| alone.by_new == by_new).find_map(|alone| {
                        let node = self.holding(alone.said).find(|node| conditions.met(node, &case))?;
                        Some((alone.look, node))
                    });
                    // A record of both shows it after all.
                    let Some((look, said)) = said else { continue };
                    let claim = Box::new(Node::all([here, Node::unmet(there), said]));
                    return Some(BeyondClaim { pair: number, by_new, look: Some(look), known: Known::Case { case, claim } });
                }
                Verdict::None(_) => {}
                Verdict::Undecided => decided = false,
            }
        }
        let open = BeyondClaim { pair: number, by_new, look: None, known: Known::NotDecided };
        (!decided).then_some(open)
    }

    fn holding(&self, finding: FindingId) -> impl Iterator<Item = Node> + '_ {
        self.world.of[finding.index()].iter().map(|at| self.world.holding(*at))
    }
}
