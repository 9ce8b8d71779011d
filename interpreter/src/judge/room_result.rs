//! What a room comes to once it is worked out.

use purfle_lang::book::PartId;

use super::sharing::{Choice, Shared};
use crate::plan::layout::Room;
use crate::plan::price::Scaled;
use purfle_lang::finite::node::{CellSet, VariableId};

/// What is known of one finding in a room.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct InstanceResult {
    /// It holds in every case.
    pub surely: bool,
    /// It holds in some case.
    pub possibly: bool,
    /// Its urgency over the cases in which it holds.
    pub urgency: (u8, u8),
    /// The least and greatest cost if it were the only job, before the least charge.
    pub alone: (Scaled, Scaled),
    /// Those it yields to that hold in every case in which it does: one bit for each of its `yields to`, in order.
    pub yields_to: u64,
}

impl InstanceResult {
    /// In the cases of this one or of that one.
    pub fn or(self, other: Self) -> Self {
        Self {
            surely: self.surely && other.surely,
            possibly: self.possibly || other.possibly,
            urgency: (self.urgency.0.min(other.urgency.0), self.urgency.1.max(other.urgency.1)),
            alone: (self.alone.0.min(other.alone.0), self.alone.1.max(other.alone.1)),
            yields_to: self.yields_to & other.yields_to,
        }
    }
}

/// What a look of the room can still change.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Change {
    /// Whether the instrument may be played.
    pub played: bool,
    /// Whether a piece that stands apart may be.
    pub apart: bool,
    /// The highest step that two cases differing only here differ by, one up; nought for none.
    pub urgency: u8,
    /// The same for hands.
    pub hands: u8,
    /// The room's own sum.
    pub cost: bool,
    /// What it shares.
    pub shared: Shared,
    /// The room's own sum if left.
    pub left: bool,
    /// What it shares if left.
    pub left_shared: Shared,
}

impl Change {
    /// What this look can change, here or there.
    pub fn or(&mut self, other: Self) {
        self.played |= other.played;
        self.apart |= other.apart;
        self.urgency = self.urgency.max(other.urgency);
        self.hands = self.hands.max(other.hands);
        self.cost |= other.cost;
        self.shared |= other.shared;
        self.left |= other.left;
        self.left_shared |= other.left_shared;
    }

    /// Whether it can change nothing.
    pub fn is_nothing(self) -> bool {
        self == Self::default()
    }
}

/// What the open variables of a room can still change, for those that can change anything; each by its place: the room's
/// own variables first, then the context.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct Changes(Vec<(usize, Change)>);

impl Changes {
    /// Those that can change anything, by place in rising order.
    pub fn iter(&self) -> impl Iterator<Item = (usize, Change)> {
        self.0.iter().copied()
    }

    /// What the variable at this place can change, here or there.
    pub fn or(&mut self, place: usize, change: Change) {
        if change.is_nothing() {
            return;
        }
        match self.0.binary_search_by_key(&place, |(place, _)| *place) {
            Ok(at) => self.0[at].1.or(change),
            Err(at) => self.0.insert(at, (place, change)),
        }
    }

    /// What any of these or any of those can change.
    pub fn or_all(&mut self, others: &Self) {
        others.iter().for_each(|(place, change)| self.or(place, change));
    }

    /// Takes away of each what has been settled otherwise.
    pub fn settle(&mut self, mut settle: impl FnMut(&mut Change)) {
        self.0.retain_mut(|(_, change)| {
            settle(change);
            !change.is_nothing()
        });
    }
}

/// One money figure of a room: all ways it can come out that matter for each end.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct Figure {
    /// For the least.
    pub low: Vec<Choice>,
    /// For the greatest.
    pub high: Vec<Choice>,
}

