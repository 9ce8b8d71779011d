//! Conditions that are a small union of boxes, written out as one.

use super::{Answer, AtomId, Conditions, Node, Region, Space, table};

impl Conditions<'_> {
    /// Boxes that together hold exactly the cases in which the condition is met, no box lying in another; none if
    /// that, or a step on the way, takes more than `most`.
    pub fn boxes(&self, space: &Space, node: &Node, most: usize) -> Option<Vec<Region>> {
        self.union(space, node, true, most)
    }

    /// The same for the cases in which it is met, or in which it is not.
    pub(super) fn union(&self, space: &Space, node: &Node, truth: bool, most: usize) -> Option<Vec<Region>> {
        Writing { space, conditions: *self, most, depth: 0 }.union(node, truth)
    }
}

struct Writing<'a> {
    space: &'a Space,
    conditions: Conditions<'a>,
    most: usize,
    /// How many findings deep.
    depth: usize,
}

impl Writing<'_> {
    fn union(&mut self, node: &Node, truth: bool) -> Option<Vec<Region>> {
        match (node, truth) {
            (Node::Constant(value), _) => Some(if *value == truth { vec![Region::everywhere()] } else { Vec::new() }),
            (Node::All(nodes), true) | (Node::Any(nodes), false) => self.at_least(nodes.len(), nodes, truth),
            (Node::Any(nodes), true) | (Node::All(nodes), false) => self.at_least(1, nodes, truth),
            (Node::AtLeast(count, nodes), true) => self.at_least(*count as usize, nodes, true),
            // Fewer than that many are met: all the others and one more are not.
            (Node::AtLeast(count, nodes), false) => {
                self.at_least((nodes.len() + 1).saturating_sub(*count as usize), nodes, false)
            }
            (Node::Unmet(node), _) => self.union(node, !truth),
            (Node::Met(atom), _) => self.test(*atom, Answer::Met, truth),
            (Node::Opposite(atom), _) => self.test(*atom, Answer::Opposite, truth),
            (Node::Holds(instance), _) => {
                if let Some(known) = self.conditions.written.and_then(|written| written.finding(*instance, truth)) {
                    return known.filter(|regions| regions.len() <= self.most).map(<[Region]>::to_vec);
                }
                if self.depth > self.conditions.holds.len() {
                    return None;
                }
                self.depth += 1;
                let union = self.union(&self.conditions.holds[*instance as usize], truth);
                self.depth -= 1;
                union
            }
        }
    }

    fn test(&self, atom: AtomId, wanted: Answer, truth: bool) -> Option<Vec<Region>> {
        if let Some(regions) = self.conditions.written.and_then(|written| written.test(atom, wanted, truth)) {
            return (regions.len() <= self.most).then(|| regions.to_vec());
        }
        let regions = table::regions(self.space, &self.conditions.atoms[atom as usize], wanted, truth);
        (regions.len() <= self.most).then_some(regions)
    }

    /// At least `count` of the nodes come out as `truth`.
    fn at_least(&mut self, count: usize, nodes: &[Node], truth: bool) -> Option<Vec<Region>> {
        if count > nodes.len() {
            return Some(Vec::new());
        }
        // By how many of those so far are counted, `count` and more being one.
        let mut counted: Vec<Vec<Region>> = vec![Vec::new(); count + 1];
        counted[0].push(Region::everywhere());
        for (at, node) in nodes.iter().enumerate() {
            let union = self.union(node, truth)?;
            // Fewer than that, and those still to come are not enough.
            let least = count.saturating_sub(nodes.len() - at);
            for so_far in (least..count).rev() {
                let more = self.meet(&counted[so_far], &union)?;
                counted[so_far + 1] = self.join(std::mem::take(&mut counted[so_far + 1]), more)?;
            }
        }
        counted.pop()
    }

    fn meet(&self, one: &[Region], two: &[Region]) -> Option<Vec<Region>> {
        let mut both = Vec::new();
        for one in one {
            let more = two.iter().filter(|two| one.meets(two)).map(|two| one.meet(two)).collect();
            both = self.join(both, more)?;
        }
        Some(both)
    }

    fn join(&self, mut union: Vec<Region>, more: Vec<Region>) -> Option<Vec<Region>> {
        for region in more {
            if union.iter().any(|other| region.is_in(other)) {
                continue;
            }
            union.retain(|other| !other.is_in(&region));
            union.push(region);
            if union.len() > self.most {
                return None;
            }
        }
        Some(union)
    }
}
