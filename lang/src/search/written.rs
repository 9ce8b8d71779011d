//! Tests and findings written out as boxes once, for many questions that speak of them.

use super::{Answer, AtomId, Conditions, InstanceId, Region, Space, table};

/// A condition that takes more boxes than this is taken apart instead.
pub(super) const MOST_BOXES: usize = 24;

/// What tests and findings are as boxes.
#[derive(Debug, Clone)]
pub struct Written {
    /// For each test the boxes in which it is met, in which it is not, in which its opposite is, and is not.
    tests: Vec<[Vec<Region>; 4]>,
    /// For each finding those in which it does not hold, and in which it does; none where they are too many.
    findings: Vec<[Option<Vec<Region>>; 2]>,
}

impl Written {
    /// All that the conditions of these questions refer to.
    pub fn of(space: &Space, conditions: Conditions<'_>) -> Written {
        let test = |atom| {
            [(Answer::Met, true), (Answer::Met, false), (Answer::Opposite, true), (Answer::Opposite, false)]
                .map(|(wanted, truth)| table::regions(space, atom, wanted, truth))
        };
        let mut written = Written { tests: conditions.atoms.iter().map(test).collect(), findings: Vec::new() };
        let with_tests = Conditions { written: Some(&written), ..conditions };
        let finding = |node| [false, true].map(|truth| with_tests.union(space, node, truth, MOST_BOXES));
        let findings = conditions.holds.iter().map(finding).collect();
        written.findings = findings;
        written
    }

    /// The boxes in which a test comes out as wanted, or does not.
    pub(super) fn test(&self, atom: AtomId, wanted: Answer, truth: bool) -> Option<&[Region]> {
        let at = match wanted {
            Answer::Met => 0,
            Answer::Opposite => 2,
            Answer::Neither => return None,
        };
        Some(&self.tests[atom as usize][at + usize::from(!truth)])
    }

    /// The boxes in which a finding holds, or does not; none within where they are too many, none at all where
    /// findings are not written out yet.
    pub(super) fn finding(&self, instance: InstanceId, truth: bool) -> Option<Option<&[Region]>> {
        Some(self.findings.get(instance as usize)?[usize::from(truth)].as_deref())
    }
}