/// A room worked out.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct RoomResult {
    /// Whether it has a case at all.
    pub possible: bool,
    /// Its findings, in the room's order.
    pub instances: Vec<InstanceResult>,
    /// Urgency over the cases, nought for none: step.
    pub urgency: (u8, u8),
    /// The steps that cases come to, a bit each.
    pub steps: CellSet,
    /// Hands, one up; nought for none.
    pub hands: (u8, u8),
    /// Whether some case forbids playing the instrument, and whether some allows it.
    pub played: (bool, bool),
    /// The same for pieces that stand apart.
    pub apart: Vec<(PartId, bool, bool)>,
    /// Cost now.
    pub now: Figure,
    /// Cost if left.
    pub left: Figure,
    /// What each fund covers.
    pub aids: Vec<Figure>,
    /// Whether some case holds a cost known only on sight: now, and if left, what rooms share left out.
    pub on_sight: (bool, bool),
    /// Whether the figures are reached by cases.
    pub exact: bool,
    /// Whether there were too many cases, so that sums are only enclosed.
    pub enclosed: bool,
    /// Whether there is one case only.
    pub single: bool,
    /// What its open variables can still change.
    pub changes: Changes,
    /// Variables, placed as in `changes`, that cannot be all that was written down of them, with what they can be.
    pub narrowed: Vec<(usize, CellSet)>,
}

impl RoomResult {
    /// Its money figures: now, if left, and what each fund covers.
    pub fn figures(&self) -> impl Iterator<Item = &Figure> {
        [&self.now, &self.left].into_iter().chain(&self.aids)
    }

    /// The most that any look can change where a room comes out in one of these ways.
    pub fn at_most<'a>(results: impl Iterator<Item = &'a RoomResult> + Clone) -> Change {
        let (mut urgency, mut hands) = ((u8::MAX, 0), (u8::MAX, 0));
        let (mut played, mut apart) = ((false, false), false);
        for result in results.clone() {
            urgency = (urgency.0.min(result.urgency.0), urgency.1.max(result.urgency.1));
            hands = (hands.0.min(result.hands.0), hands.1.max(result.hands.1));
            played = (played.0 || result.played.0, played.1 || result.played.1);
            apart |= result.apart.iter().any(|(_, some, _)| *some);
        }
        let open = |of: &dyn Fn(&'a RoomResult) -> &'a Figure| {
            let choices = || results.clone().flat_map(|result| of(result).low.iter().chain(&of(result).high));
            let same = choices().next().is_none_or(|first| choices().all(|choice| choice == first));
            (!same, if same { 0 } else { choices().fold(0, |any, choice| any | choice.shared) })
        };
        let ((cost, shared), (left, left_shared)) = (open(&|result| &result.now), open(&|result| &result.left));
        Change {
            played: played.0 && played.1,
            apart,
            urgency: if urgency.0 < urgency.1 { urgency.1 + 1 } else { 0 },
            hands: if hands.0 < hands.1 { hands.1 } else { 0 },
            cost,
            shared,
            left,
            left_shared,
        }
    }

    /// Lets go of memory that it took while it was worked out and does not need.
    pub fn shrink(&mut self) {
        let Self { now, left, aids, changes, .. } = self;
        for figure in [now, left].into_iter().chain(aids) {
            figure.low.shrink_to_fit();
            figure.high.shrink_to_fit();
        }
        changes.0.shrink_to_fit();
    }

    /// What differs between two rooms of one case each, and so what a look that tells these cases apart can change.
    pub fn difference(&self, other: &Self) -> Change {
        let (a, b) = (&self.now.low[..], &other.now.low[..]);
        let (c, d) = (&self.left.low[..], &other.left.low[..]);
        let own = |a: &[Choice], b: &[Choice]| a.iter().map(|c| c.own).ne(b.iter().map(|c| c.own));
        let shared = |a: &[Choice], b: &[Choice]| {
            let all = |list: &[Choice]| list.iter().fold(0, |all, choice| all | choice.shared);
            all(a) ^ all(b)
        };
        let (e, f) = (&self.now.high[..], &other.now.high[..]);
        let (g, h) = (&self.left.high[..], &other.left.high[..]);
        Change {
            played: self.played != other.played,
            apart: self.apart != other.apart,
            urgency: if self.urgency == other.urgency { 0 } else { self.urgency.1.max(other.urgency.1) + 1 },
            hands: if self.hands == other.hands { 0 } else { self.hands.1.max(other.hands.1) },
            cost: own(a, b) || own(e, f),
            shared: shared(a, b),
            left: own(c, d) || own(g, h),
            left_shared: shared(c, d),
        }
    }

    /// Adds further cases of the same room.
    pub fn or(&mut self, other: Self) {
        if !other.possible {
            return;
        }
        if !self.possible {
            *self = other;
            return;
        }
        let wider = |a: (u8, u8), b: (u8, u8)| (a.0.min(b.0), a.1.max(b.1));
        for (known, new) in self.instances.iter_mut().zip(&other.instances) {
            *known = known.or(*new);
        }
        self.urgency = wider(self.urgency, other.urgency);
        self.steps |= other.steps;
        self.hands = wider(self.hands, other.hands);
        self.played = (self.played.0 || other.played.0, self.played.1 || other.played.1);
        or_apart(&mut self.apart, &other.apart);
        self.now.or(other.now);
        self.left.or(other.left);
        for (known, new) in self.aids.iter_mut().zip(other.aids) {
            known.or(new);
        }
        self.on_sight = (self.on_sight.0 || other.on_sight.0, self.on_sight.1 || other.on_sight.1);
        self.single = false;
        self.exact &= other.exact;
        self.enclosed |= other.enclosed;
        self.changes.or_all(&other.changes);
    }
}

