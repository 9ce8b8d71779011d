//! A finding at one of its places: when it holds, and how grave it is then.

use super::compile::{Compiler, Owner};
use super::node::{InstanceId, Node};
use crate::book::{FindingId, StepId};
use crate::evaluate::{InHand, Spot};

/// The conditions of a finding at a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Standing {
    /// The finding.
    pub finding: FindingId,
    /// Its place; `Single` for one that is on the part as a whole.
    pub spot: Spot,
    /// When it holds: its place is there, its signs are met, and no `unless` is.
    pub holds: Node,
    /// When its place is there.
    pub applies: Node,
    /// When its signs are met.
    pub signs: Node,
    /// Its urgency lines, in the order written, and when each counts.
    pub lines: Vec<(StepId, Node)>,
    /// The raises that hit it: by how many steps, no higher than which, and when.
    pub raises: Vec<(u32, StepId, Node)>,
}

impl Compiler<'_> {
    /// Every finding at every place, in the book's order: the instances that `found` speaks of, by their index.
    pub fn announce_findings(&mut self) -> Vec<(FindingId, Spot)> {
        let book = self.book;
        let mut places = Vec::new();
        for finding in (0..book.findings.len()).map(FindingId::from_index) {
            let spots = if book[finding].each { self.spots(book[finding].on) } else { vec![Spot::Single] };
            places.extend(spots.into_iter().map(|spot| (finding, spot)));
        }
        for (id, (finding, spot)) in places.iter().enumerate() {
            self.announce(*finding, *spot, id as InstanceId);
        }
        places
    }

    /// The conditions of a finding at a place.
    pub fn standing(&mut self, id: FindingId, spot: Spot) -> Standing {
        let book = self.book;
        let finding = &book[id];
        let hand = if finding.each { InHand::nothing().with(finding.on, spot) } else { InHand::nothing() };
        let owner: Owner = finding.each.then_some((finding.on, spot));
        let applies = if finding.each { self.place_applies(finding.on, spot) } else { self.part_applies(finding.on) };
        let signs = self.condition(&finding.signs, &hand, owner, false);
        let mut parts = vec![applies.clone(), signs.clone()];
        for unless in &finding.unless {
            parts.push(Node::unmet(self.condition(unless, &hand, owner, false)));
        }
        let mut lines = Vec::with_capacity(finding.urgency.len());
        for line in &finding.urgency {
            let when = line.when.as_ref().map_or(Node::Constant(true), |when| self.condition(when, &hand, owner, false));
            lines.push((line.step, when));
        }
        let mut raises = Vec::new();
        for raise in book.raises.iter().filter(|raise| raise.on.contains(&finding.on)) {
            let at = if book[finding.on].repeats() && finding.each { hand.clone() } else { InHand::nothing() };
            raises.push((raise.by, raise.cap, self.condition(&raise.when, &at, owner, false)));
        }
        Standing { finding: id, spot, holds: Node::all(parts), applies, signs, lines, raises }
    }
}