/// What is known of pieces that stand apart, these cases or those. A piece of which the one says nothing may be used there.
pub fn or_apart(apart: &mut Vec<(PartId, bool, bool)>, other: &[(PartId, bool, bool)]) {
    for known in apart.iter_mut() {
        known.2 |= !other.iter().any(|(part, ..)| *part == known.0);
    }
    for &(part, some, not_all) in other {
        match apart.iter_mut().find(|(p, ..)| *p == part) {
            Some(known) => *known = (part, known.1 || some, known.2 || not_all),
            None => apart.push((part, some, true)),
        }
    }
}

impl Figure {
    fn or(&mut self, other: Self) {
        self.low.extend(other.low);
        self.high.extend(other.high);
    }
}

/// A room in which nothing has been said to hold yet; groups are added to it.
pub fn nothing_held(room: &Room, aids: usize) -> RoomResult {
    let nothing = || Figure { low: vec![Choice { own: 0, shared: 0 }], high: vec![Choice { own: 0, shared: 0 }] };
    RoomResult {
        possible: true,
        urgency: (0, 0),
        steps: 1,
        hands: (0, 0),
        played: (false, true),
        now: nothing(),
        left: nothing(),
        aids: (0..aids).map(|_| nothing()).collect(),
        ..blank(room, aids)
    }
}

/// A room of which nothing is known yet.
pub fn blank(room: &Room, aids: usize) -> RoomResult {
    let none =
        InstanceResult { surely: true, possibly: false, urgency: (u8::MAX, 0), alone: (Scaled::MAX, 0), yields_to: u64::MAX };
    RoomResult {
        possible: false,
        instances: vec![none; room.instances.len()],
        urgency: (u8::MAX, 0),
        steps: 0,
        hands: (u8::MAX, 0),
        played: (false, false),
        apart: Vec::new(),
        now: Figure::default(),
        left: Figure::default(),
        aids: vec![Figure::default(); aids],
        on_sight: (false, false),
        exact: true,
        enclosed: false,
        single: true,
        changes: Changes::default(),
        narrowed: Vec::new(),
    }
}

/// Where a room keeps what it knows of a variable: its own first, then the context.
pub fn place_of(room: &Room, variable: VariableId) -> Option<usize> {
    room.variables.iter().chain(&room.context).position(|v| *v == variable)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_places_can_change_is_kept_apart_and_in_order() {
        let urgent = |urgency| Change { urgency, ..Change::default() };
        // However many variables a room has, no two of them are taken for one.
        let far = 3 + (1 << 16);
        let mut changes = Changes::default();
        for (place, urgency) in [(far, 2), (3, 1), (7, 0), (5, 4), (3, 3)] {
            changes.or(place, urgent(urgency));
        }
        let all = |changes: &Changes| changes.iter().map(|(place, change)| (place, change.urgency)).collect::<Vec<_>>();
        assert_eq!(all(&changes), [(3, 3), (5, 4), (far, 2)]);
        let mut others = Changes::default();
        others.or(4, Change { cost: true, ..Change::default() });
        others.or(far, urgent(5));
        changes.or_all(&others);
        assert_eq!(all(&changes), [(3, 3), (4, 0), (5, 4), (far, 5)]);
        // What is settled otherwise is no longer told of.
        changes.settle(|change| change.urgency = if change.urgency > 4 { change.urgency } else { 0 });
        assert_eq!(all(&changes), [(4, 0), (far, 5)]);
    }
}
